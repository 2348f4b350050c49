"""Corrosion of metals: what alloying buys, what chloride and heat ask for, and how far two metals are apart.

Contract: pure functions on SI floats. Chloride is a mass in a volume (kg/m3; 1 mg/L is 0.001 kg/m3). The pitting
resistance equivalent (PREN) ranks stainless steels within one family; it is no service limit, and it must not be
used for sulphurised or hardened steels. Where a formula answers with a PREN it means the class of steel of which
that figure is the lowest, so that a class is passed by every grade the trade counts in it.
"""

import itertools
import math

from .registry import formula

PLAIN, MOLYBDENUM, DUPLEX, SUPER, NONE = 15.0, 22.5, 30.5, 37.1, 60.0
"""Lowest PREN of the classes: 18 % chromium, 2 % molybdenum, 22 % chromium duplex, superduplex and 6 % molybdenum;
the last is above every stainless steel, and leaves nickel alloys and titanium."""

_ICE = 273.15
_GUIDE = (
    "20 degC: Nickel Development Institute, reference book 11003 (1987), crevice attack in natural waters, and"
    " technical paper 10087; 60 to 130 degC: guide lines for gasketed heat exchangers in general trade use; cold"
    " brine on super grades: screening figures of corrosion handbooks; rest interpolated"
)
_EN = "EN 1993-1-4:2006+A1:2015, annex A"

_LIMITS: tuple[tuple[float, tuple[tuple[float, float], ...]], ...] = (
    (PLAIN, ((20, 200), (40, 100), (60, 50), (80, 25), (120, 10), (130, 8))),
    (MOLYBDENUM, ((20, 1000), (40, 500), (60, 300), (80, 150), (120, 80), (130, 25))),
    (DUPLEX, ((20, 3600), (40, 2000), (60, 1000), (80, 500), (120, 100), (130, 50))),
    (SUPER, ((20, 180000), (35, 19400), (60, 6000), (80, 3000), (120, 300), (130, 300))),
)
"""For each class the highest chloride in mg/L at a temperature in degC of the metal, with a tight crevice."""


@formula(
    text="PREN = Cr + 3.3 (Mo + 0.5 W) + 16 N",
    units={"cr": "", "mo": "", "n": "", "w": "", "nitrogen_factor": "", "return": ""},
    source="International Molybdenum Association, comparison of PREN formulas; ISO 15156-3; British Stainless Steel"
    " Association, calculation of pitting resistance equivalent numbers",
    basis="published",
    model="austenitic and duplex steels; nitrogen factor 0 for ferritic ones. Not for sulphurised or hardened steels",
    valid={"cr": (0.0, 40.0), "mo": (0.0, 30.0), "n": (0.0, 1.0), "w": (0.0, 10.0), "nitrogen_factor": (0.0, 30.0)},
)
def pren(cr: float, mo: float, n: float, w: float = 0.0, nitrogen_factor: float = 16.0) -> float:
    """Return the pitting resistance equivalent for contents in percent by mass."""
    return cr + 3.3 * (mo + 0.5 * w) + nitrogen_factor * n


def _limit(points: tuple[tuple[float, float], ...], celsius: float) -> float:
    """Return the chloride limit in mg/L at a temperature, straight in the logarithm between the points."""
    if celsius <= points[0][0]:
        return points[0][1]
    for (cold, high), (hot, low) in itertools.pairwise(points):
        if celsius <= hot:
            return math.exp(math.log(high) + (celsius - cold) / (hot - cold) * math.log(low / high))
    return points[-1][1]


@formula(
    text="lowest class of steel whose chloride limit at that temperature is not passed: 15 (18 Cr), 22.5 (2 Mo),"
    " 30.5 (22 Cr duplex), 37.1 (superduplex, 6 Mo), 60 (none)",
    units={"chloride": "kg/m**3", "temperature": "K", "return": ""},
    source=_GUIDE,
    basis="common practice",
    model="near-neutral aerated water (pH 6.5 to 8.5) without chlorine, with a crevice as under a nut or gasket; the"
    " duplex and 6 Mo curves are uncertain when hot",
    valid={"chloride": (0.0, 1000.0), "temperature": (203.15, 403.15)},
)
def required_pren(chloride: float, temperature: float) -> float:
    """Return the lowest PREN that a steel needs in water with chloride (kg/m3) at a temperature in kelvin."""
    for lowest, points in _LIMITS:
        if chloride * 1000.0 <= _limit(points, temperature - _ICE) * (1 + 1e-9):
            return lowest
    return NONE


@formula(
    text="chloride = share x w x (998 + 740 w)",
    units={"strength": "", "share": "", "return": "kg/m**3"},
    source="atomic masses (share 0.6066 for sodium chloride, 0.6389 for calcium chloride); density of brine at 20 degC"
    " after Perry's Chemical Engineers' Handbook, straight line within 1 % for sodium chloride",
    basis="published",
    valid={"strength": (0.0, 0.4), "share": (0.0, 1.0)},
)
def chloride_of_salt(strength: float, share: float) -> float:
    """Return the chloride in kg/m3 of a brine with a mass fraction of salt of which `share` is chloride."""
    return share * strength * (998.0 + 740.0 * strength)


@formula(
    text="what dries is counted with ten times its strength, up to 50 % or with its own if that is more",
    units={"strength": "", "return": ""},
    source="wash-down practice: 2 % that dries on a face passes through 20 to 50 %",
    basis="common practice",
    model="the strength over which a film spends most of its last minutes; salts end as crusts",
    valid={"strength": (0.0, 1.0)},
)
def dried_strength(strength: float) -> float:
    """Return the mass fraction with which a drying film of a mass fraction must be counted."""
    return max(strength, min(0.5, 10.0 * strength))


@formula(
    text="F1 = 0 beyond 10 km of the sea and 100 m of salted roads; -3 to 1 km or 10 m; -7 to 250 m or nearer than"
    " 10 m; within 250 m of the sea that of the coast",
    units={"sea": "m", "road": "m", "coast": "", "return": ""},
    source=_EN,
    basis="published",
    model="the more negative of what the sea and what the road gives",
    valid={"sea": (0.0, 1e8), "road": (0.0, 1e8), "coast": (-15.0, -10.0)},
)
def salt_score(sea: float, road: float, coast: float) -> float:
    """Return the score F1 for the distances to the sea and to a salted road in m, with the score of the coast."""
    from_sea = coast if sea <= 250 else -7.0 if sea <= 1000 else -3.0 if sea <= 10000 else 0.0
    from_road = -7.0 if road <= 10 else -3.0 if road <= 100 else 0.0
    return min(from_sea, from_road)


@formula(
    text="F2 = 0 below 10 ug/m3 of sulphur dioxide, -5 from 10, -10 from 90",
    units={"sulphur_dioxide": "kg/m**3", "return": ""},
    source=_EN,
    basis="published",
    valid={"sulphur_dioxide": (0.0, 1e-3)},
)
def sulphur_score(sulphur_dioxide: float) -> float:
    """Return the score F2 for a mean of sulphur dioxide in air in kg/m3; a bound counts to the harsher side."""
    micrograms = sulphur_dioxide * 1e9
    return -10.0 if micrograms >= 90 * (1 - 1e-9) else -5.0 if micrograms >= 10 * (1 - 1e-9) else 0.0


@formula(
    text="CRF = F1 + F2 + F3, with F3 = 0 where F1 + F2 >= 0",
    units={"salt": "", "sulphur": "", "washing": "", "return": ""},
    source=_EN,
    basis="published",
    valid={"salt": (-15.0, 1.0), "sulphur": (-10.0, 0.0), "washing": (-7.0, 0.0)},
)
def resistance_factor(salt: float, sulphur: float, washing: float) -> float:
    """Return the corrosion resistance factor of a place from its three scores."""
    return salt + sulphur + (washing if salt + sulphur < 0 else 0.0)


@formula(
    text="class I for 1, II above -7, III above -15, IV from -20, V below; as the lowest PREN of each class",
    units={"factor": "", "return": ""},
    source=f"{_EN}, tables A.2 and A.3, read as the lowest PREN of the listed grades",
    basis="recalled",
    model="austenitic and duplex grades; ferritic ones stand in class I only, sulphurised and hardened ones in none",
    valid={"factor": (-32.0, 1.0)},
)
def class_pren(factor: float) -> float:
    """Return the lowest PREN of the grades in the corrosion resistance class of a factor (10.5 for class I)."""
    if factor > 0:
        return 10.5
    return PLAIN if factor > -7 else MOLYBDENUM if factor > -15 else DUPLEX if factor >= -20 else SUPER


@formula(
    text="excess = higher - lower - permitted difference",
    units={"higher": "V", "lower": "V", "permitted": "V", "return": "V"},
    source="MIL-DTL-14072F, clause 3.13 and table VI",
    basis="published",
    model="of the index in volts below gold the higher metal is eaten, of sea-water potentials the lower one",
    valid={"higher": (-3.0, 3.0), "lower": (-3.0, 3.0), "permitted": (0.0, 1.0)},
)
def couple_excess(higher: float, lower: float, permitted: float) -> float:
    """Return by how many volts a couple passes the permitted difference; negative where it keeps it."""
    # the tables give hundredths of a volt, and what binary fractions leave over at the limit itself is no excess
    return round(higher - lower - permitted, 9)
