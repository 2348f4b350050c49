"""The one compiled form: alternatives, layers, what a rule rests on, and circles."""

from collections.abc import Callable

import pytest

from advisor.engine.layers import consumed, produced
from advisor.faults import InputError
from advisor.loading import Loaded
from advisor.rulecheck import example_site

TAIL = '  because: B\n  source: invented\n  basis: recalled\n  kind: physics\n  checked: "2026-11"\n'
Small = Callable[[str], Loaded]


def rule(name: str, body: str) -> str:
    return f"- rule: {name}\n  title: {name}\n" + "".join(f"  {line}\n" for line in body.strip().splitlines()) + TAIL


JET = rule("jet", "when: [{wash: {method: hose}}]\nderive: {jet: {pressure: wash.pressure}}")
CODE = rule("code", 'when: [{jet: {pressure: "> 5 bar"}}]\nthen: [{demand: {topic: ingress.water, item: [IPX5]}}]')
PAPER = rule("paper", "when: [{demand: {topic: ingress.water, item: [IPX5]}}]\nthen: [{evidence: A report.}]")


def test_layers_follow_what_concludes_what(small: Small) -> None:
    loaded = small(PAPER + CODE + JET)
    assert [(entry.rule.rule, entry.layer) for entry in loaded.rules] == [
        ("jet", 0),
        ("code", 1),
        ("paper", 2),
    ]
    jet, code, paper = loaded.rules
    assert (consumed(jet, loaded.book), produced(jet)) == (set(), {"jet"})
    assert (consumed(code, loaded.book), produced(code)) == ({"jet"}, {"demand ingress.water"})
    assert (consumed(paper, loaded.book), produced(paper)) == ({"demand ingress.water"}, {"demand evidence"})


def test_each_alternative_is_a_rule_of_its_own(small: Small) -> None:
    alternatives = "any: [[{wash: {method: hose}}], [{immersion: {kind: temporary}}]]"
    body = f"when: [{{place: {{}}}}]\n{alternatives}\nthen: [{{caution: Wet.}}]"
    loaded = small(rule("wet", body))
    assert [(entry.variant, [pattern.alias for pattern in entry.patterns]) for entry in loaded.rules] == [
        (0, ["place", "wash"]),
        (1, ["place", "immersion"]),
    ]


def test_a_value_that_is_read_must_apply(small: Small) -> None:
    (jet,) = small(JET).rules
    assert [(test.slot, test.op) for test in jet.patterns[0].tests] == [
        ("method", "in"),
        ("pressure", "present"),
    ]


def test_unless_becomes_a_refusal_on_its_own_fact(small: Small) -> None:
    (entry,) = small(
        rule(
            "r",
            "when: [{wash: {}}]\nunless: [{wash: {method: wipe}}, {place: {setting: indoor}}]\nthen: [{caution: C.}]",
        )
    ).rules
    assert {pattern.alias: len(pattern.refusals) for pattern in entry.patterns} == {"wash": 1, "place": 1}


def test_a_template_may_be_bound_under_two_names(small: Small) -> None:
    when = 'when: [{"wash as hot": {temperature: "> 60 degC"}}, {"wash as cold": {temperature: "< 20 degC"}}]'
    body = when + '\nthen: [{caution: "{hot.temperature} then {cold.temperature}."}]'
    (entry,) = small(rule("shock", body)).rules
    assert [(pattern.alias, pattern.template) for pattern in entry.patterns] == [
        ("hot", "wash"),
        ("cold", "wash"),
    ]


def test_a_circle_names_every_rule_on_it(small: Small) -> None:
    one = rule("one", 'when: [{jet: {pressure: "> 5 bar"}}]\nderive: {column: {pressure: jet.pressure}}')
    two = rule("two", "when: [{column: {}}]\nthen: [{demand: {topic: ingress.water, item: [IPX5]}}]")
    three = rule("three", "when: [{demand: {topic: ingress.water, item: [IPX5]}}]\nderive: {jet: {pressure: 5 bar}}")
    with pytest.raises(InputError, match="circle") as caught:
        small(one + two + three + PAPER)
    assert all(name in str(caught.value) for name in ("one", "two", "three"))
    assert "paper" not in str(caught.value)


def test_compiling_for_a_site_drops_only_what_cannot_fire(small: Small) -> None:
    loaded = small(JET + CODE + PAPER + rule("wet", "when: [{immersion: {kind: temporary}}]\nthen: [{caution: Wet.}]"))
    dry = example_site({"wash": "none", "immersion": "none"}, loaded.book, "x").facts()
    hosed = example_site({"wash": {"method": "hose"}, "immersion": "none"}, loaded.book, "x").facts()
    assert [entry.rule.rule for entry in loaded.rules_for(dry)] == []
    assert [entry.rule.rule for entry in loaded.rules_for(hosed)] == ["jet", "code", "paper"]
