"""What change of the site would drop or lower a demand, as branches; `advisor.relax` finds and runs the changes."""

from advisor.advise import Advisor
from advisor.engine.firing import EngineError
from advisor.faults import InputError
from advisor.relax import Relaxation, Relaxer
from advisor.site import Site
from tui.branches import Branch

NEVER = "Nothing that a designer can move would drop it."
REALLY = "It holds only if the plant is really changed so; a lower figure on paper protects nothing."


def of_topic(topic: str, item: str, site: Site, advisor: Advisor) -> tuple[Branch, ...]:
    """Return the changes that would drop what is demanded on a topic. Raises InputError."""
    try:
        found = Relaxer(advisor, site).relaxations(topic, item)
    except EngineError as problem:
        raise InputError([problem.fault]) from None
    return tuple(_relaxation(entry) for entry in found) or (Branch(f"What would drop it: {NEVER}", NEVER),)


def _relaxation(entry: Relaxation) -> Branch:
    under = [Branch(settled.text, settled.text) for settled in entry.settled]
    for change in entry.changes:
        lines = change.lines
        under.append(Branch(lines[0], "\n".join(lines), tuple(Branch(line, line) for line in lines[1:]), opened=False))
    if entry.more:
        under.append(Branch(f"and {entry.more} more"))
    if not under:
        under.append(Branch(NEVER))
    title = f"What would {entry.goal.aim}" + (f": {entry.goal.words}" if entry.goal.words else "")
    return Branch(title, REALLY, tuple(under))
