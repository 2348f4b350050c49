"""Changes of a site's answers, and the changed site read again.

An `Edit` sets one slot of one instance to another answer, or leaves an instance out. The changed answers go through
the same reader as a site file, so that presets, assumptions and whether a slot applies come out as they would for a
file that says so; only templates that the change can touch are read again. Raises InputError where the changed
answers are no valid site.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from advisor.answers import Entry, reconcile, relevant
from advisor.engine.facts import Fact
from advisor.rulebook import Rulebook
from advisor.site import Instance, Site, SiteReader
from advisor.yamlfile import Document

NONE = "none"


@dataclass(frozen=True)
class Edit:
    """One changed answer: `value` is written as in a site file. An empty slot leaves the instance out."""

    template: str
    instance: str
    """The instance's identity, such as `wash#2`."""
    slot: str
    value: str | float = NONE

    @property
    def place(self) -> tuple[str, str]:
        return self.instance, self.slot


def apply(told: Mapping[str, Any], edits: Iterable[Edit]) -> dict[str, Any]:
    """Return the told data with the edits; the data given is left as it is."""
    data = dict(told)
    gone: dict[str, set[int]] = {}
    for edit in edits:
        entry, number = data.get(edit.template), _number(edit.instance)
        if not edit.slot:
            gone.setdefault(edit.template, set()).add(number)
        elif isinstance(entry, list):
            data[edit.template] = [
                {**own, edit.slot: edit.value} if place == number else own for place, own in enumerate(entry)
            ]
        else:
            data[edit.template] = {**(entry if isinstance(entry, dict) else {}), edit.slot: edit.value}
    for template, numbers in gone.items():
        entry = data.get(template)
        left = [own for place, own in enumerate(entry) if place not in numbers] if isinstance(entry, list) else []
        data[template] = left or NONE
    return data


def _number(instance: str) -> int:
    _, mark, number = instance.partition("#")
    return int(number) - 1 if mark else 0


class SiteEditor:
    """Reads one site again and again with small changes."""

    def __init__(self, site: Site, book: Rulebook) -> None:
        self.site, self.book = site, book
        reader = self._reader(dict(site.told))
        self.asked = reader.asked
        self._raw = {name: list(reader.instances(entry, dict(site.told))) for name, entry in self.asked.items()}
        reader.faults.raise_any()
        self._gated = self._reconciled(self._raw, site.told, [])
        self._instances: dict[str, list[Instance]] = {name: [] for name in self.asked}
        for instance in site.instances:
            self._instances[instance.template].append(instance)
        self._hang_on: dict[str, set[str]] = {}
        for name, template in self.asked.items():
            for slot in template.slots:
                for other in slot.relevant or {}:
                    self._hang_on.setdefault(other, set()).add(name)

    def edited(self, edits: Sequence[Edit]) -> tuple[Site, dict[str, list[Fact]]]:
        """Return the changed site, and the facts of every template that the change touches."""
        return self.told(apply(self.site.told, edits), {edit.template for edit in edits})

    def told(self, data: dict[str, Any], templates: Iterable[str]) -> tuple[Site, dict[str, list[Fact]]]:
        """Return the site with other told data, which differs from its own in the templates named."""
        reader = self._reader(data)
        raw = dict(self._raw)
        for name in templates:
            raw[name] = list(reader.instances(self.asked[name], data))
        reader.faults.raise_any()
        unused: list[str] = []
        gated = self._reconciled(raw, data, unused)
        changed = {name for name in gated if gated[name] != self._gated[name]}
        changed |= {name for other in changed for name in self._hang_on.get(other, ())}
        instances = dict(self._instances)
        for name in changed:
            instances[name] = [
                Instance(name, identity, label, certain,
                         relevant(self.asked[name], answers, gated, label, self.book, unused))
                for identity, label, certain, answers in gated[name]
            ]  # fmt: skip
        site = Site(
            self.site.name, self.site.about, self.site.date, self.site.reference,
            tuple(instance for entries in instances.values() for instance in entries), tuple(unused), data,
        )  # fmt: skip
        return site, {name: [instance.fact() for instance in instances[name]] for name in changed}

    def _reader(self, data: dict[str, Any]) -> SiteReader:
        return SiteReader(Document("what if", data), self.book, claims=False)

    def _reconciled(
        self, raw: Mapping[str, list[Entry]], data: Mapping[str, Any], unused: list[str]
    ) -> dict[str, list[Entry]]:
        """Let the answers speak of each other, on copies: reconciling writes into them."""
        copied = {name: [(*entry[:3], dict(entry[3])) for entry in entries] for name, entries in raw.items()}
        reconcile(self.asked, copied, data, self.book, unused)
        return copied
