"""What changed elements do to a solution: all of it, nonlinear parts included, or nothing where that is not sure.

A port is an element that follows another law than in the sound network. The other nonlinear elements are left on their
tangents first. Wherever one's own law differs from its tangent by more than moves a node by `ADMITTED_V`, what it
carries beyond its tangent is drawn beside the ports, or, where its slope has changed too (`STRONG`) or that did not do,
it becomes a port; and all is solved again. A converter's input is one from the start where a supply that it feeds is.
(A response is nowhere greater than at the port itself, so response times difference bounds what leaving it out does
anywhere.) What comes out is the current that each draws beyond its sound law: the volts anywhere follow from these few
numbers.

`rounds` is the reference, which takes many systems side by side; compiled loops take one after the other.
"""

from collections.abc import Sequence

import numpy as np

from loombench.circuit.compiled import compiled_from
from loombench.circuit.loops import FloatArray, OneByOne
from loombench.circuit.tables.base import NOTHING, Base, Watched
from loombench.circuit.tables.port import Drawn, Port, is_input
from loombench.circuit.tables.reach import ends_of, reach
from loombench.circuit.tables.rounds import Rounds
from loombench.circuit.tables.systems import answered, systems_of

_TOGETHER = 512


def respond(
    base: Base, systems: Sequence[Sequence[Port]], watching: bool = False
) -> tuple[list[Drawn | None], FloatArray]:
    """Answers for systems of changed elements, None where it is not sure; and [systems, pairs] the volts that the base
    watches, if they are wanted."""
    found: list[Drawn | None] = []
    watched = base.watched if watching else NOTHING
    volts = [np.zeros((0, len(watched.a)))]
    loops = compiled_from(0)
    for k in range(0, len(systems), _TOGETHER):
        some = systems[k : k + _TOGETHER]
        if loops is not None:
            answers, at_watched = by_loops(loops, base, some, watched)
        else:
            rounds = Rounds(base, some, reach(base, ends_of(some), watched))
            answers, at_watched = rounds.answers(), rounds.volts
        found += answers
        volts.append(at_watched)
    return found, np.concatenate(volts)


def by_loops(
    loops: OneByOne, base: Base, systems: Sequence[Sequence[Port]], watched: Watched
) -> tuple[list[Drawn | None], FloatArray]:
    """The same by loops over bare arrays."""
    # An input that draws only now has no sound state to start from.
    asks = [any(is_input(port.element) for port in ports) for ports in systems]
    asked = [() if asking else ports for ports, asking in zip(systems, asks, strict=True)]
    at = reach(base, ends_of(asked), watched)
    answers = answered(loops, base, at, systems_of(base, at, asked))
    found: list[Drawn | None] = []
    first = 0
    for asking, until in zip(asks, answers.end.tolist(), strict=True):
        found.append(None if asking or until < 0 else Drawn(answers.table[:, first:until].copy()))
        first = max(first, until)
    return found, answers.volts
