"""Builds the documents of `relax` and `diff` out of what the search, the sensitivity and the revision found."""

from advisor import __version__, quantities
from advisor.admit import Rejected
from advisor.advise import Advice, Advisor
from advisor.difference import Shift
from advisor.reasons import MinimalReason, Reasoner
from advisor.relax import Change, Relaxation, Relaxer
from advisor.report.requirement import site_block, stamp
from advisor.revision import Revision
from advisor.sensitivity import End, Hold
from advisor.whatif.document import (
    AdmissionEntry,
    AnswerEntry,
    ChangeEntry,
    DiffDocument,
    EditEntry,
    EndEntry,
    GivenEntry,
    GoalEntry,
    HoldEntry,
    ReasonEntry,
    RejectedEntry,
    RelaxDocument,
    RevisedEntry,
    SettleEntry,
    ShiftEntry,
    StepEntry,
)


def relaxed(
    relaxer: Relaxer, found: list[Relaxation], *, topic: str = "", value: str = "", reasons: bool = False
) -> RelaxDocument:
    """Return the document of `relax`; `reasons` adds the minimal reasons of every goal."""
    advice = relaxer.world().advice
    reasoner = Reasoner(advice, relaxer.advisor) if reasons else None
    return RelaxDocument(
        version=__version__,
        rulebook=stamp(relaxer.book),
        site=site_block(relaxer.site),
        topic=topic,
        value=value,
        goals=[_goal(own, reasoner) for own in found],
        refer=[demand.item for demand in advice.notes["refer"]],
    )


def held(advisor: Advisor, advice: Advice, found: list[Hold]) -> RelaxDocument:
    """Return the document of `relax --hold`."""
    return RelaxDocument(
        version=__version__,
        rulebook=stamp(advisor.book),
        site=site_block(advice.site),
        refer=[demand.item for demand in advice.notes["refer"]],
        holds=[_hold(own) for own in found],
    )


def admitted(relaxer: Relaxer, found: list[Rejected]) -> RelaxDocument:
    """Return the document of `relax --admit`."""
    return RelaxDocument(
        version=__version__,
        rulebook=stamp(relaxer.book),
        site=site_block(relaxer.site),
        refer=[demand.item for demand in relaxer.world().advice.notes["refer"]],
        rejected=[
            RejectedEntry(
                unit=own.unit,
                shortfalls=list(own.shortfalls),
                admissions=[
                    AdmissionEntry(changes=[_change(c) for c in a.changes], verdict=a.verdict, silent=a.silent)
                    for a in own.admissions
                ],
            )
            for own in found
        ],
    )


def revised(revision: Revision, before: Advice, after: Advice, old: Advisor, new: Advisor) -> DiffDocument:
    """Return the document of `diff`."""
    return DiffDocument(
        version=__version__,
        rulebook=stamp(new.book),
        site=site_block(after.site),
        before=site_block(before.site),
        before_rulebook=stamp(old.book),
        answers=[AnswerEntry(about=a.about, before=a.before, after=a.after) for a in revision.answers],
        shifts=[
            RevisedEntry(
                **shift_entry(own.shift).model_dump(),
                state=own.shift.demands[-1].state if own.shift.demands else "",
                rules_gone=list(own.rules_gone),
                rules_new=list(own.rules_new),
                because=list(own.because),
            )
            for own in revision.shifts
        ],
        rules_added=sorted(set(new.book.rules) - set(old.book.rules)),
        rules_lifted={
            name: new.book.waived.get(name, "") for name in sorted(set(old.book.rules) - set(new.book.rules))
        },
    )


def shift_entry(shift: Shift) -> ShiftEntry:
    return ShiftEntry(topic=shift.topic, title=shift.title, kind=shift.kind, before=shift.before, after=shift.after)


def _goal(own: Relaxation, reasoner: Reasoner | None) -> GoalEntry:
    goal = own.goal
    return GoalEntry(
        topic=goal.topic.topic,
        title=goal.topic.title,
        demand=goal.words,
        state=goal.state,
        aim=goal.aim,
        changes=[_change(change) for change in own.changes],
        pairs=own.paired and bool(own.changes),
        more=own.more,
        settle=[SettleEntry(slot=f"{s.instance.id}.{s.slot}", ask=s.ask, answers=list(s.answers)) for s in own.settled],
        reasons=[_reason(reason, reasoner) for reason in reasoner.reasons(goal.demand)] if reasoner else [],
    )


def _change(change: Change) -> ChangeEntry:
    return ChangeEntry(
        steps=[
            StepEntry(about=s.about, before=s.before, after=s.after, lever=s.lever, effort=s.effort, rounded=s.rounded)
            for s in change.steps
        ],
        edits=[EditEntry(instance=e.instance, slot=e.slot, value=e.value) for e in change.edits],
        instead=list(change.instead),
        then=change.then,
        shifts=[shift_entry(shift) for shift in change.shifts],
        referrals=[shift.before for shift in change.referrals],
    )


def _reason(reason: MinimalReason, reasoner: Reasoner) -> ReasonEntry:
    templates = reasoner.book.vocabulary.templates
    by_leaf = zip(reasoner.in_order(reason.leaves), reason.answers, strict=True)
    return ReasonEntry(
        answers=[
            GivenEntry(
                about=given.about,
                value=given.value,
                origin=given.origin,
                movable=templates[reasoner.instances[leaf[0]].template].by_name[leaf[1]].lever is not None,
            )
            for leaf, given in by_leaf
        ],
        rules=list(reason.rules),
    )


def _hold(own: Hold) -> HoldEntry:
    return HoldEntry(
        about=own.about,
        slot=f"{own.instance.id}.{own.slot.slot}",
        now=own.now,
        origin=own.origin,
        unit=quantities.si_unit(own.slot.unit or ""),
        low=_end(own.low),
        high=_end(own.high),
        text=own.text,
        margin=own.margin,
        near=own.near,
        flag=own.flag,
    )


def _end(end: End) -> EndEntry:
    return EndEntry(value=end.value, text=end.said, shifts=[shift_entry(shift) for shift in end.shifts])
