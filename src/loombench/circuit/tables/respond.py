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
from itertools import accumulate

import numpy as np

from loombench.circuit.compiled import compiled_from
from loombench.circuit.devices import devices
from loombench.circuit.loops import FloatArray, OneByOne
from loombench.circuit.tables import limits
from loombench.circuit.tables.base import NOTHING, Base, Watched
from loombench.circuit.tables.change import line_of
from loombench.circuit.tables.port import Drawn, Port, is_bent, is_input
from loombench.circuit.tables.reach import reach
from loombench.circuit.tables.rounds import Rounds
from loombench.circuit.tables.small import DRAWS, LINEAR, NEAR_V, STEPS

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
            rounds = Rounds(base, some, reach(base, some, watched))
            answers, at_watched = rounds.answers(), rounds.volts
        found += answers
        volts.append(at_watched)
    return found, np.concatenate(volts)


def by_loops(
    loops: OneByOne, base: Base, systems: Sequence[Sequence[Port]], watched: Watched
) -> tuple[list[Drawn | None], FloatArray]:
    """The same by loops over bare arrays."""
    # An input that draws only now has no sound state to start from.
    asks = [False] * len(systems)
    asked = list(systems)
    for k, ports in enumerate(systems):
        for port in ports:
            if is_input(port.element):
                asks[k], asked[k] = True, ()
    own, at, index = base.own, reach(base, asked, watched), base.p.devices.index
    laws, law = base.p.devices.bare, np.full(sum(map(len, asked)), LINEAR, dtype=np.intp)
    every = [port for ports in asked for port in ports]
    bent = [k for k, port in enumerate(every) if is_bent(port.element)]
    if bent:
        more = devices([element for k in bent if (element := every[k].element) is not None])
        law[np.array(bent)[more.index]] = len(laws) + np.arange(len(bent))
        laws = np.concatenate((laws, more.bare))
    place = np.array([port.place for port in every], dtype=np.intp)
    column = np.array([at.column_of[port.a, port.b] for port in every], dtype=np.intp)
    known = place >= 0
    sound = (np.where(known, one[place], 0.0) for one in (base.slope_s, base.source_a))
    lines = np.array([line_of(port.element) for port in every]).reshape(-1, 2)
    series = np.array([port.series_ohm for port in every])
    numbers = np.column_stack((*sound, lines, series, at.open_v[column]))
    own_law = np.concatenate((own.along, np.full(len(own.draws), DRAWS, dtype=np.intp)))
    feeds = [supply for draw in own.draws for supply in draw.feeds]
    device_of = {int(one): k for k, one in enumerate(own.along)}
    start = np.array([0, *accumulate(map(len, asked))], dtype=np.intp)
    volts = np.repeat(at.watched_v[np.newaxis, :], len(systems), axis=0)
    most = len(every) + len(systems) * len(own.place)
    drawn, drawn_a = np.empty((most, 2), dtype=np.intp), np.empty((most, 2))
    end = np.empty(len(systems), dtype=np.intp)
    loops.respond_loop(
        laws, np.stack((own.place, own_law), axis=1),
        np.stack((base.slope_s[own.place], base.source_a[own.place]), axis=1),
        np.array([0, *accumulate(len(draw.feeds) for draw in own.draws)], dtype=np.intp),
        np.array([device_of.get(supply, -1) for supply in feeds], dtype=np.intp),
        index[np.array(feeds, dtype=np.intp)],
        np.array([(draw.efficiency, draw.from_v) for draw in own.draws]).reshape(-1, 2),
        at.at_own, at.at_watched, at.between, at.open_v, start, np.column_stack((column, place, law)), numbers,
        _limits(), np.array((limits.ROUNDS, limits.PATIENCE, STEPS, limits.MOST_PORTS), dtype=np.intp), volts, drawn,
        drawn_a, end,
    )  # fmt: skip
    column, place = drawn[: end.max(initial=0)].T
    table = np.stack((place, at.a[column], at.b[column], *drawn_a[: len(place)].T))
    found: list[Drawn | None] = []
    first = 0
    for left, until in zip(asks, end.tolist(), strict=True):
        found.append(None if left or until < 0 else Drawn(table[:, first:until].copy()))
        first = max(first, until)
    return found, volts


def _limits() -> FloatArray:
    return np.array((
        NEAR_V, limits.ADMITTED_V, limits.STRONG, limits.NOTHING_V, limits.FARTHEST_V, limits.GREATEST_GAIN,
        limits.GREATEST_V,
    ))  # fmt: skip
