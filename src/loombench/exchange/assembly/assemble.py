"""A harness and the answers to what it lacks, as the statements of a vehicle; and the table of what it lacks."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from loombench.base.outcome import Outcome
from loombench.base.problems import Level
from loombench.exchange.assembly.asking import battery_lacks, joined, voltage_lack
from loombench.exchange.assembly.conductors import not_held
from loombench.exchange.assembly.making import Making
from loombench.exchange.assembly.plan import DEVICE_PATTERN, plan
from loombench.exchange.assembly.points import Points
from loombench.exchange.assembly.proposals import device_lack, fuse_lacks
from loombench.exchange.assembly.rings import ring_lacks
from loombench.exchange.assembly.sheet import Sheet
from loombench.exchange.harness import Harness
from loombench.exchange.missing import WHAT, Answer, Answers, Key, Lack
from loombench.exchange.report import Notes


@dataclass(frozen=True)
class Assembled:
    """The harness with its matings, the statements, all rows of the table, and the answers taken by their rows."""

    harness: Harness
    sheet: Sheet
    lacks: tuple[Lack, ...]
    taken: Mapping[Key, Answer]


def assemble(harness: Harness, answers: Answers | None = None, pattern: str = DEVICE_PATTERN) -> Outcome[Assembled]:
    """Put a harness without variants together. What no answer tells stays open: a generic part that conducts nothing.

    An answer that cannot be taken is an error, and what it is for stays open.
    """
    answers, notes = answers or Answers(), Notes()
    matings = tuple(one for one in harness.matings if one.a != one.b)
    harness = replace(harness, matings=matings)
    harness, answers, lacks = joined(harness, answers, notes)
    laid = plan(harness, pattern)
    points = Points.of(harness, laid)
    lacks += [voltage_lack(harness), *ring_lacks(laid)]
    lacks += [device_lack(d) for d in laid.devices if d.fitted is None or d.fitted.kind != "fuse" or len(d.pins) > 2]
    lacks += fuse_lacks(laid)
    lacks += battery_lacks(lacks, answers, points)
    taken = {lack.key: answer for lack in lacks if (answer := answers.to(lack)) is not None}
    known = {lack.key for lack in lacks}
    for (what, name), given in answers.given.items():
        if (what, name) not in known and given.text.strip():
            notes.add("answer-for-nothing", Level.WARNING, given.span, what=what[:20], name=name[:60])
    making = Making(harness, laid, points, {lack.key: lack for lack in lacks}, taken, notes)
    sheet = making.sheet()
    held = ", ".join(f"{name}: {number}" for name, number in not_held(harness))
    if held:
        notes.add("import-not-held", Level.NOTE, held=held)
    order = {what: number for number, what in enumerate(WHAT)}
    lacks.sort(key=lambda one: order[one.what])
    return Outcome(Assembled(harness, sheet, tuple(lacks), taken), tuple(notes.problems))
