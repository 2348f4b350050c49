"""Changes of a site that drop a demand: none is missed, none is larger than its step, and none relaxes a referral."""

from collections.abc import Callable

import pytest

from advisor.advise import Advisor
from advisor.faults import InputError
from advisor.relax import Relaxation, Relaxer
from advisor.site import Site
from advisor.whatif.goals import goals
from advisor.whatif.search import Search
from advisor.whatif.tracks import thresholds, tracks
from advisor.whatif.world import World

SiteOf = Callable[[str], Site]
LANCE = """
place: {setting: indoor}
unit: {kind: sensor, inside: filled}
wash: {method: lance, pressure: 85 bar, flow: 15 L/min, temperature: 70 degC, distance: 200 mm, detergent: no}
others: none
"""
HOSE = """
place: {setting: indoor}
unit: {kind: sensor, inside: filled}
wash: {method: hose, pressure: 25 bar, distance: 200 mm, temperature: 65 degC, nozzle: fan}
others: none
"""
DAMP = """
place: {setting: indoor}
unit: {kind: sensor, inside: filled}
atmosphere: {air: unheated}
air: {low: 5 degC, high: 40 degC, humidity: 70 %, coldest_surface: 15 degC}
wash: none
others: none
"""
EXPLOSIVE = """
place: {setting: indoor}
unit: {kind: sensor, inside: filled}
dust: [{kind: icing-sugar, amount: settling}]
others: none
"""


@pytest.fixture
def relaxer(advisor: Advisor, site_of: SiteOf) -> Callable[[str], Relaxer]:
    return lambda text: Relaxer(advisor, site_of(text))


def one(found: list[Relaxation]) -> Relaxation:
    assert len(found) == 1
    return found[0]


def test_no_single_change_is_missed_and_none_is_larger_than_its_step(advisor: Advisor, site_of: SiteOf) -> None:
    """Every option of every track is tried; the search has to come to the first that does, and on no other track."""
    site = site_of(HOSE)
    world = World(advisor, site)
    paths = tracks(site, advisor.book, thresholds(advisor.loaded.rules))
    goal = next(g for g in goals(world.start, advisor.book, lambda d: d.item, "ingress.water") if g.words == "IPX9")
    first: dict[tuple[str, str], str] = {}
    for track in paths:
        for option in track.options:
            outcome = world.after((option.edit,))
            if outcome is not None and goal.met(outcome):
                first.setdefault((track.slot.slot if track.slot else "", option.said.split(" ")[-1]), option.said)
                break
    found = Search(world, paths).singles(goal)
    by_search = {(t.slot.slot if t.slot else "", o.said.split(" ")[-1]): o.said for f in found for t, o in f.parts}
    # The instance is left out only where no smaller change does.
    assert by_search == {key: said for key, said in first.items() if key[0]}
    assert {"method", "pressure"} <= {slot for slot, _ in by_search}


def test_a_change_says_what_it_takes_and_what_else_it_shifts(relaxer: Callable[[str], Relaxer]) -> None:
    change = next(c for c in relaxer(LANCE).changes("ingress.water", "IPX9") if "method" in c.text)
    assert change.steps[0].before == "lance"
    assert change.steps[0].lever == "procedure"
    assert any(shift.before == "IPX9" and shift.kind == "dropped" for shift in change.shifts)
    assert change.lines[0].startswith("wash, method from lance to ")


def test_a_figure_comes_down_to_what_is_wanted(relaxer: Callable[[str], Relaxer]) -> None:
    found = one(relaxer(LANCE).relaxations("temperature.wash", "50 degC"))
    cooler = next(c for c in found.changes if "temperature" in c.text)
    assert cooler.steps[0].after == "50 °C"
    assert cooler.then == "at least 50 °C"


def test_a_value_that_the_topic_has_not_is_refused(relaxer: Callable[[str], Relaxer]) -> None:
    for topic, value in (("ingress.water", "IPX12"), ("temperature.wash", "3 bar"), ("material.seal", "unobtainium")):
        with pytest.raises(InputError):
            relaxer(LANCE).relaxations(topic, value)


def test_pairs_only_where_no_single_change_does(relaxer: Callable[[str], Relaxer]) -> None:
    found = one(relaxer(DAMP).relaxations("pollution"))
    assert found.paired
    assert found.changes
    assert all(len(change.steps) == 2 for change in found.changes)
    assert all(any("atmosphere" in step.about for step in change.steps) for change in found.changes)
    single = next(r for r in relaxer(LANCE).relaxations("ingress.water") if r.goal.words == "IPX9")
    assert not single.paired


def test_what_is_referred_is_no_goal(relaxer: Callable[[str], Relaxer]) -> None:
    made = relaxer(EXPLOSIVE)
    assert made.world().advice.notes["refer"]
    assert made.relaxations("refer") == []
    assert all(found.topic.topic != "refer" for found in made.relaxations())


def test_a_change_that_lets_a_referral_go_says_so(relaxer: Callable[[str], Relaxer]) -> None:
    changes = [change for found in relaxer(EXPLOSIVE).relaxations() for change in found.changes]
    leaving = [change for change in changes if "left out" in change.text]
    assert leaving
    for change in leaving:
        assert change.referrals
        assert any(line.startswith("Referral not made any more") for line in change.lines)
        assert all(shift.topic != "refer" for shift in change.better)


def test_an_open_answer_is_settled_and_not_moved(relaxer: Callable[[str], Relaxer]) -> None:
    site = LANCE.replace("pressure: 85 bar", "pressure: unknown")
    for found in relaxer(site).relaxations("ingress.water"):
        assert all("pressure" not in change.text for change in found.changes)
        if found.goal.state == "open":
            settled = [entry for entry in found.settled if entry.slot == "pressure"]
            assert settled
            assert settled[0].answers[0].startswith("at most")


def test_a_lower_end_never_passes_the_higher_one(relaxer: Callable[[str], Relaxer]) -> None:
    for found in relaxer(DAMP).relaxations():
        for change in found.changes:
            air = next(i for i in change.site.instances if i.template == "air").answers  # type: ignore[union-attr]
            low, high = air["low"].domain, air["high"].domain
            assert low.low <= high.high  # type: ignore[union-attr]


def test_answers_that_clash_are_no_way_out(relaxer: Callable[[str], Relaxer]) -> None:
    for found in relaxer(LANCE + "food: {zone: splash, cleaning: wet, product: raw-meat}\n").relaxations():
        for change in found.changes:
            assert not any(shift.topic == "conflict" and shift.kind == "new" for shift in change.shifts)


def test_nothing_is_offered_where_nothing_can_be_moved(relaxer: Callable[[str], Relaxer]) -> None:
    found = one(relaxer("place: {setting: indoor}\nunit: {kind: sensor}\nothers: none\n").relaxations("ingress.solids"))
    assert found.changes == ()
    assert found.settled == ()


def test_a_lever_leads_only_where_the_vocabulary_says(relaxer: Callable[[str], Relaxer]) -> None:
    """A shield keeps the sun off; it does not put the unit behind a window."""
    sunny = DAMP.replace("wash: none", "sun: {exposure: open, finish: blue-paint, dirt: dirty}")
    relaxation = one(relaxer(sunny).relaxations("temperature.high"))
    assert [c.steps[0].after for c in relaxation.changes if c.steps[0].about == "sun, exposure"] == ["none"]
