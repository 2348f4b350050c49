"""The pages of `relax`, `relax --hold` and `diff`: what stands in which section, and in which words.

A change is listed once with everything that it shifts; where it serves several demands the later ones refer to it by
its letter.
"""

from collections.abc import Iterable, Sequence

from advisor.report.page import Grid, Page, Point, Section
from advisor.whatif.document import (
    ChangeEntry,
    DiffDocument,
    GoalEntry,
    HoldEntry,
    ReasonEntry,
    RelaxDocument,
    RevisedEntry,
    ShiftEntry,
)

FAIR = (
    "Each change was run, and holds only if the plant is really changed so: an answer that is merely written down "
    "differently protects nothing. Figures are rounded to the safe side by the step named with them."
)
REFERRED = "Referred, and never relaxed here: "
QUIET = ("evidence", "practice")
"""Notes that are counted, not printed, where a change brings or takes them."""
COUNTED = {"evidence": "on papers", "practice": "on mounting and use", "caution": "of caution"}
MOST = 4
MOST_ANSWERS = 5


def relaxed(document: RelaxDocument) -> Page:
    """Return the page of `relax`."""
    letters: dict[str, str] = {}
    named = bool(document.topic)
    sections = []
    stuck = []
    for group in _alike(document.goals):
        if group[0].changes or group[0].settle or named:
            sections.append(_goal(group, letters))
        else:
            stuck += group
    if stuck:
        sections.append(
            Section(
                "Nothing that a designer can move drops or lowers these",
                ("No single change of a movable answer does it, nor any pair that was tried.",),
                tuple(Point(_short(f"{goal.title}: {goal.demand}", 200) + _open(goal)) for goal in stuck),
            )
        )
    if not document.goals:
        what = f"{document.topic} {document.value}".strip()
        words = f"Nothing is demanded on {what} that could be relaxed." if what else "Nothing is demanded here."
        sections.append(Section("Nothing to relax", (words,)))
    kind = "What would change the answer"
    return Page(kind, document.version, document.rulebook, document.site, tuple(sections), _warnings(document))


def _alike(goals: Iterable[GoalEntry]) -> list[list[GoalEntry]]:
    """Put goals of one topic together that the same changes reach and that no answer or reason tells apart."""
    groups: dict[object, list[GoalEntry]] = {}
    for number, goal in enumerate(goals):
        same = (goal.topic, goal.aim, goal.state, tuple(tuple(change.edits) for change in goal.changes))
        alone = goal.settle or goal.reasons or not goal.changes
        groups.setdefault((number,) if alone else same, []).append(goal)
    return list(groups.values())


def _warnings(document: RelaxDocument) -> tuple[str, ...]:
    return (FAIR, *(REFERRED + text for text in document.refer))


def _open(goal: GoalEntry) -> str:
    return " (open)" if goal.state == "open" else ""


def _goal(group: Sequence[GoalEntry], letters: dict[str, str]) -> Section:
    goal = group[0]
    points = [_change(change, goal, letters) for change in goal.changes]
    paragraphs = []
    if goal.changes:
        count = "one of these pairs of changes is needed" if goal.pairs else "one of these is enough"
        each = "each of " if len(group) > 1 else ""
        aim = goal.aim.replace("drop it", f"drop {each}them") if each else goal.aim
        paragraphs.append(f"To {aim}, {count}:")
    elif goal.settle:
        paragraphs.append("It is open: settle the answer before anything is moved.")
    else:
        paragraphs.append(f"Nothing that a designer can move does it (to {goal.aim}).")
    if goal.more:
        points.append(Point(f"{goal.more} more changes do it too, and move more or ask more.", mark="+ "))
    if goal.settle:
        settle = [
            Point(f"{entry.ask} It is dropped if the answer is {_either(entry.answers)}. [{entry.slot}]", mark="? ")
            for entry in goal.settle
        ]
        points.append(Point("Settle first (no change of the plant, an answer to be found):", tuple(settle), mark=""))
    if goal.reasons:
        points.append(_reasons(goal.reasons))
    demands = "; ".join(own.demand for own in group)
    if len(group) > 1:
        paragraphs.insert(0, demands[0].upper() + demands[1:] + ".")
        demands = f"{len(group)} demands"
    return Section(_short(f"{goal.title}: {demands}", 90) + _open(goal), tuple(paragraphs), tuple(points))


def _short(words: str, most: int = 110) -> str:
    if len(words) <= most:
        return words
    cut = words[:most].rsplit(" ", 1)[0]
    return cut.rstrip(",;:.(") + " …"


def _either(answers: Sequence[str]) -> str:
    shown = list(answers[:MOST_ANSWERS])
    if len(answers) > MOST_ANSWERS:
        shown.append(f"one of {len(answers) - MOST_ANSWERS} more")
    return ", or ".join(shown)


def _reasons(reasons: Sequence[ReasonEntry]) -> Point:
    if len(reasons) == 1:
        lead = "These answers alone force it, whatever the others are:"
    else:
        lead = f"Each of these {len(reasons)} sets of answers forces it alone, so all of them have to be broken:"
    return Point(lead, tuple(Point(_given(reason)) for reason in reasons), mark="")


def _given(reason: ReasonEntry) -> str:
    words = []
    for answer in reason.answers:
        marks = [answer.origin] if answer.origin == "assumed" else []
        marks += [] if answer.movable else ["not to be moved"]
        words.append(f"{answer.about} = {answer.value}" + (f" ({', '.join(marks)})" if marks else ""))
    return f"{'; '.join(words)} [{', '.join(reason.rules)}]"


def _change(change: ChangeEntry, goal: GoalEntry | None, letters: dict[str, str]) -> Point:
    words = " and ".join(
        f"{step.about} {step.after}" if step.after == "left out" else f"{step.about} from {step.before} to {step.after}"
        for step in change.steps
    )
    steps = list(dict.fromkeys(step.rounded for step in change.steps if step.rounded))
    words += f", or {', '.join(change.instead)}" if change.instead else ""
    full = words + (f" (in steps of {', '.join(steps)})" if steps else "")
    if words in letters:
        return Point(f"{full}: see {letters[words]}. Then: {_short(change.then, 90)}", mark="- ")
    letters[words] = letter = _letter(len(letters))
    efforts = dict.fromkeys(f"{step.effort.rstrip('.')} ({step.lever})." for step in change.steps)
    under = [Point(" ".join(efforts), mark=""), Point(f"then: {_short(change.then, 180)}", mark="")]
    under += _effects(shift for shift in change.shifts if goal is None or not _itself(shift, goal))
    under += [
        Point(
            f"these answers no longer bring the referral, which stays with its expert all the same: {text}", mark="! "
        )
        for text in change.referrals
    ]
    return Point(full, tuple(under), mark=f"{letter}. ")


def _itself(shift: ShiftEntry, goal: GoalEntry) -> bool:
    """Whether a shift is the goal reached, which stands in the heading and after `then` already."""
    return shift.topic == goal.topic and shift.before == goal.demand and shift.kind in ("dropped", "eased")


def _letter(place: int) -> str:
    first, second = divmod(place, 26)
    return (chr(ord("a") + first - 1) if first else "") + chr(ord("a") + second)


def _effects(shifts: Iterable[ShiftEntry]) -> list[Point]:
    better: list[str] = []
    worse: list[str] = []
    quiet: dict[str, list[str]] = {"fall away": [], "new": []}
    for shift in shifts:
        good = shift.kind in ("dropped", "eased", "settled")
        if shift.topic in QUIET or (shift.topic == "caution" and good):
            quiet["fall away" if good else "new"].append(COUNTED[shift.topic])
        elif shift.topic != "refer" or not good:
            (better if good else worse).append(_short(shifted(shift), 120) if good else shifted(shift))
    points = [Point(_listed("also: ", better), mark="")] if better else []
    points += [Point(f"but: {words}", mark="! ") for words in worse]
    counts = [
        f"{', '.join(f'{topics.count(name)} {name}' for name in dict.fromkeys(topics))} {way}"
        for way, topics in quiet.items()
        if topics
    ]
    if counts:
        points.append(Point("notes: " + "; ".join(counts), mark=""))
    return points


def _listed(lead: str, words: list[str]) -> str:
    more = f"; and {len(words) - MOST} more" if len(words) > MOST else ""
    return lead + "; ".join(words[:MOST]) + more


def shifted(shift: ShiftEntry) -> str:
    """Return a shift in words."""
    if shift.topic.startswith("material."):
        role = shift.topic.removeprefix("material.")
        return f"{role} may {'again be' if shift.kind == 'eased' else 'no longer be'} {shift.after}"
    if shift.kind == "settled":
        return f"{shift.after} holds for certain"
    if shift.kind == "opened":
        return f"{shift.after} hangs on an open answer"
    if shift.topic in ("beyond", "conflict", "caution", "refer", "evidence", "practice", "trap"):
        return f"{'no longer' if shift.kind == 'dropped' else 'new'}: {shift.before or shift.after}"
    if shift.kind == "dropped":
        return f"{shift.before} dropped ({shift.title.lower()})"
    if shift.kind == "new":
        return f"{shift.after} newly demanded ({shift.title.lower()})"
    return f"{shift.after} instead of {shift.before} ({shift.title.lower()})"


def held(document: RelaxDocument) -> Page:
    """Return the page of `relax --hold`."""
    tight = [hold for hold in document.holds if hold.low.shifts or hold.high.shifts]
    free = [hold for hold in document.holds if not (hold.low.shifts or hold.high.shifts)]
    sections = [
        Section(
            "How far each figure may move before other things are demanded, the tightest first",
            ("Figures that follow the answer slide within the interval; which demands and materials stand does not.",),
            tuple(_hold(hold) for hold in tight),
        )
    ]
    if free:
        words = ", ".join(f"{hold.about} ({hold.now})" for hold in free)
        sections.append(Section("These figures decide nothing here", (f"At any plausible value: {words}.",)))
    warnings = tuple(REFERRED + text for text in document.refer)
    kind = "How firmly the answer stands"
    return Page(kind, document.version, document.rulebook, document.site, tuple(sections), warnings)


def _hold(hold: HoldEntry) -> Point:
    origin = " (assumed)" if hold.origin == "assumed" else ""
    share = f", {hold.margin:.0%}" if hold.margin and hold.margin < 10 else ""
    near = f"; the next change is {hold.near}{share}" if hold.near else ""
    under = [Point(hold.flag[0].upper() + hold.flag[1:] + ".", mark="! ")] if hold.flag else []
    for end, way in ((hold.low, "below"), (hold.high, "above")):
        if end.shifts:
            words = [_short(shifted(shift), 120) for shift in end.shifts]
            under.append(Point(_listed(f"{way} {end.text}: ", words), mark=""))
    return Point(f"{hold.about} = {hold.now}{origin} {hold.text}{near}.", tuple(under))


def admitted(document: RelaxDocument) -> Page:
    """Return the page of `relax --admit`."""
    sections = []
    letters: dict[str, str] = {}
    for own in document.rejected:
        words = f"It falls short on: {', '.join(title.lower() for title in own.shortfalls)}."
        points = []
        for admission in own.admissions:
            changes = [_change(change, None, letters) for change in admission.changes]
            rest = f", with {admission.silent} questions left to its maker" if admission.silent else ""
            points.append(Point(f"It would be {admission.verdict}{rest}, if the site were changed so:", tuple(changes)))
        none = () if points else ("No change that was tried lets it in: take another unit.",)
        sections.append(Section(own.unit, (words, *none), tuple(points)))
    if not sections:
        sections.append(Section("No unit falls short", ("There is nothing to let in.",)))
    kind = "What would let rejected units in"
    return Page(kind, document.version, document.rulebook, document.site, tuple(sections), _warnings(document))


def revised(document: DiffDocument) -> Page:
    """Return the page of `diff`."""
    same_site = document.before == document.site
    sections = []
    if not same_site:
        rows = tuple((entry.about, entry.before, entry.after) for entry in document.answers)
        words = () if rows else ("No answer is other.",)
        sections.append(
            Section("Answers that changed", words, grid=Grid(("Answer", "Before", "Now"), rows) if rows else None)
        )
    if document.rules_added or document.rules_lifted:
        points = [Point(f"added: {name}") for name in document.rules_added]
        points += [Point(f"lifted: {name}: {reason or 'not in this rulebook'}") for name, reason in
                   document.rules_lifted.items()]  # fmt: skip
        sections.append(Section("Rules that changed", points=tuple(points)))
    referrals = [shift for shift in document.shifts if shift.topic == "refer"]
    others = [shift for shift in document.shifts if shift.topic not in ("refer", *QUIET, "caution", "trap")]
    notes = [shift for shift in document.shifts if shift.topic in (*QUIET, "caution", "trap")]
    worse = [shift for shift in others if shift.kind in ("new", "raised", "opened")]
    better = [shift for shift in others if shift not in worse]
    for title, shifts in (
        ("Referrals that changed", referrals),
        ("Asked newly or harder", worse),
        ("No longer asked, or milder", better),
        ("Notes that changed", notes),
    ):
        if shifts:
            sections.append(Section(title, points=tuple(_revised(shift) for shift in shifts)))
    if not document.shifts:
        sections.append(Section("Demands that changed", ("Nothing is demanded otherwise.",)))
    kind = "What changed under the other rulebook" if same_site else "What changed"
    before = "" if same_site else f"Before: {document.before['name']}. "
    warning = f"{before}Rulebook before: {document.before_rulebook.digest} ({document.before_rulebook.rules} rules)."
    return Page(kind, document.version, document.rulebook, document.site, tuple(sections), (warning,))


def _revised(shift: RevisedEntry) -> Point:
    under = [Point(f"because {words}", mark="") for words in shift.because[:MOST]]
    if len(shift.because) > MOST:
        under.append(Point(f"and {len(shift.because) - MOST} more changed answers", mark=""))
    if shift.rules_gone:
        under.append(Point(f"no longer by {', '.join(shift.rules_gone)}", mark=""))
    if shift.rules_new:
        under.append(Point(f"now by {', '.join(shift.rules_new)}", mark=""))
    state = " (open)" if shift.state == "open" else ""
    words = shifted(shift)
    return Point(words[0].upper() + words[1:] + state, tuple(under))
