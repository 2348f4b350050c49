"""The case book: sites with what the trade demands of them, each with its source, run one by one.

A file under `sites/` is a list of cases:

    - case: lance-at-150-mm
      source: "ING-R50; IEC 60529:1989+A1:1999+A2:2013, clause 6, 14.2.9"
      basis: common practice
      site: {wash: [{method: lance, pressure: 80 bar, distance: 150 mm, temperature: 75 degC}]}  # the rest is not there
      demands: {ingress.water: [IPX6, IPX9], temperature.wash: "75 degC"}   # certain, at least this much
      open: {ingress.solids: [IP6X]}                    # not certain, but open
      not demanded: {ingress.water: [IPX8]}             # neither certain nor open, nor covered by what is
      ruled out: {seal: [nbr]}                          # for certain
      stands: {seal: [epdm-peroxide]}                   # neither ruled out nor limited nor unknown
      says: {evidence: ["fresh water"], refer: ["Explosive dust"]}   # words that a certain note holds
      silent: {refer: [""]}                             # no certain note on the topic holds these words
      within: "1 %"                  # tolerance of figures, if they are to be met and not only reached
"""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from advisor import quantities, yamlfile
from advisor.advise import Advice, Advisor
from advisor.loading import load
from advisor.outcomes import meets_code
from advisor.rulebook import Rulebook
from advisor.site import read_site
from advisor.topics import Demand
from advisor.yamlfile import Document

FOLDER = Path(__file__).parent / "sites"
KEYS = {
    "case", "source", "basis", "site", "demands", "open", "not demanded", "ruled out", "stands", "says", "silent",
    "within", "note",
}  # fmt: skip


def cases() -> list[Any]:
    found = []
    for path in sorted(FOLDER.glob("*.yaml")):
        for entry in yamlfile.load(path).data:
            found.append(pytest.param(entry, id=f"{path.stem}::{entry['case']}"))
    return found


@pytest.fixture(scope="module")
def advisor() -> Advisor:
    return Advisor(load())


@pytest.mark.parametrize("case", cases())
def test_site(case: dict[str, Any], advisor: Advisor) -> None:
    assert set(case) <= KEYS, f"unknown keys {set(case) - KEYS}"
    assert case["source"]
    assert case["basis"] in ("published", "recalled", "common practice")
    site = read_site(Document(case["case"], {"site": case["case"], "others": "none", **case["site"]}), advisor.book)
    advice = advisor.advise(site)
    assert not faults(case, advice, advisor.book), "\n".join(faults(case, advice, advisor.book))


def faults(case: Mapping[str, Any], advice: Advice, book: Rulebook) -> list[str]:
    """Everything in which the advice is not what the case expects."""
    return [
        *_demanded(case, advice, book),
        *_opened(case, advice),
        *_needless(case, advice, book),
        *_materials(case, advice),
        *_notes(case, advice),
    ]


def _certain(advice: Advice, topic: str) -> list[Demand]:
    return [demand for demand in advice.on(topic) if demand.state == "certain"]


def _demanded(case: Mapping[str, Any], advice: Advice, book: Rulebook) -> list[str]:
    wrong = []
    for topic, wanted in case.get("demands", {}).items():
        entry = book.vocabulary.topics[topic]
        have = _certain(advice, topic)
        if isinstance(wanted, list):
            table = book.tables[entry.table or ""]
            for code in wanted:
                if not any(meets_code(table, entry, d.item, d.parameters, code, {})[0] == "meets" for d in have):
                    wrong.append(f"{topic}: {code} is not demanded, but {[d.item for d in have]}")
            continue
        if isinstance(wanted, dict):
            for name, figure in wanted["with"].items():
                low, _ = quantities.parse(figure, entry.parameters[name])
                best = max((d.parameters.get(name, 0.0) for d in have if d.item == wanted["item"]), default=None)
                if best is None or not _reaches(best, low, case, up=True):
                    wrong.append(f"{topic} {wanted['item']}: {name} {best} does not reach {figure}")
            continue
        value, _ = quantities.parse(wanted, entry.unit or "", difference=entry.difference)
        up = entry.join == "highest"
        if not any(d.value is not None and _reaches(d.value, value, case, up=up) for d in have):
            wrong.append(f"{topic}: {[d.value for d in have]} does not reach {wanted} ({value})")
    return wrong


def _reaches(have: float, wanted: float, case: Mapping[str, Any], *, up: bool) -> bool:
    if "within" in case:
        share = quantities.parse(case["within"], "percent")[0]
        return abs(have - wanted) <= share * abs(wanted)
    return have >= wanted * (1 - 1e-6) if up else have <= wanted * (1 + 1e-6)


def _opened(case: Mapping[str, Any], advice: Advice) -> list[str]:
    wrong = []
    for topic, codes in case.get("open", {}).items():
        have = {demand.item for demand in advice.on(topic) if demand.state == "open"}
        wrong += [f"{topic}: {code} is not open, but {sorted(have)}" for code in codes if code not in have]
    return wrong


def _needless(case: Mapping[str, Any], advice: Advice, book: Rulebook) -> list[str]:
    wrong = []
    for topic, codes in case.get("not demanded", {}).items():
        entry = book.vocabulary.topics[topic]
        have = advice.on(topic)
        if not codes and have:
            wrong.append(f"{topic} is demanded: {[d.item or d.value for d in have]}")
        table = book.tables.get(entry.table or "")
        for code in codes:
            for demand in have:
                if demand.item == code or (table and code in table.rows[demand.item].cells.get("covers", ())):
                    wrong.append(f"{topic}: {code} is demanded ({demand.item}, {demand.state}): {demand.texts[:1]}")
    return wrong


def _materials(case: Mapping[str, Any], advice: Advice) -> list[str]:
    wrong = []
    for key, wanted in (("ruled out", "attacked"), ("stands", "resists")):
        for role, names in case.get(key, {}).items():
            demands = advice.on(f"material.{role}")
            verdicts = {v.material: v for demand in demands for v in demand.materials}
            for name in names:
                verdict = verdicts.get(name)
                have = (verdict.certain if key == "ruled out" else verdict.possible) if verdict else "resists"
                if have != wanted:
                    reasons = [reason.text for reason in verdict.reasons][:2] if verdict else []
                    wrong.append(f"{role}: {name} is {have}, not {wanted}: {reasons}")
    return wrong


def _notes(case: Mapping[str, Any], advice: Advice) -> list[str]:
    wrong = []
    for topic, words in case.get("says", {}).items():
        texts = [demand.item for demand in _certain(advice, topic)]
        missing = [word for word in words if not any(word.lower() in text.lower() for text in texts)]
        wrong += [f"{topic}: no note holds {word!r}: {texts}" for word in missing]
    for topic, words in case.get("silent", {}).items():
        texts = [demand.item for demand in _certain(advice, topic)]
        wrong += [f"{topic}: a note holds {w!r}: {t}" for w in words for t in texts if w.lower() in t.lower()]
    return wrong
