"""Holds the vocabulary against itself and the tables: names that exist, ranges that can be read."""

from collections.abc import Mapping

from advisor import quantities
from advisor.engine.conditions import ConditionError, compile_test, words_of
from advisor.faults import Collector, Place, nearest
from advisor.quantities import QuantityError
from advisor.rulebook import Rulebook
from advisor.vocabulary import Slot, Template


def check_vocabulary(book: Rulebook, faults: Collector) -> None:
    """Add a fault for every name or figure in templates and topics that leads nowhere."""
    for template in book.vocabulary.templates.values():
        place = Place(f"knowledge/vocabulary, template {template.template}")
        for slot in template.slots:
            where = Place(f"{place.path}, slot {slot.slot}")
            try:
                _check_slot(slot, template, book)
            except (ConditionError, QuantityError) as problem:
                faults.add(where, problem.what, problem.accepted)
        for other in template.kept_by:
            if other != "always" and other not in book.vocabulary.templates:
                faults.add(place, f"kept_by names {other!r}", nearest(other, ["always", *book.vocabulary.templates]))
        for key, groups in (("alternatives", template.alternatives), ("rising", template.rising)):
            for name in (name for group in groups for name in group):
                if name not in template.by_name:
                    faults.add(place, f"{key} name {name!r}", nearest(name, template.by_name))
        if template.presets is not None and template.presets not in book.tables:
            faults.add(place, f"there is no table {template.presets!r}", nearest(template.presets, book.tables))
        for name, value in (template.none or {}).items():
            slot_of = template.by_name.get(name)
            if slot_of is None or value not in words_of(slot_of, book.tables):
                faults.add(place, f"'none' sets {name}: {value}, which is no choice of the template")
    for topic in book.vocabulary.topics.values():
        if topic.join == "codes" and topic.table not in book.tables:
            faults.add(
                Place(f"knowledge/vocabulary, topic {topic.topic}"),
                f"there is no table {topic.table!r}",
                nearest(str(topic.table), book.tables),
            )


def _check_cell(cell: list[str], template: Template, book: Rulebook) -> None:
    source = template.by_name.get(cell[0])
    if source is None or source.row is None:
        raise ConditionError(
            f"assume_cell names {cell[0]!r}, which is no slot with a row", nearest(cell[0], template.by_name)
        )
    if cell[1] not in book.tables[source.row].columns:
        raise ConditionError(
            f"{source.row} has no column {cell[1]!r}", nearest(cell[1], book.tables[source.row].columns)
        )


def _check_swap(name: str, known: tuple[str, ...], book: Rulebook) -> None:
    table = book.tables.get(name)
    if table is None or "rows" not in table.columns:
        raise ConditionError(
            f"swap names {name!r}, which is no table with the column 'rows'", nearest(name, book.tables)
        )
    for key, row in table.rows.items():
        for word in row.cells.get("rows", ()):
            if word not in known:
                raise ConditionError(f"{name}, row {key}: {word!r} is no choice of the slot", nearest(word, known))


def _check_turn(gate: str, words: Mapping[str, str], template: Template, book: Rulebook) -> None:
    target = template.by_name.get(gate)
    if target is None:
        raise ConditionError(f"turns names {gate!r}, which is no slot here", nearest(gate, template.by_name))
    known = words_of(target, book.tables)
    for word in (*words, *words.values()):
        if word not in known:
            raise ConditionError(f"turns {gate} to or from {word!r}, which is no choice", nearest(word, known))


def _check_implied(path: str, words: list[str], book: Rulebook) -> None:
    name, _, inner = path.partition(".")
    template = book.vocabulary.templates.get(name)
    if template is None or inner not in template.by_name:
        raise ConditionError(f"implies {path!r}, which is no slot", nearest(name, book.vocabulary.templates))
    known = words_of(template.by_name[inner], book.tables)
    for word in words:
        if word not in known:
            raise ConditionError(f"implies {path} {word!r}, which is no choice", nearest(word, known))


def _check_slot(slot: Slot, template: Template, book: Rulebook) -> None:
    if not template.derived and not template.claimed and not slot.ask:
        raise ConditionError("a slot that is asked of the user needs its question", "ask: ...")
    if slot.plausible is not None:
        quantities.parse(slot.plausible, slot.unit or "", difference=slot.difference)
    for figure in slot.also if slot.kind == "span" else ():
        quantities.parse(figure, slot.unit or "", difference=slot.difference)
    if slot.row is not None:
        words_of(slot, book.tables)
    if slot.assume is not None and slot.kind == "span":
        quantities.parse(slot.assume, slot.unit or "", difference=slot.difference)
    if slot.assume is not None and slot.kind == "words" and slot.assume not in words_of(slot, book.tables):
        raise ConditionError(
            f"assume {slot.assume!r} is no choice", nearest(str(slot.assume), words_of(slot, book.tables))
        )
    if slot.assume_cell is not None:
        _check_cell(slot.assume_cell, template, book)
    for word in slot.toward:
        if word not in words_of(slot, book.tables):
            raise ConditionError(f"toward {word!r} is no choice", nearest(word, words_of(slot, book.tables)))
    for gate, words in slot.turns.items():
        _check_turn(gate, words, template, book)
    for path, implied in ((p, w) for besides in slot.implies.values() for p, w in besides.items()):
        _check_implied(path, implied, book)
    if slot.others_none_as is not None and slot.others_none_as not in template.by_name:
        near = nearest(slot.others_none_as, template.by_name)
        raise ConditionError(f"others_none_as {slot.others_none_as!r} is no slot here", near)
    if slot.swap is not None:
        _check_swap(slot.swap, words_of(slot, book.tables), book)
    for name, conditions in (slot.relevant or {}).items():
        other = book.vocabulary.templates.get(name)
        if other is None or other.derived:
            raise ConditionError(
                f"relevant: {name!r} is no template that is asked", nearest(name, book.vocabulary.templates)
            )
        if other.many and name != template.template:
            raise ConditionError(f"relevant: {name} may stand several times", "a template with one instance")
        for inner, raw in conditions.items():
            if inner not in other.by_name:
                raise ConditionError(f"relevant: {name} has no slot {inner!r}", nearest(inner, other.by_name))
            compile_test(other.by_name[inner], raw, book.tables)
