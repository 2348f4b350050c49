"""Action levels for people in low-frequency magnetic fields, by frequency.

The action levels protect people and say nothing of what a unit must stand; the advisor prints distances from
them as cautions (bystanders, wearers of implants). Frequencies in hertz, flux density in tesla rms.
"""

from .registry import formula

_DIRECTIVE = "Directive 2013/35/EU, Annex II, Table B2"
_FREQUENCY = (1.0, 10e6)


@formula(
    text="1..8 Hz 2e5/f^2, 8..25 Hz 2.5e4/f, 25..300 Hz 1000, 300..3000 Hz 3e5/f, above 100 (uT)",
    units={"frequency": "Hz", "return": "T"},
    source=_DIRECTIVE,
    basis="recalled",
    model="Low action level, sensory effects, sinusoidal field, rms.",
    valid={"frequency": _FREQUENCY},
)
def low_action_level(frequency: float) -> float:
    """Return the low action level (T): 1 mT at 50 Hz, 0.3 mT at 1 kHz."""
    if frequency < 8.0:
        return 0.2 / frequency**2
    if frequency < 25.0:
        return 0.025 / frequency
    if frequency < 300.0:
        return 1e-3
    return max(0.3 / frequency, 1e-4)


@formula(
    text="1 Hz..3 kHz 3e5/f, above 100 (uT)",
    units={"frequency": "Hz", "return": "T"},
    source=_DIRECTIVE,
    basis="recalled",
    model="High action level, health effects on the nerves, sinusoidal field, rms.",
    valid={"frequency": _FREQUENCY},
)
def high_action_level(frequency: float) -> float:
    """Return the high action level (T): 6 mT at 50 Hz, 0.3 mT at 1 kHz."""
    return max(0.3 / frequency, 1e-4)


@formula(
    text="1 Hz..3 kHz 9e5/f, above 300 (uT)",
    units={"frequency": "Hz", "return": "T"},
    source=_DIRECTIVE,
    basis="recalled",
    model="Action level for exposure of the limbs only, sinusoidal field, rms.",
    valid={"frequency": _FREQUENCY},
)
def limb_action_level(frequency: float) -> float:
    """Return the action level for limbs (T): 18 mT at 50 Hz, 0.9 mT at 1 kHz."""
    return max(0.9 / frequency, 3e-4)
