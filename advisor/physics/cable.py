"""Cables and threads at a unit: bend radius, torsion, preload of a lock nut.

Metres, radians, newton metres. The permitted multiples, rates and torques are trade figures and stand in
tables.
"""

from .registry import formula


@formula(
    text="r = n d",
    units={"diameter": "m", "multiple": "", "return": "m"},
    source="Cable practice: multiples of the outer diameter, fixed 4 to 6, moving 10, drag chain 7.5 to 12.5",
    basis="common practice",
    valid={"diameter": (0.0, 0.2), "multiple": (1.0, 40.0)},
)
def bend_radius(diameter: float, multiple: float) -> float:
    """Return the least inner bend radius (m) of a cable of outer `diameter` (m)."""
    return multiple * diameter


@formula(
    text="rate = angle / length",
    units={"angle": "rad", "length": "m", "return": "rad/m"},
    source="Geometry",
    basis="published",
    model="Twist spread evenly over the free length.",
    valid={"angle": (0.0, 50.0), "length": (0.01, 100.0)},
)
def torsion(angle: float, length: float) -> float:
    """Return the torsion (rad/m) of a cable twisted by `angle` (rad, one way) over its free `length` (m)."""
    return angle / length


@formula(
    text="F = T / (K d)",
    units={"torque": "N*m", "nut_factor": "", "diameter": "m", "return": "N"},
    source="Nut-factor rule, machine design textbooks; K = 0.2 for dry bolts",
    basis="common practice",
    model="Scatters by 30 percent on thin tube with fine thread: indicative only.",
    valid={"torque": (0.0, 1000.0), "nut_factor": (0.05, 0.5), "diameter": (1e-3, 0.2)},
)
def preload(torque: float, nut_factor: float, diameter: float) -> float:
    """Return the axial force (N) in a thread of `diameter` (m) tightened with `torque` (N m)."""
    return torque / (nut_factor * diameter)
