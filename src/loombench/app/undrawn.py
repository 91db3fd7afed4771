"""Which difference from the drawing would explain a case that nothing in the model explains, in words."""

from loombench.app.case import Case
from loombench.base.wording import Catalogue
from loombench.diagnose.undrawn import CROSSED, Difference, explaining
from loombench.diagnose.verdict import NOTHING_EXPLAINS
from loombench.text.changes import write_action
from loombench.vehicle.change import apply
from loombench.vehicle.model import Vehicle


def undrawn_lines(case: Case, words: Catalogue) -> tuple[str, ...]:
    """What to look for, likeliest first, each with the changes that would make the drawing true; why there is nothing
    where a suspect of the drawing still explains the case, or no single difference does."""
    if case.verdict.state != NOTHING_EXPLAINS:
        return (words.say("session.undrawn-not-yet"),)
    found = explaining(case.belief)
    if not found:
        return (words.say("session.undrawn-none"),)
    lines = [words.say("session.undrawn-head")]
    for number, one in enumerate(found, 1):
        key = "crossed" if one.kind == CROSSED else "joined"
        first, second = one.points
        lines.append(words.say(f"session.undrawn-{key}", number=number, first=first, second=second))
        lines += [words.say("session.undrawn-line", line=line) for line in change_lines(case.bench.vehicle, one)]
    return tuple(lines)


def change_lines(vehicle: Vehicle, one: Difference) -> tuple[str, ...]:
    """The changes as `not as drawn` takes them, each for the vehicle after those before it."""
    lines = []
    for change in one.changes:
        lines.append(write_action(change.action, vehicle))
        vehicle = apply(vehicle, change).value
    return tuple(lines)
