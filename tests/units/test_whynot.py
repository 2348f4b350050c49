"""Why not: the nearest silent rules first, each with the first condition that failed."""

from collections.abc import Callable

from advisor.advise import Advice, Advisor
from advisor.engine.bounds import evaluate
from advisor.loading import Loaded
from advisor.report.requirement import DocumentBuilder
from advisor.rulecheck import example_site
from advisor.whynot import Miss, near_misses

Small = Callable[[str], Loaded]
TAIL = '  because: B\n  source: invented\n  basis: recalled\n  kind: physics\n  checked: "2026-11"\n'
RULES = f"""
- rule: jet
  title: T
  when: [{{wash: {{method: [hose, lance]}}}}]
  derive: {{jet: {{pressure: wash.pressure}}}}
{TAIL}
- rule: code
  title: T
  when: [{{jet: {{pressure: "> 5 bar"}}}}]
  then: [{{demand: {{topic: ingress.water, item: [IPX5]}}}}]
{TAIL}
- rule: dipped
  title: T
  when: [{{immersion: {{kind: temporary}}}}, {{place: {{setting: outdoor}}}}]
  unless: [{{place: {{altitude: "> 1000 m"}}}}]
  then: [{{demand: {{topic: ingress.water, item: [IPX8]}}}}]
{TAIL}
"""


def misses(loaded: Loaded, topic: str, item: str, **told: object) -> list[Miss]:
    run = evaluate(loaded.rules, example_site(told, loaded.book, "x").facts(), loaded.book, certain=False)
    return near_misses(topic, item, run, loaded.rules, loaded.book)


def test_the_value_and_the_threshold_are_named(small: Small) -> None:
    (miss,) = misses(small(RULES), "ingress.water", "IPX5", wash={"method": "hose", "pressure": "3 bar"})
    assert miss.rule.rule.rule == "code"
    assert miss.failed == "jet: pressure (3 bar) would have to be > 5 bar"


def test_what_is_missing_is_followed_to_the_answer(small: Small) -> None:
    (miss,) = misses(small(RULES), "ingress.water", "IPX5", wash={"method": "wipe"})
    assert "there is no jet" in miss.failed
    assert "method (wipe)" in miss.failed


def test_a_rule_for_a_covering_code_counts(small: Small) -> None:
    """IPX8 covers IPX7, so a rule for IPX8 would have asked for IPX7 as well."""
    told = {"immersion": "none", "place": {"setting": "indoor"}, "wash": "none"}
    (miss,) = misses(small(RULES), "ingress.water", "IPX7", **told)
    assert (miss.rule.rule.rule, miss.count) == ("dipped", 2)


def test_the_nearest_comes_first(small: Small) -> None:
    told = {"immersion": {"kind": "temporary"}, "place": {"setting": "indoor"}, "wash": "none"}
    found = misses(small(RULES), "ingress.water", "", **told)
    assert [miss.rule.rule.rule for miss in found] == ["code", "dipped"]
    assert found[0].count <= found[1].count


def test_an_exclusion_is_named(small: Small) -> None:
    told = {
        "immersion": {"kind": "temporary"},
        "place": {"setting": "outdoor", "altitude": "2000 m"},
        "wash": "none",
    }
    (miss,) = misses(small(RULES), "ingress.water", "IPX8", **told)
    assert "excludes the rule" in miss.failed


def test_what_fires_possibly_is_no_miss(small: Small) -> None:
    assert not misses(small(RULES), "ingress.water", "IPX5", wash={"method": "hose"})


def test_the_shipped_rules_say_why_there_is_no_ipx9(advise: Callable[[str], Advice], advisor: Advisor) -> None:
    topic = advisor.book.vocabulary.topics["ingress.water"]
    dry = "wash: {method: wipe}\nimmersion: none\nweather: {rain: none, ice: no}\nplace: {setting: indoor}"
    why = DocumentBuilder(advise(dry), advisor).explanation(topic, "IPX9")
    assert not why.demands
    assert len(why.why_not) >= 2
    assert any("wipe" in miss.failed for miss in why.why_not)
    assert all(miss.source and miss.because for miss in why.why_not)
