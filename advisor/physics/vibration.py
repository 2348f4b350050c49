"""Vibration: amplitude against acceleration by frequency, crossover, velocity, random level, resonance.

Amplitude is always the peak, half of peak to peak, as in IEC 60068-2-6; reading peak to peak as amplitude
halves the severity. SI throughout: metres, m/s2, hertz.
"""

import math

from .registry import formula

_FREQUENCY = (0.1, 5000.0)
_AMPLITUDE = (0.0, 0.5)
_ACCELERATION = (0.0, 1e5)
_KINEMATICS = "Kinematics of the sine; conventions of IEC 60068-2-6"


@formula(
    text="a = (2 pi f)^2 d",
    units={"frequency": "Hz", "amplitude": "m", "return": "m/s**2"},
    source=_KINEMATICS,
    basis="published",
    valid={"frequency": _FREQUENCY, "amplitude": _AMPLITUDE},
)
def acceleration(frequency: float, amplitude: float) -> float:
    """Return the peak acceleration (m/s2) of a sine of this `amplitude` (m, peak) and `frequency` (Hz)."""
    return (2.0 * math.pi * frequency) ** 2 * amplitude


@formula(
    text="d = a / (2 pi f)^2",
    units={"frequency": "Hz", "acceleration": "m/s**2", "return": "m"},
    source=_KINEMATICS,
    basis="published",
    valid={"frequency": _FREQUENCY, "acceleration": _ACCELERATION},
)
def amplitude(frequency: float, acceleration: float) -> float:
    """Return the peak amplitude (m) of a sine of this peak `acceleration` (m/s2) and `frequency` (Hz)."""
    return acceleration / (2.0 * math.pi * frequency) ** 2


@formula(
    text="v_rms = 2 pi f d / sqrt 2",
    units={"frequency": "Hz", "amplitude": "m", "return": "m/s"},
    source=_KINEMATICS,
    basis="published",
    valid={"frequency": _FREQUENCY, "amplitude": _AMPLITUDE},
)
def velocity_rms(frequency: float, amplitude: float) -> float:
    """Return the rms velocity (m/s) of a sine; machine zones of ISO 20816 are stated in it."""
    return math.sqrt(2.0) * math.pi * frequency * amplitude


@formula(
    text="a = sqrt 2 * 2 pi f v_rms",
    units={"frequency": "Hz", "velocity": "m/s", "return": "m/s**2"},
    source=_KINEMATICS,
    basis="published",
    valid={"frequency": _FREQUENCY, "velocity": (0.0, 10.0)},
)
def acceleration_by_velocity(frequency: float, velocity: float) -> float:
    """Return the peak acceleration (m/s2) of a sine of this `frequency` (Hz) and rms `velocity` (m/s)."""
    return 2.0 * math.sqrt(2.0) * math.pi * frequency * velocity


@formula(
    text="f = sqrt(a / d) / (2 pi)",
    units={"acceleration": "m/s**2", "amplitude": "m", "return": "Hz"},
    source=_KINEMATICS,
    basis="published",
    valid={"acceleration": _ACCELERATION, "amplitude": (1e-6, 0.5)},
)
def crossover(acceleration: float, amplitude: float) -> float:
    """Return the frequency (Hz) at which an amplitude (m) passes over into an acceleration (m/s2)."""
    return math.sqrt(acceleration / amplitude) / (2.0 * math.pi)


@formula(
    text="a = min((2 pi f)^2 d, a_max)",
    units={"frequency": "Hz", "amplitude": "m", "acceleration": "m/s**2", "return": "m/s**2"},
    source=_KINEMATICS,
    basis="published",
    model="A class or test given as amplitude below its crossover and acceleration above it.",
    valid={"frequency": _FREQUENCY, "amplitude": _AMPLITUDE, "acceleration": _ACCELERATION},
)
def severity(frequency: float, amplitude: float, acceleration: float) -> float:
    """Return the peak acceleration (m/s2) a two-branch severity holds at this `frequency` (Hz)."""
    return min((2.0 * math.pi * frequency) ** 2 * amplitude, acceleration)


@formula(
    text="a_rms = sqrt(S (f2 - f1))",
    units={"density": "m**2/s**3", "low": "Hz", "high": "Hz", "return": "m/s**2"},
    source="IEC 60068-2-64",
    basis="published",
    model="Flat spectral density between the two frequencies; sine and random levels are not "
    "interchangeable.",
    valid={"density": (0.0, 1e4), "low": (0.0, 5000.0), "high": (0.0, 5000.0)},
)
def random_rms(density: float, low: float, high: float) -> float:
    """Return the rms acceleration (m/s2) of a flat `density` (m2/s3) between two frequencies (Hz)."""
    return math.sqrt(density * max(high - low, 0.0))


@formula(
    text="a_unit = Q a_base",
    units={"acceleration": "m/s**2", "amplification": "", "return": "m/s**2"},
    source="Resonance of a bracket, practice",
    basis="common practice",
    model="At resonance; Q is 10 to 50 for a bare bracket, 1 for a stiff one with its first mode above "
    "twice the drive.",
    valid={"acceleration": _ACCELERATION, "amplification": (1.0, 100.0)},
)
def at_resonance(acceleration: float, amplification: float) -> float:
    """Return the acceleration (m/s2) at a unit on a bracket that resonates with the machine."""
    return acceleration * amplification
