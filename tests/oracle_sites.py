"""Sites told in full, for engines that know no open answers: what a site leaves open is filled in, over and over.

What a filled answer opens in turn is filled in the next round. The figures are the ends and thresholds that the rules
test, or points beside and between them.
"""

import random
from collections.abc import Mapping
from typing import Any

from strategies import Told, asked, read, thresholds, written

from advisor.answers import Answer
from advisor.site import Instance, Site
from advisor.values import Absent, Span, Words

MOST_ROUNDS = 8


def told_in_full(told: Mapping[str, Any], seed: int) -> Site | None:
    """Return the site with every open answer settled; None if one stays in doubt, as a row without a figure does."""
    pick = random.Random(seed)
    done: Told = {name: value for name, value in told.items() if value != "unknown"}
    for name, template in asked().items():
        if name not in done:
            done[name] = "none" if template.many or template.none else {}
    for _ in range(MOST_ROUNDS):
        site = read({**done, "others": "none"})
        open_ones = [(entry, name) for entry in site.instances if entry.template in asked()
                     for name, answer in entry.answers.items() if not settled(answer)]  # fmt: skip
        if not open_ones:
            return site
        for entry, name in open_ones:
            if isinstance(done[entry.template], str):
                done[entry.template] = {}
            place = done[entry.template]
            if isinstance(place, list):
                place = place[int(entry.id.partition("#")[2] or 1) - 1]
            place[name] = _point(entry, name, pick)
    return None


def settled(answer: Answer) -> bool:
    domain = answer.domain
    return isinstance(domain, Absent) or (domain.point and domain.told and not domain.maybe)


def _point(entry: Instance, name: str, pick: random.Random) -> str:
    slot, domain = asked()[entry.template].by_name[name], entry.answers[name].domain
    if isinstance(domain, Words):
        return pick.choice(sorted(domain.options))
    assert isinstance(domain, Span)
    if slot.kind != "span" or domain.point:
        return written(domain.low, slot)
    marks = [near for mark in thresholds().get((entry.template, name), ()) for near in (mark * 0.99, mark, mark * 1.01)]
    inside = [mark for mark in marks if domain.low <= mark <= domain.high]
    between = domain.low + (domain.high - domain.low) * pick.random() ** 3
    return written(pick.choice([*inside, between, between]), slot)


def as_told(site: Site) -> dict[str, tuple[str, frozenset[str], dict[str, Any]]]:
    """Return the site's facts in the form that `oracles.Naive` takes."""
    return {fact.id: (fact.template, fact.roots, {name: _plain(domain) for name, domain in fact.slots.items()})
            for fact in site.facts()}  # fmt: skip


def _plain(domain: Any) -> Any:
    if isinstance(domain, Span):
        return domain.low, domain.high, domain.told
    return domain.options if isinstance(domain, Words) else None
