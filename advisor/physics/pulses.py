"""Waveform of the weld current and what a changing field does: peak, induced voltage, frequency content.

A unit is disturbed by the peak of the field, cables by its rate of change. Also here: flux density against
field strength in air, since levels of the basic EMC standards are in A/m and weld-field claims in mT.
"""

import math

from .conductors import MU0
from .registry import formula

_FIELD = (0.0, 10.0)
_LENGTH = (0.0, 100.0)
_RADIUS = (1e-3, 100.0)


@formula(
    text="H = B / mu0",
    units={"flux_density": "T", "return": "A/m"},
    source="Definition, in air",
    basis="published",
    valid={"flux_density": _FIELD},
)
def field_strength(flux_density: float) -> float:
    """Return the field strength (A/m) that goes with a flux density (T) in air: 40 mT are 31.8 kA/m."""
    return flux_density / MU0


@formula(
    text="B = mu0 H",
    units={"field_strength": "A/m", "return": "T"},
    source="Definition, in air",
    basis="published",
    valid={"field_strength": (0.0, 1e7)},
)
def flux_density(field_strength: float) -> float:
    """Return the flux density (T) that goes with a field strength (A/m) in air: 30 A/m are 37.7 uT."""
    return MU0 * field_strength


@formula(
    text="I_peak = I_rms c",
    units={"rms": "A", "crest": "", "return": "A"},
    source="Definition of the crest factor",
    basis="published",
    valid={"rms": (0.0, 500e3), "crest": (1.0, 5.0)},
)
def peak(rms: float, crest: float) -> float:
    """Return the peak (A) of a current given in rms; `crest` is 1.414 for a full sine wave."""
    return rms * crest


@formula(
    text="c = max sin(x) / sqrt(1/pi int sin^2 x dx), x from the firing delay to pi",
    units={"delay": "rad", "return": ""},
    source="Integral of the truncated sine",
    basis="published",
    model="Phase-controlled AC into a resistive load; weld transformers are inductive, so the true crest "
    "is lower. Held at 150 degrees of delay, beyond which nobody welds.",
    valid={"delay": (0.0, math.radians(150.0))},
)
def crest_of_phase_control(delay: float) -> float:
    """Return peak over rms of a phase-controlled current fired `delay` (rad) after the zero crossing."""
    square = ((math.pi - delay) / 2.0 + math.sin(2.0 * delay) / 4.0) / math.pi
    top = 1.0 if delay <= math.pi / 2.0 else math.sin(delay)
    return top / math.sqrt(square)


@formula(
    text="f = 0.35 / t_rise",
    units={"rise": "s", "return": "Hz"},
    source="Bandwidth of a single-pole rise from 10 to 90 percent, signal theory",
    basis="recalled",
    model="The corner below which most of the pulse's content lies, not a highest frequency.",
    valid={"rise": (1e-6, 1.0)},
)
def corner_frequency(rise: float) -> float:
    """Return the frequency (Hz) up to which a pulse with this 10 to 90 percent `rise` (s) has content."""
    return 0.35 / rise


@formula(
    text="V = mu0 l / (2 pi) ln(r2 / r1) 2 pi f I",
    units={"current": "A", "frequency": "Hz", "length": "m", "near": "m", "far": "m", "return": "V"},
    source="Faraday's law, loop beside a long wire",
    basis="published",
    model="A cable loop of this length lying between the radii r1 and r2 in the plane of the conductor; "
    "the worst way to lie. In the measure of the current: rms gives rms.",
    valid={
        "current": (0.0, 500e3),
        "frequency": (0.0, 100e3),
        "length": _LENGTH,
        "near": _RADIUS,
        "far": _RADIUS,
    },
)
def loop_voltage(current: float, frequency: float, length: float, near: float, far: float) -> float:
    """Return the voltage (V) an alternating `current` (A) at `frequency` (Hz) induces in a cable loop."""
    return _mutual(length, near, far) * 2.0 * math.pi * frequency * current


@formula(
    text="V = mu0 l / (2 pi) ln(r2 / r1) I / t",
    units={"current": "A", "rise": "s", "length": "m", "near": "m", "far": "m", "return": "V"},
    source="Faraday's law, loop beside a long wire",
    basis="published",
    model="As for the alternating current, with a current that rises evenly to its peak in this time.",
    valid={"current": (0.0, 500e3), "rise": (1e-6, 1.0), "length": _LENGTH, "near": _RADIUS, "far": _RADIUS},
)
def ramp_voltage(current: float, rise: float, length: float, near: float, far: float) -> float:
    """Return the voltage (V) in a cable loop while a pulse rises to `current` (A) within `rise` (s)."""
    return _mutual(length, near, far) * current / rise


@formula(
    text="I = V / R",
    units={"voltage": "V", "resistance": "ohm", "return": "A"},
    source="Ohm's law",
    basis="published",
    model="A loop closed through shields, housings and earth; its inductance, which lowers the current, is "
    "left out.",
    valid={"voltage": (0.0, 1e4), "resistance": (1e-4, 1e6)},
)
def loop_current(voltage: float, resistance: float) -> float:
    """Return the current (A) an induced `voltage` (V) drives round a loop of this `resistance` (ohm)."""
    return voltage / resistance


def _mutual(length: float, near: float, far: float) -> float:
    return MU0 * length / (2.0 * math.pi) * math.log(max(far / near, 1.0))
