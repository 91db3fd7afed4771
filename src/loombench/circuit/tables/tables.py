"""Port tables: what many faults do in a condition, worked out from the sound network's solutions.

The reference is to replay each fault from rest by refactoring (`operate`). A table replays one fault of each kind of
history; all others that go through it alike (`history`) are answered from the sound network in each state on the way
(`respond`). For what it is not sure of a table says nothing, and the reference has to be asked.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, partial
from itertools import takewhile

import numpy as np

from loombench.circuit.loops import FloatArray
from loombench.circuit.operate import Situation, operate
from loombench.circuit.point import Settled
from loombench.circuit.probe import Probe
from loombench.circuit.ready import Ready
from loombench.circuit.tables.alone import Networks
from loombench.circuit.tables.asking import Asking, holding
from loombench.circuit.tables.base import Forced
from loombench.circuit.tables.chains import Kind, chains, kind_of
from loombench.circuit.tables.change import Change
from loombench.circuit.tables.course import Course, End, trail_of, without_volts
from loombench.circuit.tables.history import Parted, Trail, follow
from loombench.circuit.tables.onward import Stand, metered_onward
from loombench.circuit.tables.own import OWN_BYTES, Own, own_alike, own_course
from loombench.circuit.tables.sidebyside import side_by_side
from loombench.circuit.tables.states import Passed, States, Wanted
from loombench.circuit.tables.stop import NO_ANSWER, Answer, Stop
from loombench.vehicle.condition import Condition

MOST_ALONE = 256
"""Rows that tables are not sure of and that are gone with each by itself, of those that are followed together: where
each ended is held until it is told. The others are left to the reference."""
COURSE_BYTES, END_BYTES = 2500.0, 140.0
"""What a course takes, and where a row ends (measured on a made-up vehicle of 1,000 wires)."""
Leads = tuple[int, Change, Sequence[Passed]]
"""A row that leads, what it changes, and the first solves of the one it leaves."""
Key = tuple[int, int, tuple[bytes, str], Forced]
"""The row whose course is left, where, what is seen there, and what is held."""


@dataclass
class _Known:
    """What is known of a condition: the courses gone, and where each row ends (None: by no trail). `led` is where those
    settled that went a way which is no trail for others; `own` are the courses of those, where they end in one way."""

    sound: Course
    ends: dict[int, End | None] = field(default_factory=dict)
    courses: dict[Key, Course] = field(default_factory=dict)
    led: dict[int, Settled] = field(default_factory=dict)
    own: dict[int, Own] = field(default_factory=dict)
    ended: tuple[Course, ...] = ()
    """Courses that rows ended on and that are no ways for others any more."""

    def trails(self) -> Iterator[Trail]:
        """The trails of all courses."""
        courses = (self.sound, *self.courses.values(), *self.ended)
        return (course.trail for course in courses if course.trail is not None)

    def all_stops(self) -> Iterator[Stop]:
        """The states of all courses."""
        return (step.stop for trail in self.trails() for step in trail.steps)

    @cached_property
    def passes(self) -> tuple[Stop, ...]:
        """The states that the sound vehicle goes through, each once."""
        steps = () if self.sound.trail is None else self.sound.trail.steps
        return tuple({id(step.stop): step.stop for step in steps}.values())


class Tables:
    """The tables of a vehicle's rows of faults, row 0 the sound vehicle. They grow with what is asked.

    `change_of` gives what a row changes in the sound network, None where that is nothing for a table. Of the elements
    `looked_at`, by place, volts and currents are wanted: a fault inside of one is like none beside it.
    """

    def __init__(self, sound: Ready, change_of: Callable[[int], Change | None], looked_at: Iterable[int] = ()) -> None:
        self.sound, self._states, self._networks = sound, States(sound), Networks(sound.p)
        self._change_of, self._looked_at = change_of, frozenset(looked_at)
        q, p = self._states.questions, sound.p
        self._chain = chains(p.netlist, () if q is None else (*q.a.tolist(), *q.b.tolist()))
        self._changes: dict[int, Change | None] = {0: Change((), {})}
        self._kinds: dict[Kind, int] = {}
        self._like: dict[int, int] = {0: 0}
        self._passed: dict[Course, tuple[Passed, ...]] = {}
        self._known: dict[Condition, _Known] = {}

    def change(self, row: int) -> Change | None:
        """What a row changes; None where that is nothing for a table."""
        if row not in self._changes:
            self._changes[row] = self._change_of(row)
        return self._changes[row]

    def like(self, row: int) -> int:
        """A row that does the same to all loads, fuses and relays: one that is in the way of the same chain alike."""
        if row not in self._like:
            change = self.change(row)
            inside = change is None or self._is_inside(change)
            kind = None if change is None or inside else kind_of(self.sound.p.netlist, self._chain, change)
            self._like[row] = row if kind is None else self._kinds.setdefault(kind, row)
        return self._like[row]

    def sound_situation(self, condition: Condition) -> Situation:
        """The sound vehicle in a condition."""
        return self._of(condition).sound.situation

    def ends(self, condition: Condition, rows: Sequence[int]) -> Mapping[int, End]:
        """The rows, of those asked for, whose end is known."""
        known = self._of(condition)
        some = list(dict.fromkeys(self.like(row) for row in rows))
        new = [row for row in some if row not in known.ends]
        if new:
            changes = {row: change for row in new if (change := self.change(row)) is not None}
            known.ends.update(dict.fromkeys(new))
            self._follow(known, condition, changes)
        found: dict[int, End] = {}
        for row in rows:
            end, change = known.ends[self.like(row)], self.change(row)
            if end is not None and change is not None:
                found[row] = end if end.row == row else End(row, end.course, change, end.held)
        return found

    def led(self, condition: Condition, row: int) -> Settled | None:
        """Where a row settled that went a way which is no trail for others, by the sound vehicle's elements; None for
        any other, and for a fault inside of what is looked at, unless that never conducts. It is told once, and until
        things are tidied."""
        change = self.change(row)
        told = change is not None and all(one.is_never or one.place not in self._looked_at for one in change.elements)
        return self._of(condition).led.pop(row, None) if told else None

    def metered(
        self, condition: Condition, rows: Sequence[int], probe: Probe, law: Callable[[float], float], *, as_is: bool
    ) -> FloatArray:
        """[rows] what a meter shows that is put on rows which have been followed into a condition: each settles on from
        where it stands there, as by `metered_onward`, where it does not stand `as_is`, as a voltmeter may leave it; nan
        too where that is not known."""
        known, found = self._of(condition), np.full(len(rows), np.nan)
        for place, row in enumerate(rows):
            change, end = self.change(row), known.ends.get(self.like(row))
            if change is None or not self._may_lead(change):
                continue
            own = self._own(known, row, change) if end is None else None
            if own is not None and as_is:
                found[place] = own.across_v(probe.red, probe.black)
            course = end.course if end is not None else None if own is None else own.course
            if course is not None and np.isnan(found[place]):
                stand = Stand(course.situation, change)
                found[place] = metered_onward(self.sound, self._networks, stand, probe, law)
        return found

    def _own(self, known: _Known, row: int, change: Change) -> Own | None:
        """The course of its own that a row went."""
        leads = known.own.get(self.like(row))
        if leads is not None and row not in known.own:
            known.own[row] = own_alike(self.sound.p, self._networks, leads.course, change)
        return known.own.get(row)

    def _is_inside(self, change: Change) -> bool:
        return any(one.place in self._looked_at for one in change.elements)

    def without_end(self, condition: Condition) -> tuple[int, ...]:
        """The rows, of those asked for in a condition so far, that tables have no answer for."""
        known = self._known.get(condition)
        return () if known is None else tuple(row for row, end in known.ends.items() if end is None)

    def tidy(self) -> None:
        """Drop what can be worked out again, but of the states that the sound vehicle goes through what is small."""
        for known in self._known.values():
            known.led.clear()
        self._passed.clear()
        self._networks.clear()
        own = [known.sound.trail for known in self._known.values() if known.sound.trail is not None]
        self._states.tidy(step.stop for trail in own for step in trail.steps)

    def kept_bytes(self, condition: Condition) -> float:
        """What is kept of a condition, about."""
        known = self._known.get(condition)
        if known is None:
            return 0.0
        courses = (len(known.courses) + len(known.ended)) * COURSE_BYTES + len(known.ends) * END_BYTES
        own = sum(len(one.parts) for one in known.own.values()) * self.sound.p.netlist.nodes * OWN_BYTES
        # Conditions that begin alike come through the same states, which count for the first.
        before = takewhile(lambda one: one is not known, self._known.values())
        counted = {id(stop) for one in before for stop in one.passes}
        return courses + own + sum(stop.kept_bytes for stop in known.passes if id(stop) not in counted)

    def drop(self, condition: Condition) -> None:
        """Let go of all that is kept of a condition."""
        known = self._known.pop(condition, None)
        if known is not None:
            self._passed.pop(known.sound, None)
            self._states.only(stop for one in self._known.values() for stop in one.all_stops())

    def arrived(self, condition: Condition) -> None:
        """All rows have been followed into a condition: of the ways there what says where each row ended is kept."""
        known = self._known.get(condition)
        if known is None or not known.courses:
            return
        ended = {
            id(course): course if course.trail is None else replace(course, trail=course.trail.ended())
            for course in known.courses.values()
        }
        known.ended += tuple(ended.values())
        known.courses.clear()
        for row, end in known.ends.items():
            if end is not None and id(end.course) in ended:
                known.ends[row] = replace(end, course=ended[id(end.course)])
        for row, own in known.own.items():
            known.own[row] = replace(own, course=ended.get(id(own.course), own.course))
        self._states.only(stop for one in self._known.values() for stop in one.all_stops())
        trails = [trail for one in self._known.values() for trail in one.trails()]
        ending = {id(trail.steps[end].stop) for trail in trails for end in trail.ends}
        for stop in known.passes:
            if id(stop) not in ending:
                stop.answered()

    def _of(self, condition: Condition) -> _Known:
        if condition not in self._known:
            sound = self._course(condition, 0, Change((), {}), lambda wanted: self._states.solved([wanted])[0])
            if sound.trail is not None:
                self._states.through(sound.trail)
            self._known[condition] = _Known(sound)
        return self._known[condition]

    def _follow(self, known: _Known, condition: Condition, changes: Mapping[int, Change]) -> None:
        """Find where rows end: along the sound vehicle's course, and for those that leave it along those of others."""
        waiting = [(known.sound, changes)]
        while waiting:
            some = [(course, course.trail, rows) for course, rows in waiting if course.trail is not None]
            left: list[tuple[Course, Mapping[int, Change], Parted]] = []
            followed = follow([(trail, rows) for _, trail, rows in some])
            for (course, trail, rows), (alike, parted) in zip(some, followed, strict=True):
                for row in alike:
                    known.ends[row] = End(row, course, rows[row], trail.forced(rows[row]))
                left.append((course, rows, parted))
            waiting = self._onward(known, condition, left)
            for course, trail, _ in some:
                if course is not known.sound:
                    self._leave(trail, known.sound.trail)

    @staticmethod
    def _leave(trail: Trail, sound: Trail | None) -> None:
        """Drop what can be worked out again of the states on the way, but for those that many come through."""
        kept = {id(step.stop) for step in (sound.steps if sound is not None else ())}
        kept.update(id(trail.steps[end].stop) for end in trail.ends)
        for step in trail.steps:
            if id(step.stop) not in kept:
                step.stop.forget()

    def _onward(
        self, known: _Known, condition: Condition, left: Sequence[tuple[Course, Mapping[int, Change], Parted]]
    ) -> list[tuple[Course, Mapping[int, Change]]]:
        """The courses of those that left some others, each with the rows that may go that way."""
        ways: list[tuple[Key, Mapping[int, Change]]] = []
        leading: dict[Key, Leads] = {}
        alone = 0
        for course, changes, parted in left:
            for (number, answer, held), rows in _each(parted):
                is_alone = answer[1] == NO_ANSWER[1]
                # Its own course is no trail to itself either.
                if is_alone and (rows == [course.row] or alone == MOST_ALONE):
                    continue
                key = (course.row, number, answer, held)
                if key not in known.courses:
                    alone += is_alone
                    leads = next((row for row in rows if self._may_lead(changes[row])), None)
                    if leads is None:
                        continue
                    leading[key] = (leads, changes[leads], self._passed.get(course, ())[:number])
                ways.append((key, {row: changes[row] for row in rows}))
        for key, course in zip(leading, self._courses(condition, list(leading.values())), strict=True):
            bare = replace(course, situation=without_volts(course.situation, known.sound.situation))
            if course.sure and (course.trail is None or key[2][1] == NO_ANSWER[1]):
                known.led[course.row] = course.situation.settled
                if not course.situation.settled.alternatives:
                    change = leading[key][1]
                    known.own[course.row] = own_course(self.sound.p, bare, course.situation.settled, change)
            known.courses[key] = bare
        return [(known.courses[key], rows) for key, rows in ways]

    def _courses(self, condition: Condition, leading: Sequence[Leads]) -> list[Course]:
        """Several rows put into a condition, side by side."""

        def work(leads: Leads) -> Callable[[Callable[[Wanted], Passed]], Course]:
            row, change, before = leads
            return lambda ask: self._course(condition, row, change, ask, before)

        return side_by_side([work(leads) for leads in leading], self._states.solved)

    def _may_lead(self, change: Change) -> bool:
        states = self.sound.p.netlist.variable_by_name
        return not change.ratings and all(state in states[name].states for name, state in change.held.items())

    def _course(
        self,
        condition: Condition,
        row: int,
        change: Change,
        ask: Callable[[Wanted], Passed],
        before: Sequence[Passed] = (),
    ) -> Course:
        """A row put into a condition, solutions got by `ask`. `before` are the first solves of another row under which
        agents see the same: they do the same by them."""
        asking = Asking(row, change, ask, partial(self._networks.solve, change.elements), before)
        found = operate(replace(holding(self.sound, change), solver=asking), condition)
        # What others' courses are needed for is where they stand; a network each would be too much to keep.
        situation = replace(found, ready=replace(found.ready, solver=None) if row == 0 else self.sound)
        if any(operation.verb == "supply" for operation in condition.operations):
            return Course(row, situation, None, sure=False)
        held = tuple(sorted(change.held.items()))
        course = Course(row, situation, trail_of(asking.steps, asking.solved, situation, held), sure=True)
        if row == 0:
            self._passed[course] = tuple(asking.passed)
        return course


def _each(parted: Parted) -> Iterator[tuple[tuple[int, Answer, Forced], list[int]]]:
    """Rows by where and how they leave; each for itself that tables have no answer for."""
    for (number, answer, held), rows in parted.items():
        if answer == NO_ANSWER:
            yield from (((number, (row.to_bytes(8, "big"), answer[1]), held), [row]) for row in rows)
        else:
            yield (number, answer, held), rows
