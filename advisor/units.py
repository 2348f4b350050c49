"""What a spelling of a unit means: what it measures, and how it converts to coherent SI.

The units stand in `knowledge/vocabulary/units.yaml` in the grammar of pint, which reads every spelling once. What it
says of one is kept, in the cache too (`keep`), so that a short command with the usual units does not need pint at all:
its import and the reading of its definitions take longer than most sites do.
"""

import contextlib
import dataclasses
import functools
import hashlib
import re
from dataclasses import dataclass, field
from typing import Any

from advisor import cache, yamlfile
from advisor.faults import nearest, shorten
from advisor.resources import KNOWLEDGE

MOST_KEPT = 4096
"""Spellings; further ones are read by pint each time."""
_KIND = "units"


class QuantityError(ValueError):
    """Text that is no quantity of the wanted kind; `what` and `accepted` are for the person who wrote it."""

    def __init__(self, what: str, accepted: str = "") -> None:
        super().__init__(what, accepted)
        self.what, self.accepted = what, accepted


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: si = value * factor + zero. `si` names the coherent unit of its dimension, '' for a pure number."""

    si: str
    factor: float = 1.0
    zero: float = 0.0


@dataclass
class Spelled:
    """The file of units but for its definitions, and the spellings that have been read."""

    spellings: dict[str, str]
    coherent: list[str]
    common: dict[str, str]
    times: dict[str, float]
    absolute: list[str]
    stand_ins: dict[str, dict[str, float]]
    hedges: dict[str, list[str]]
    comma_thousands: list[str]
    counts: dict[str, float]
    asides: dict[str, list[str]]
    known: dict[str, Unit] = field(default_factory=dict)
    kept: int = 0
    """How many of the known ones stand in the cache."""


@functools.cache
def spelled() -> Spelled:
    """Return the file of units, from the cache where it stands there."""
    data = cache.read_plain(_name())
    with contextlib.suppress(TypeError, AttributeError, KeyError):  # what does not fit is read again from the file
        known = {word: Unit(*figures) for word, figures in data.pop("known").items()}
        return Spelled(**data, known=known, kept=len(known))
    return Spelled(**{name: entry for name, entry in _file().items() if name != "definitions"})


def keep() -> None:
    """Keep in the cache what has been read of spellings since it was read."""
    found = spelled()
    if len(found.known) > found.kept:
        found.kept = len(found.known)
        own = {name: getattr(found, name) for name in Spelled.__annotations__ if name not in ("known", "kept")}
        known = {word: dataclasses.astuple(unit) for word, unit in found.known.items()}
        cache.write_plain(_name(), {**own, "known": known})


def _name() -> str:
    path = KNOWLEDGE / "vocabulary" / "units.yaml"
    return f"{cache.name(hashlib.sha256(path.read_bytes()).hexdigest())}-{_KIND}"


def _file() -> dict[str, Any]:
    data: dict[str, Any] = yamlfile.load(KNOWLEDGE / "vocabulary" / "units.yaml", "units.yaml").data
    return data


@functools.cache
def _registry() -> Any:
    import pint

    # pint's own file of units costs a third of a second to read and knows few spellings of the trade.
    registry: Any = pint.UnitRegistry(None, cache_folder=None)
    registry.load_definitions(_file()["definitions"])
    return registry


def unit_of(text: str) -> Unit:
    """Return the unit for a spelling. Raises QuantityError with the nearest known spelling."""
    known = spelled().known
    unit = known.get(text)
    if unit is None:
        unit = _read(text)
        if len(known) < MOST_KEPT:
            known[text] = unit
    return unit


def _read(text: str) -> Unit:
    read = _by_pint(text)
    registry = _registry()
    si = _coherent(read)
    if all(registry._units[name].is_multiplicative for name in read._units):
        # The coherent units are pint's root units, so that the root factor is the whole conversion.
        return Unit(si, float(f"{float(registry.get_root_units(read)[0]):.15g}"))
    zero = float(registry.Quantity(0, read).to(si).magnitude)
    # A degree Celsius is a kelvin and a degree Fahrenheit 5/9 of one; the subtraction leaves a rounding.
    return Unit(si, float(f"{float(registry.Quantity(1, read).to(si).magnitude) - zero:.15g}"), zero)


def _by_pint(text: str) -> Any:
    found = spelled()
    word = " ".join(text.replace("·", "*").split())
    if word not in found.spellings and word not in found.absolute and not _plain_unit(word):
        raise QuantityError(f"{shorten(word)} is no known unit", "letters such as bar, L/min, kg/m3")
    if word in found.absolute:
        raise QuantityError(f"{text!r} is an absolute pressure", "a gauge pressure, or the slot for absolute pressure")
    for spelling in (found.spellings.get(word), word.replace("^", "**"), word.replace("^", "**").lower()):
        if spelling:
            try:
                return _registry().Unit(spelling)
            except Exception:  # noqa: BLE001, S112 - pint's parser raises many kinds for bad text
                continue
    names = [name for name in dir(_registry()) if not name.startswith("_")]
    raise QuantityError(f"{text!r} is no known unit", nearest(word, [*found.spellings, *names], most=8))


def _plain_unit(word: str) -> bool:
    """Tell whether pint may see the text: its parser drops trailing signs and works out towers of powers."""
    if len(word) > 60 or ".." in word or not re.fullmatch(r"(?:1 ?/ ?)?[A-Za-z°%µμΩ][\w°%µμΩ²³/*^().\- ]*|[°%]", word):
        return False
    if "%" in word and word != "%":
        return False
    powers = word.replace("^", "**")
    return word[-1] not in "./*^(-" and not re.search(r"[\d)]\s*\*\*|\*\*\s*[(\d-]\s*\d", powers)


def _coherent(read: Any) -> str:
    """Return the name of the coherent SI unit for the dimension of what pint has read."""
    if not read.dimensionality:
        return ""
    registry = _registry()
    for name in spelled().coherent:
        if registry.Unit(name).dimensionality == read.dimensionality:
            return name
    return str(format(registry.Quantity(1, read).to_base_units().units, "C"))
