"""From ingress ratings and enclosure types on a spec sheet to claims on solids and water.

A code claims for each numeral; a Type also what the one-way table turns it into. Numeral 8 stands with its depth and
time, a jet with less pressure or colder water than its test is looked into.
"""

from collections.abc import Callable

from advisor import quantities
from advisor.notation import items as said
from advisor.physics import hydrostatics
from advisor.rulebook import Rulebook
from advisor.values import CLOSE

Adder = Callable[..., None]
"""Enters a claim: the topic, and by keyword what `claims.Claim` holds."""
_WEAKER = ("The pressure stated beside the rating is below that of its test: ask which test was run.",)
_COLDER = ("The water stated beside the rating is colder than that of its test: ask which test was run.",)
_ZERO = "Numeral 0 says that there is no protection."


class RatingReader:
    """Turns codes and Types into claims by one rulebook."""

    def __init__(self, book: Rulebook) -> None:
        self.water, self.solids = book.tables["water_codes"].rows, book.tables["solids_codes"].rows
        self.types = book.tables["enclosure_types"].rows
        self.conditions = book.tables["claim_conditions"].rows

    def ingress(self, item: said.IngressRating, place: int, add: Adder) -> None:
        solids, water = f"IP{item.first}X", f"IPX{item.second}"
        if solids in self.solids:
            add("ingress.solids", item=solids)
        elif item.first == "0" and not item.denied:
            add("ingress.solids", item=next(iter(self.solids)), worth="none", denied=True, more=(_ZERO,))
        if item.second == "0" and not item.denied:
            add("ingress.water", item=next(iter(self.water)), worth="none", denied=True, more=(_ZERO,))
        if water not in self.water:
            return
        # "IP54 ... IP69" is no list of what one enclosure has, since its first numeral is one only.
        if any(solids in row.cells["covers"] for row in self.solids.values()):
            place = ~(place * 10 + int(item.first[:1]))
        if item.second != "8":
            tested = self.water[water].cells.get("pressure")
            weaker = item.pressure_pa is not None and tested is not None and item.pressure_pa < tested[0] * (1 - CLOSE)
            heated, used = self.water[water].cells.get("temperature"), self._test_water(item)
            colder = heated is not None and used is not None and used < heated[0]
            more = _WEAKER * weaker + _COLDER * colder
            add("ingress.water", item=water, worth="conditional" if more else "full", more=more, place=place)
            return
        parameters = {}
        depth = immersion_depth(item)
        if depth is not None:
            parameters["depth"] = depth
        if item.duration_s is not None:
            parameters["duration"] = item.duration_s
        elif item.has("continuous"):
            parameters["duration"] = float("inf")
        missing = [name for name in ("depth", "duration") if name not in parameters]
        more = (f"IPX8 without {' and '.join(missing)} cannot be verified: ask for them.",) if missing else ()
        if item.pressure_pa is None or item.absolute or "pressure-unreferenced" not in item.notes:
            add("ingress.water", item=water, parameters=parameters, more=more)
            return
        # Gauge or absolute is not said: the smaller depth counts in full, the larger one only once it is confirmed.
        add("ingress.water", item=water, parameters=parameters, more=more, worth="conditional")
        least = hydrostatics.fresh_water_depth(max(0.0, hydrostatics.gauge_from_absolute(item.pressure_pa)))
        if least > 0:
            add("ingress.water", item=water, parameters={**parameters, "depth": least}, more=more, floor=True)

    def _test_water(self, item: said.IngressRating) -> float | None:
        """Return the temperature in kelvin of the water that a rating was tested with, by its figure or its words."""
        if item.water_degc is not None:
            return quantities.to_si(item.water_degc, "degC")
        rows = (self.conditions.get(condition.name.replace(" ", "-")) for condition in item.conditions)
        told = [float(row.cells["water"][0]) for row in rows if row is not None and "water" in row.cells]
        return min(told, default=None)

    def enclosure(self, item: said.EnclosureType, add: Adder) -> None:
        row = self.types.get(item.type)
        if row is None:
            return
        add("enclosure.type", item=item.type)
        turned = (f"{row.name} turned into an IP code by the one-way table of NEMA 250.",)
        if "solids" in row.cells:
            add("ingress.solids", item=row.cells["solids"], more=turned, floor=True)
        for code in row.cells.get("water", ()):
            parameters = {name: row.cells[name][0] for name in ("depth", "duration") if name in row.cells}
            add("ingress.water", item=code, parameters=parameters if code == "IPX8" else {}, more=turned, floor=True)


def immersion_depth(item: said.IngressRating) -> float | None:
    """Return the depth of fresh water that a rating states by itself or by a pressure, taken as gauge unless said."""
    if item.depth_m is not None:
        return item.depth_m
    if item.pressure_pa is None:
        return None
    gauge = hydrostatics.gauge_from_absolute(item.pressure_pa) if item.absolute else item.pressure_pa
    return hydrostatics.fresh_water_depth(gauge)
