"""What the tests do not reach: rules that fire in no whole site, rows that no test names, numerals without a case.

`uncovered.yaml` lists what is left with the reason; a test fails with what is missing there and with what is listed for
nothing. That every rule fires in one example and is silent in another is held by the strict check.
"""

import functools
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import strategies
import test_sheets
import test_sites
from conftest import ROOT

from advisor import yamlfile
from advisor.engine.bounds import evaluate
from advisor.site import read_site
from advisor.tables import plain
from advisor.topics import Demand
from advisor.values import Words
from advisor.yamlfile import Document

LEFT = yamlfile.load(Path(__file__).parent / "uncovered.yaml").data


def whole_sites() -> Iterator[tuple[str, dict[str, Any]]]:
    """Every site of the case book and of the scenarios, as the data of a site file."""
    for parameters in test_sites.cases():
        case = parameters.values[0]
        yield case["case"], {"site": case["case"], "others": "none", **case["site"]}
    for path in sorted((ROOT / "scenarios").glob("*/site.yaml")):
        yield path.parent.name, yamlfile.load(path).data


def told() -> Iterator[dict[str, Any]]:
    """All that any test tells of a site or a sheet: whole sites, and the examples of the rules."""
    yield from (data for _, data in whole_sites())
    for rule in strategies.rulebook().book.rules.values():
        yield from (*rule.fires, *rule.silent)


@functools.cache
def runs() -> tuple[set[str], set[tuple[str, str]]]:
    """The rules that fire in whole sites, and (table, row) of every row that a fact of theirs names."""
    loaded = strategies.rulebook()
    fired: set[str] = set()
    named: set[tuple[str, str]] = set()
    for name, data in whole_sites():
        facts = read_site(Document(name, data), loaded.book).facts()
        run = evaluate(loaded.rules, [fact for fact in facts if fact.certain], loaded.book, certain=True)
        fired |= {why.rule for reasons in run.justifications.values() for why in reasons}
        for fact in run.facts.values():
            slots = loaded.book.vocabulary.templates[fact.template].by_name if " " not in fact.template else {}
            topic = loaded.book.vocabulary.topics.get(fact.template.partition(" ")[2])
            for slot, domain in fact.slots.items():
                table = slots[slot].row if slot in slots else topic.table if topic and slot == "item" else None
                if table and isinstance(domain, Words) and domain.point:
                    named |= {(table, word) for word in domain.options}
    return fired, named


@functools.cache
def rows_named() -> set[tuple[str, str]]:
    """(table, row) of every row that an answer of a test names, by any of its names."""
    book, found = strategies.rulebook().book, set(runs()[1])
    for data in told():
        for name, value in data.items():
            template = book.vocabulary.templates.get(name)
            for entry in (value if isinstance(value, list) else [value]) if template else ():
                for key, raw in entry.items() if isinstance(entry, dict) else ():
                    slot = template.by_name.get(key)
                    table = template.presets if key == "preset" else slot.row if slot else None
                    for word in (raw if isinstance(raw, list) else [raw]) if table else ():
                        found |= {(table, row) for row in book.tables[table].spellings.get(plain(str(word)), ())}
    return found


def answer_rows() -> set[tuple[str, str]]:
    """(table, row) of every row that an answer of a site may name."""
    book = strategies.rulebook().book
    asked = strategies.asked().values()
    tables = {slot.row for template in asked for slot in template.slots if slot.row}
    tables |= {template.presets for template in asked if template.presets}
    return {(table, row) for table in tables for row in book.tables[table].rows}


def places_of(table: str) -> Iterator[tuple[str, str]]:
    """(template, slot or 'preset') of every answer that names a row of the table."""
    for name, template in strategies.asked().items():
        yield from ((name, slot.slot) for slot in template.slots if slot.row == table)
        yield from ((name, "preset") for _ in range(template.presets == table))


def settled(demand: Demand) -> bool:
    """Whether only rules made it that say nothing while an answer is open."""
    rules = strategies.rulebook().book.rules
    makers = [rules.get(maker.rpartition(".")[0]) for maker in strategies.makers(demand)]
    return not demand.value and any(rule is not None and rule.certain_only for rule in makers)


@pytest.mark.parametrize("table", sorted({table for table, _ in answer_rows()}))
def test_a_row_asks_no_more_than_an_open_answer_allows(table: str) -> None:
    """Rows that no other test names: what one asks for certain is among what is asked while the answer is open.

    Materials are left out: while no agent is named none is ruled out.
    """
    loaded = strategies.rulebook()
    template, slot = next(places_of(table))
    opened = strategies.everything(strategies.advise(strategies.read({"others": "none", template: {}})))
    unnamed = [row for row in loaded.book.tables[table].rows if (table, row) not in rows_named()]
    assumed = {
        name for name, entry in strategies.asked()[template].by_name.items() if entry.assume or entry.assume_cell
    }
    for row in unnamed:
        site = strategies.read({"others": "none", template: {slot: row}})
        sure = [d for d in strategies.everything(strategies.advise(site), "certain") if not (d.materials or settled(d))]
        # What is assumed while nothing is told may be milder than a preset; the report says what was assumed.
        told_otherwise = slot == "preset" and assumed & set(loaded.book.tables[table].rows[row].cells)
        more = [] if told_otherwise else strategies.uncovered(sure, opened, certain=False)
        assert not more, f"{table}, {row}: {more}"


def test_every_rule_fires_in_a_whole_site_or_is_listed() -> None:
    traps = {rule for _, case in test_sheets.CASES for rule in case.get("traps", ())}
    silent = set(strategies.rulebook().book.rules) - runs()[0] - traps
    listed = {rule for entry in LEFT["rules"] for rule in entry["rules"]}
    assert not silent - listed, f"fire in no case and are not listed: {sorted(silent - listed)}"
    assert not listed - silent, f"are listed, but fire in a case: {sorted(listed - silent)}"


def test_every_second_numeral_has_a_case() -> None:
    book = strategies.rulebook().book
    demanded = {
        code
        for parameters in test_sites.cases()
        for wanted in [parameters.values[0].get("demands", {}).get("ingress.water", [])]
        for code in (wanted if isinstance(wanted, list) else [wanted["item"]])
    }
    listed = {code for entry in LEFT["second numerals"] for code in entry["codes"]}
    left = set(book.tables["water_codes"].rows) - demanded
    assert left == listed, f"without a case: {sorted(left - listed)}; listed for nothing: {sorted(listed - left)}"
