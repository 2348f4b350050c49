"""The strict check finds what is unsourced or untested, in the shipped rules and in a plant's own."""

from collections.abc import Callable
from pathlib import Path

import pytest

from advisor import cli
from advisor.loading import Loaded
from advisor.strictcheck import says_nothing, strict_findings

Small = Callable[[str], Loaded]
HOSE = "  fires: [{wash: {method: hose}}]\n  silent: [{wash: {method: wipe}}]\n"


def rule(when: str, examples: str, source: str = "invented", kind: str = "physics") -> str:
    return (
        f"- rule: r\n  title: T\n{when}  then: [{{caution: Take care.}}]\n{examples}  because: B\n"
        f'  source: "{source}"\n  basis: recalled\n  kind: {kind}\n  checked: "2026-11"\n'
    )


WHEN = "  when: [{wash: {method: hose}}]\n"


def findings(loaded: Loaded) -> list[str]:
    return [finding.what for finding in strict_findings(loaded) if finding.subject == "r"]


def test_a_sourced_and_tested_rule_passes(small: Small) -> None:
    assert findings(small(rule(WHEN, HOSE))) == []


def test_a_rule_without_a_silent_example_is_found(small: Small) -> None:
    assert findings(small(rule(WHEN, "  fires: [{wash: {method: hose}}]\n"))) == ["has no example under 'silent'"]


def test_a_rule_that_asks_nothing_needs_no_silent_example(small: Small) -> None:
    assert findings(small(rule("  when: [{place: {}}]\n", "  fires: [{}]\n"))) == []


def test_an_alternative_that_no_example_fires_is_found(small: Small) -> None:
    both = "  any:\n    - [wash: {method: hose}]\n    - [wash: {method: wipe}]\n"
    silent = "  fires: [{wash: {method: hose}}]\n  silent: [{wash: none}]\n"
    assert findings(small(rule(both, silent))) == ["alternative 2 under 'any' fires in none of its examples"]


@pytest.mark.parametrize(
    ("source", "kind", "fault"),
    [
        ("TODO", "physics", "says nothing"),
        ("???", "physics", "says nothing"),
        ("the standard", "standard", "no number"),
    ],
)
def test_a_source_that_says_nothing_is_found(small: Small, source: str, kind: str, fault: str) -> None:
    found = findings(small(rule(WHEN, HOSE, source, kind)))
    assert len(found) == 1
    assert fault in found[0]


def test_real_sources_say_something() -> None:
    assert not any(map(says_nothing, ("definition", "orifice law", "IEC 60529:1989, 14.2.9", "EN 10088")))


def test_the_shipped_rulebook_owes_nothing(loaded: Loaded) -> None:
    owed = [f"{finding.place}: {finding.subject}: {finding.what}" for finding in strict_findings(loaded)]
    assert not owed


def test_a_plants_own_rules_are_checked_as_strictly(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "own.yaml").write_text(rule(WHEN, "  fires: [{wash: {method: hose}}]\n", "TBD"), "utf-8")
    assert cli.main(["rulebook", "check", "--strict", "--rules", str(tmp_path)]) == 1
    said = [line for line in capsys.readouterr().out.splitlines() if str(tmp_path) in line]
    assert len(said) == 2
