"""The check of a rulebook finds what loading lets pass: false examples, dead rules, slots and topics nobody uses."""

from collections.abc import Callable

import pytest

from advisor.loading import Loaded
from advisor.rulecheck import check, example_faults

Small = Callable[[str], Loaded]
TAIL = '  because: B\n  source: invented\n  basis: recalled\n  kind: physics\n  checked: "2026-11"\n'


def rule(name: str, when: str, examples: str = "") -> str:
    return f"- rule: {name}\n  title: T\n  when: [{when}]\n  then: [{{caution: Take care.}}]\n{examples}{TAIL}"


def findings(loaded: Loaded) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for finding in check(loaded).findings:
        found.setdefault(finding.subject, []).append(finding.what)
    return found


def test_sound_examples_pass(small: Small) -> None:
    loaded = small(
        rule(
            "r",
            "{wash: {method: hose}}",
            "  fires: [{wash: {method: hose}}]\n  silent: [{wash: {method: wipe}}]\n",
        )
    )
    assert example_faults(loaded, "r") == []
    assert "r" not in findings(loaded)


def test_false_examples_are_found(small: Small) -> None:
    loaded = small(
        rule(
            "r",
            "{wash: {method: hose}}",
            "  fires: [{wash: {method: wipe}}]\n  silent: [{wash: {method: hose}}]\n",
        )
    )
    assert example_faults(loaded, "r") == [
        "example fires 1: the rule does not fire",
        "example silent 1: the rule fires",
    ]


def test_an_example_must_fire_for_certain(small: Small) -> None:
    loaded = small(rule("r", "{wash: {method: hose}}", "  fires: [{wash: {method: [hose, wipe]}}]\n"))
    assert example_faults(loaded, "r") == ["example fires 1: the rule does not fire"]


def test_an_example_that_cannot_be_read_is_a_finding(small: Small) -> None:
    loaded = small(rule("r", "{wash: {method: hose}}", "  fires: [{wash: {methods: hose, pressure: 5 m}}]\n"))
    faults = example_faults(loaded, "r")
    assert len(faults) == 2
    assert all(fault.startswith("example fires 1: ") for fault in faults)


def test_a_rule_without_example_is_found(small: Small) -> None:
    assert findings(small(rule("r", "{wash: {method: hose}}")))["r"] == ["has no example under 'fires'"]


def test_a_rule_that_can_never_fire_is_found(small: Small) -> None:
    found = findings(small(rule("r", '{column: {pressure: "> 5 bar"}}', "  fires: [{immersion: {kind: temporary}}]\n")))
    assert any("can never fire" in what for what in found["r"])


def test_slots_and_topics_nobody_uses_are_found(small: Small) -> None:
    found = findings(small(rule("r", "{wash: {method: hose}}")))
    assert found["immersion.depth"] == ["no rule reads this slot"]
    assert "wash.method" not in found
    assert "ingress.water" in found


def test_counts(small: Small) -> None:
    result = check(small(rule("r", "{wash: {method: hose}}") + rule("s", "{place: {}}", "  fires: [{}]\n")))
    assert (result.counts["rules"], result.counts["examples"]) == (2, 1)
    assert result.rules_by_basis == {"recalled": 2}
    assert set(result.as_json()) >= {"findings", "counts", "rules_by_basis", "rows_by_basis", "rules_by_kind"}


def test_every_shipped_rule_passes(loaded: Loaded, monkeypatch: pytest.MonkeyPatch) -> None:
    """The examples are left out here: each is a test of its own."""
    monkeypatch.setattr("advisor.rulecheck.example_faults", lambda *_: [])
    found = [finding for finding in check(loaded).findings if finding.subject in loaded.book.rules]
    assert not [f"{finding.place} {finding.subject}: {finding.what}" for finding in found]
