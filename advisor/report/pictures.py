"""Geometry of the pictures: claimed against demanded on one scale, for every topic that is a figure.

Nothing is judged here: the marks on the bars are the findings of the audit. All bars of a topic grow from the same
edge of one linear scale, from the left where more is harder and from the right where less is (the lowest temperature,
the roughness), so that in every picture a claim must reach at least as far as the demand. A demand that is not known
yet has only the hardest figure that is plausible; where that lies off the scale of what is known, its bar is cut.
"""

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from advisor import quantities
from advisor.document import ClaimEntry, FindingEntry, UnitEntry

WIDTH, MARGIN = 660, 14
BLOCK, BAR, HEAD, FOOT = 38, 13, 6, 34
_LONGEST = 92
_KNOWN = re.compile(r"(at least|at most|down to) (.+)\Z")
_NOT_KNOWN = re.compile(r"not known yet \((.+) is the hardest that is plausible\)\Z")


@dataclass(frozen=True)
class Goal:
    """A demanded figure as the document words it, in coherent SI; `known` is false where it is only plausible."""

    value: float
    unit: str
    up: bool | None
    known: bool
    state: str
    text: str


@dataclass(frozen=True)
class Bar:
    """One labelled bar. `kind` is demanded, pending, or a finding; `cut` where it runs off the scale."""

    kind: str
    label: str
    y: float
    x: float = 0.0
    width: float = 0.0
    cut: bool = False


@dataclass(frozen=True)
class Chart:
    """One picture with its scale; `goal` is the place of the certain demand, a line through all bars."""

    topic: str
    title: str
    bars: tuple[Bar, ...]
    ticks: tuple[tuple[float, str], ...]
    unit: str
    up: bool
    goal: float | None
    height: float
    width: float = WIDTH

    @property
    def summary(self) -> str:
        """The picture in words, for those who do not see it."""
        return f"{self.title}. " + ". ".join(bar.label for bar in self.bars) + "."


@dataclass
class _Topic:
    title: str
    goals: dict[str, Goal] = field(default_factory=dict)
    claims: dict[tuple[str, str, float, str], tuple[str, ClaimEntry, str]] = field(default_factory=dict)
    silent: dict[str, str] = field(default_factory=dict)
    names: dict[str, None] = field(default_factory=dict)


def goal_of(finding: FindingEntry) -> Goal | None:
    """Return the demanded figure of a finding, None where a code, a material or a feature is demanded."""
    known, not_known = _KNOWN.match(finding.demanded), _NOT_KNOWN.match(finding.demanded)
    text = known[2] if known else not_known[1] if not_known else ""
    parts = re.fullmatch(r"([+-]?[\d.]+(?:e[+-]?\d+)?) ?(\D*)", text)
    if not parts:
        return None
    try:
        value = quantities.parse_free(text)[0]
    except quantities.QuantityError:
        return None
    up = None if not known else known[1] == "at least"
    return Goal(value, parts[2].strip(), up, known is not None, finding.state, finding.demanded)


def charts(units: Sequence[UnitEntry], *, named: bool = False) -> list[Chart]:
    """Return a picture for each topic of figures that has a known demand or a claim.

    `named` is for several units: their names stand on the bars, and a topic on which all are silent has no picture.
    """
    topics: dict[str, _Topic] = {}
    for unit in units:
        for finding in unit.findings:
            goal = goal_of(finding)
            if goal is None:
                continue
            about = topics.setdefault(finding.topic, _Topic(finding.title))
            about.goals.setdefault(f"{goal.state} {goal.text}", goal)
            name = unit.unit if named else ""
            about.names.setdefault(name)
            figures = [claim for claim in finding.claimed if isinstance(claim.value, float | int)]
            for claim in figures:
                mark = (name, claim.quote, float(claim.value or 0), claim.part)
                # The finding on the certain demand, which stands first, marks the bar.
                about.claims.setdefault(mark, (finding.finding, claim, name))
            if not figures:
                about.silent.setdefault(name, finding.finding)
    drawn = [_chart(topic, about, named) for topic, about in topics.items()]
    return [chart for chart in drawn if chart is not None]


def _chart(topic: str, about: _Topic, named: bool) -> Chart | None:
    goals = sorted(about.goals.values(), key=lambda goal: (not goal.known, goal.state))
    known = [goal for goal in goals if goal.known]
    claims = list(about.claims.values())
    values = [goal.value for goal in known] + [float(claim.value or 0) for _, claim, _ in claims]
    values = [value for value in values if math.isfinite(value)]
    if not values or (named and not claims):
        return None
    unit = goals[0].unit
    up = known[0].up if known else goals[0].value >= max(values)
    shown = [quantities.from_si(value, unit) for value in values]
    scale = _Scale.over(shown, bool(up))
    bars: list[Bar] = []

    def add(kind: str, label: str, value: float | None) -> None:
        y = HEAD + BLOCK * len(bars)
        if value is None:
            bars.append(Bar(kind, _cut(label), y, *scale.bar(scale.far)))
            return
        figure = quantities.from_si(value, unit) if math.isfinite(value) else value
        bars.append(Bar(kind, _cut(label), y, *scale.bar(figure), cut=scale.beyond(figure)))

    for goal in goals:
        state = "" if goal.state == "certain" else "still open, "
        add("demanded" if goal.state == "certain" else "pending", f"demanded: {state}{goal.text}", goal.value)
    for name in about.names:
        own = [(finding, claim) for finding, claim, who in claims if who == name]
        for finding, claim in own:
            add(finding, _claimed(finding, claim, name, unit), float(claim.value or 0))
        if not own:
            who = f"{_cut(name, 30)}: " if name else ""
            add(about.silent[name], f"{who}claimed: nothing that is a figure – {about.silent[name]}", None)
    sure = next((goal for goal in known if goal.state == "certain"), None)
    return Chart(
        topic, about.title, tuple(bars),
        tuple((scale.place(tick), quantities.number(tick)) for tick in scale.ticks),
        quantities.pretty_unit(unit), bool(up),
        None if sure is None else scale.place(quantities.from_si(sure.value, unit)),
        HEAD + BLOCK * len(bars) + FOOT,
    )  # fmt: skip


def _claimed(finding: str, claim: ClaimEntry, name: str, unit: str) -> str:
    who = f"{_cut(name, 30)}: " if name else ""
    part = f" of the {claim.part}" if claim.part not in ("", "unit") else ""
    worth = {"full": "", "conditional": ", on conditions", "none": ", not credited"}.get(claim.credit, "")
    figure = quantities.show(float(claim.value or 0), unit)
    return f"{who}claimed{part}: {figure} (“{_cut(claim.quote, 40)}”{worth}) – {finding}"


def _cut(text: str, most: int = _LONGEST) -> str:
    clean = " ".join(text.split())
    return clean if len(clean) <= most else clean[: most - 1].rstrip() + "…"


@dataclass(frozen=True)
class _Scale:
    """A linear scale with round ticks; bars start at `base` and grow towards `far`."""

    low: float
    high: float
    step: float
    up: bool

    @classmethod
    def over(cls, values: Sequence[float], up: bool) -> "_Scale":
        low, high = min(0.0, *values), max(0.0, *values)
        step = _round_step((high - low) or 10.0)
        low, high = math.floor(low / step + 1e-9) * step, math.ceil(high / step - 1e-9) * step
        # The mildest bar keeps some length, whichever edge the bars start from.
        if up and min(values) <= low < 0:
            low -= step
        if not up and max(values) >= high:
            high += step
        return cls(low, max(high, low + step), step, up)

    @property
    def base(self) -> float:
        return self.low if self.up else self.high

    @property
    def far(self) -> float:
        return self.high if self.up else self.low

    @property
    def ticks(self) -> list[float]:
        count = round((self.high - self.low) / self.step)
        return [round(self.low + self.step * number, 12) for number in range(count + 1)]

    def place(self, value: float) -> float:
        inside = min(max(value, self.low), self.high)
        return round(MARGIN + (inside - self.low) / (self.high - self.low) * (WIDTH - 2 * MARGIN), 1)

    def bar(self, value: float) -> tuple[float, float]:
        """Return the left end and the width, at least two units so that a small figure is seen."""
        first, last = sorted((self.place(self.base), self.place(value)))
        return (first if self.up else last - max(last - first, 2.0)), max(round(last - first, 1), 2.0)

    def beyond(self, value: float) -> bool:
        return value > self.high if self.up else value < self.low


def _round_step(width: float) -> float:
    raw = width / 5
    size = 10.0 ** math.floor(math.log10(raw))
    return next(size * factor for factor in (1, 2, 2.5, 5, 10) if size * factor >= raw - 1e-12 * size)
