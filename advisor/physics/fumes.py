"""Gases in air: from parts per million, as detectors read, to milligrams, as environmental classes are
written."""

from .registry import formula

GAS_CONSTANT = 8.314462618


@formula(
    text="c = x M p / (R T)",
    units={"fraction": "", "molar_mass": "kg/mol", "pressure": "Pa", "temperature": "K", "return": "kg/m**3"},
    source="Ideal gas law",
    basis="published",
    model="Volume fraction (1 ppm is 1e-6).",
    valid={
        "fraction": (0.0, 1.0),
        "molar_mass": (0.001, 0.5),
        "pressure": (1e3, 1e6),
        "temperature": (173.15, 573.15),
    },
)
def concentration(fraction: float, molar_mass: float, pressure: float, temperature: float) -> float:
    """Return the mass (kg) of a gas in a cubic metre of air: 20 ppm of ammonia at 20 degC are 14.2 mg."""
    return fraction * molar_mass * pressure / (GAS_CONSTANT * temperature)
