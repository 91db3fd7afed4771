"""A round of practice: acts on a vehicle with a hidden fault, what each shows and what it costs, until it is cured.

An act is a text; a round is nothing but the replay of its acts, so that it goes on wherever its address is opened.

    do S4=on                        operate, unplug, draw, couple: any operation of a condition
    look E7                         look what a load does
    fuse F12                        draw a fuse and look at it
    read voltmeter X12.3@boom G1.-  put a meter on
    bridge F12                      put something in a fuse's place: never
    condemn W3                      renew or repair what one holds for the cause
    stop                            give up

What safety forbids is not done: it is told why, and counted. Costs are those of `diagnose`: places opened stay open.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from types import MappingProxyType

from loombench.app.case import bench_for
from loombench.app.circuits import Circuits, Oldest
from loombench.app.dealing import Dealt
from loombench.app.metering import CLAMP, METERS, OHMS, shown
from loombench.app.practice import PracticeVehicle
from loombench.app.suspectwords import suspect_text
from loombench.base.wording import Catalogue
from loombench.diagnose.bench import Bench
from loombench.diagnose.looking import LookFuse, Mend, See
from loombench.diagnose.measuring import Measure
from loombench.diagnose.observation import DIM, WORKS
from loombench.diagnose.place import place_of_part
from loombench.diagnose.plan import mends
from loombench.diagnose.safety import allowed, operation_allowed
from loombench.diagnose.situation import Situation, cost_of, hands_at, reaching_s, setting_s
from loombench.diagnose.step import Step
from loombench.diagnose.suspect import group_of
from loombench.text.names import find_element, find_point, read_one_operation
from loombench.vehicle.condition import AIDS, Setup
from loombench.vehicle.graph import battery_minus
from loombench.vehicle.points import PIN, WIRE, Point
from loombench.vehicle.trace import loads

DO, LOOK, FUSE, READ, BRIDGE, CONDEMN, STOP = "do", "look", "fuse", "read", "bridge", "condemn", "stop"
VERBS = (DO, LOOK, FUSE, READ, BRIDGE, CONDEMN, STOP)
WRONG_PART = "wrong-part"
REPLAYS_KEPT = 400
FUSES = ("fuse", "fuselink")


@dataclass(frozen=True)
class Act:
    """One thing done: as typed, what came of it in words, its seconds, whether it was unsafe and why, whether a good
    part was condemned; `title` is the act in words."""

    text: str
    said: str
    cost_s: float = 0.0
    unsafe: str = ""
    wrong: bool = False
    title: str = ""


@dataclass(frozen=True)
class Standing:
    """Where a round stands. `seen` are the loads looked at in the state it is in now, with what they did."""

    situation: Situation = field(default_factory=Situation)
    acts: tuple[Act, ...] = ()
    seen: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    over: bool = False
    cured: bool = False

    @property
    def minutes(self) -> float:
        """What all acts cost."""
        return sum(one.cost_s for one in self.acts) / 60.0

    @property
    def unsafe(self) -> tuple[Act, ...]:
        """Acts that nobody should do."""
        return tuple(one for one in self.acts if one.unsafe)

    @property
    def wrong(self) -> tuple[Act, ...]:
        """Good parts condemned."""
        return tuple(one for one in self.acts if one.wrong)


@dataclass(frozen=True, eq=False)
class Table:
    """A vehicle that rounds are played on."""

    circuits: Circuits

    @cached_property
    def bench(self) -> Bench:
        """What costs and safety are asked of."""
        return bench_for(self.circuits.vehicle)

    @cached_property
    def dealt(self) -> Oldest[tuple[str, int], Dealt | None]:
        """Tasks by level and seed, as they were asked for."""
        return Oldest(REPLAYS_KEPT)

    @cached_property
    def best(self) -> Oldest[tuple[str, int, str], object]:
        """The program's own paths by level, seed and language, as they were asked for."""
        return Oldest(REPLAYS_KEPT)

    @cached_property
    def _played(self) -> Oldest[tuple[object, ...], Standing]:
        return Oldest(REPLAYS_KEPT)

    @cached_property
    def groups_at(self) -> Mapping[str, tuple[str, ...]]:
        """What can be condemned, by the part or wire that it is at."""
        found: dict[str, dict[str, None]] = {}
        for name, faults in self.circuits.faults_at.items():
            found[name] = dict.fromkeys(group_of(self.circuits.vehicle, fault) for fault in faults)
        return MappingProxyType({name: tuple(groups) for name, groups in found.items()})

    def loads_of(self, part: str) -> tuple[str, ...]:
        """What of a part one can look at: that it lights, turns, sounds."""
        every = (one.via for one in loads(self.circuits.vehicle))
        return tuple(one for one in every if one == part or one.rpartition(".")[0] == part)

    def played(self, task: Dealt, acts: tuple[str, ...], words: Catalogue) -> Standing:
        """Where a round stands after some acts; acts after its end count for nothing."""
        standing = Standing()
        for count in range(1, len(acts) + 1):
            before, text = standing, acts[count - 1]
            if before.over:
                break
            key = (task.level, task.seed, words.language, acts[:count])
            standing = self._played.or_made(key, lambda b=before, t=text: _Turn(self, task, words, b).done(t))  # type: ignore[misc]
        return standing


@dataclass(frozen=True, eq=False)
class _Turn:
    """One act of a round."""

    table: Table
    task: Dealt
    words: Catalogue
    before: Standing

    def done(self, text: str) -> Standing:
        verb, _, rest = text.strip().partition(" ")
        acts = {
            DO: self._operate, LOOK: self._look, FUSE: self._look_fuse, READ: self._read, BRIDGE: self._bridge,
            CONDEMN: self._condemn, STOP: self._stop,
        }  # fmt: skip
        return acts.get(verb, self._unread)(text, rest.strip())

    @property
    def _vehicle(self) -> PracticeVehicle:
        return PracticeVehicle(self.table.circuits.vehicle, self.task.hidden)

    def _say(self, key: str, **facts: object) -> str:
        return self.words.say(f"web.practice.{key}", **facts)

    def _with(self, act: Act, situation: Situation | None = None, **more: object) -> Standing:
        titled = replace(act, title=self._title(act.text))
        after = replace(self.before, acts=(*self.before.acts, titled), **more)  # type: ignore[arg-type]
        return after if situation is None else replace(after, situation=situation)

    def _title(self, text: str) -> str:
        """An act in words; as typed where it is none."""
        verb, _, rest = text.strip().partition(" ")
        if verb == READ:
            meter, _, leads = rest.partition(" ")
            known = f"meter.{meter}"
            named = self.words.say(known) if self.words.has(known) else meter
            ends = self.words.say("step.leads-join").join(leads.split())
            return self._say("act-read", meter=named, what=ends)
        if verb == CONDEMN and rest in self.table.bench.hypotheses.groups:
            return self._say("act-condemn", what=suspect_text(self.table.bench, rest, self.words))
        return self._say(f"act-{verb}", what=rest) if verb in VERBS else text

    def _unread(self, text: str, _rest: str) -> Standing:
        return self._with(Act(text, self._say("unread")))

    def _never(self, text: str, why: str) -> Standing:
        return self._with(Act(text, self._say("not-done"), 0.0, why))

    def _kept_off(self, text: str) -> Standing:
        return self._never(text, self._say("kept-off"))

    def _taken(self, text: str, step: Step, said: str, **more: object) -> Standing:
        bench, situation = self.table.bench, self.before.situation
        act = Act(text, said, step.cost_s(bench, situation))
        return self._with(act, step.after(bench, situation), **more)

    def _operate(self, text: str, rest: str) -> Standing:
        vehicle, situation = self.table.circuits.vehicle, self.before.situation
        read = read_one_operation(vehicle, rest).value
        if read is None or read.verb in AIDS:
            return self._unread(text, rest)
        if not operation_allowed(vehicle, self.table.circuits.nets, read):
            return self._kept_off(text)
        wanted = situation.condition.then(read)
        places = hands_at(vehicle, situation.condition, wanted)
        cost_s = setting_s(vehicle, situation.condition, wanted) + reaching_s(vehicle, situation, *places)
        after = replace(situation.at(*places), condition=wanted)
        return self._with(Act(text, self._say("done"), cost_s), after, seen=MappingProxyType({}))

    def _look(self, text: str, rest: str) -> Standing:
        found = find_element(self.table.circuits.vehicle, rest).value
        if found is None:
            return self._unread(text, rest)
        part, element = found
        load = f"{part.id}.{element.name}" if element is not None else part.id
        step = See(load, self.before.situation.condition)
        if not allowed(self.table.bench, step):
            return self._kept_off(text)
        word = str(self._vehicle.reply(step, self.before.situation.repaired))
        seen = MappingProxyType({**self.before.seen, load: word})
        return self._taken(text, step, self.words.say(f"seen.{word}"), seen=seen)

    def _look_fuse(self, text: str, rest: str) -> Standing:
        part = self.table.circuits.vehicle.parts.get(rest)
        if part is None or part.kind not in FUSES:
            return self._unread(text, rest)
        step = LookFuse(rest, self.before.situation.condition)
        if not allowed(self.table.bench, step):
            return self._kept_off(text)
        word = str(self._vehicle.reply(step, self.before.situation.repaired))
        return self._taken(text, step, self._say(f"fuse-{word}"))

    def _read(self, text: str, rest: str) -> Standing:
        circuits, situation = self.table.circuits, self.before.situation
        meter, _, leads = rest.partition(" ")
        names = leads.split()
        points = [find_point(circuits.vehicle, name).value for name in names]
        if meter not in METERS or not 1 <= len(points) <= 2 or None in points:
            return self._unread(text, rest)
        ends = [_touched(circuits, point) for point in points if point is not None]
        red, black = ends[0], (ends[1] if len(ends) > 1 else battery_minus(circuits.vehicle))
        setup = Setup(situation.condition, red, None if meter == CLAMP else black, meter)
        step = Measure(setup, drop=black is not None and self._beside(red, black))
        if not allowed(self.table.bench, step):
            return self._kept_off(text)
        left = self._vehicle.left(situation.repaired)
        found = shown(circuits, circuits.reached(situation.condition, left).value, meter, red, black, self.words)
        if meter in OHMS and found.live:
            return self._never(text, self.words.say("caution.ohms-dead"))
        return self._taken(text, step, self._say("shows", value=found.said))

    def _beside(self, red: Point, black: Point) -> bool:
        """Whether both leads are at one place."""
        vehicle = self.table.circuits.vehicle
        place = place_of_part(vehicle, red.part)
        return bool(place) and place == place_of_part(vehicle, black.part)

    def _bridge(self, text: str, rest: str) -> Standing:
        part = self.table.circuits.vehicle.parts.get(rest)
        if part is None or part.kind not in FUSES:
            return self._unread(text, rest)
        return self._never(text, self.words.say("caution.fuse-rating"))

    def _condemn(self, text: str, rest: str) -> Standing:
        bench, situation = self.table.bench, self.before.situation
        complaint = self.task.complaint
        if rest not in bench.hypotheses.groups:
            return self._unread(text, rest)
        jobs = mends(bench, (rest,), complaint.target, complaint.condition)
        if not jobs:
            return self._kept_off(text)
        step = jobs[0]
        right = rest in {group_of(bench.vehicle, fault) for fault in self._vehicle.left(situation.repaired)}
        after = step.after(bench, situation)
        cured = not self._vehicle.left(after.repaired)
        word = str(self._vehicle.reply(step, situation.repaired)) if isinstance(step, Mend) else ""
        key = "cured" if cured else "one-of-two" if right else "was-good"
        said = self._say(key, seen=self.words.say(f"seen.{word}"))
        cost_s = step.cost_s(bench, situation) + (0.0 if right else cost_of(WRONG_PART))
        act = Act(text, said, cost_s, "", not right)
        return self._with(act, after, seen=MappingProxyType({}), over=cured, cured=cured)

    def _stop(self, text: str, _rest: str) -> Standing:
        return self._with(Act(text, self._say("stopped")), over=True)


def _touched(circuits: Circuits, point: Point) -> Point:
    """The point a probe is on: of a battery its post."""
    return point.at(PIN) if circuits.vehicle.parts[point.part].kind == "battery" else point.at(WIRE)


SHOWN_WORK: Mapping[str, bool] = MappingProxyType({WORKS: True, DIM: False})
"""Looks that are drawn: whether the load works fully."""
