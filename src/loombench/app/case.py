"""A case and all that follows from its events: belief, region, plan, choice, verdict, worked out when asked for."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from types import MappingProxyType

from loombench.app.course import Course, course
from loombench.circuit.aid import aided
from loombench.circuit.catalogue import single_faults
from loombench.circuit.fault import Fault
from loombench.circuit.lower import LoweringOf
from loombench.diagnose.aided import AidedForecast
from loombench.diagnose.belief import Belief
from loombench.diagnose.bench import Bench
from loombench.diagnose.choose import Choice, Ranked, choose
from loombench.diagnose.comeback import looks_owed, next_look
from loombench.diagnose.complained import OTHER_LOOKS, busiest, load_named, sound_sights
from loombench.diagnose.condemn import AMPS, Owed, cheapest, unseen
from loombench.diagnose.ending import in_order
from loombench.diagnose.expected import BEYOND, RESISTIVE, deviation
from loombench.diagnose.forecast import Forecast
from loombench.diagnose.growing import GrowingForecast
from loombench.diagnose.hypothesis import halves, hypotheses
from loombench.diagnose.likelihood import sound_look
from loombench.diagnose.looking import See
from loombench.diagnose.measuring import Measure
from loombench.diagnose.observation import WORKS, LoadSeen, MeterRead
from loombench.diagnose.pairs import believed
from loombench.diagnose.plan import mends, steps
from loombench.diagnose.presence import often
from loombench.diagnose.putright import still_wrong
from loombench.diagnose.rates import NO_RATES, Rates, weighed
from loombench.diagnose.region import Region
from loombench.diagnose.room import Room
from loombench.diagnose.safety import allowed
from loombench.diagnose.situation import Situation
from loombench.diagnose.step import Step
from loombench.diagnose.tabled import TabledForecast
from loombench.diagnose.verdict import ONE_CLASS, PROVEN, SEARCHING, Verdict, judge, ranking
from loombench.evidence.complaint import FUSE_SYMPTOMS, Complaint
from loombench.evidence.envelope import Envelope
from loombench.record.store import EventStore
from loombench.vehicle.condition import PROVOKING
from loombench.vehicle.model import Vehicle
from loombench.vehicle.nets import nets

BROUGHT_ON = MappingProxyType({"hot": "heat", "wet": "wet"})
"""What brings on a complaint that is only there then; else its spot is moved."""
Chooser = Callable[[Belief, Situation, Sequence[Step]], Choice]
"""What picks the next step; `diagnose.choose` unless a rival is to be compared with it."""


@dataclass(frozen=True, eq=False)
class Case:
    """A case as its events make it. `bench` is what it stands on; the rest follows from the events.

    `drawn` is the vehicle as its file has it where the case has found it to be built otherwise; `following` the number
    the next event has in the store, which counts lines that cannot be read too (0: one more than there are events).
    """

    id: str
    author: str
    bench: Bench
    store: EventStore
    events: tuple[Envelope, ...]
    drawn: Vehicle | None = None
    following: int = 0
    chooser: Chooser = choose

    @cached_property
    def course(self) -> Course:
        """Where the events lead to."""
        return course(self.bench, self.events)

    @cached_property
    def belief(self) -> Belief:
        """The belief by the replay of all events."""
        bench, seen = self._weighing, self.course.observations
        # What has pairs of faults in it stands on a bench of its own, which is much to keep.
        return bench.once_said(
            seen, (believed,), lambda: believed(bench, seen), lambda found: found.hypotheses is bench.hypotheses
        )

    @cached_property
    def _weighing(self) -> Bench:
        """The bench the case is weighed on."""
        come_and_go = any(one.presence for one in self.course.complaints)
        by = next((BROUGHT_ON[one.presence] for one in self.course.complaints if one.presence in BROUGHT_ON), "wiggle")
        return replace(self.bench, presence=often(), provoked_by=by) if come_and_go else self.bench

    @cached_property
    def complaint(self) -> Complaint:
        """What must come and go: the first complaint that is no praise and was not seen on purpose to be none. Where
        all of these are cured it is what was seen to be wrong all the same since then; where nothing was, the first."""
        told = self.course.complaints
        wrong = [one for one in told if one.symptom != "works"] or [told[0]]
        there = [one for one in wrong if not self._refuted(one)] or wrong[:1]
        left = next((one for one in there if not self._refuted(one, cured=True)), None)
        return left or self._also_wrong or there[0]

    def _refuted(self, complaint: Complaint, cured: bool = False) -> bool:
        """Whether its load was last seen to be as it should: with nothing put right yet, or, where it may be `cured`,
        whatever was."""
        if complaint.symptom in FUSE_SYMPTOMS or complaint.presence:
            return False
        condition = complaint.condition
        verified = (one for one in self.course.observations if isinstance(one, LoadSeen) and one.verified)
        seen = [one for one in verified if one.condition == condition and (cured or not one.repaired)]
        if not seen:
            return False
        load = load_named(sound_sights(self.bench.forecast, condition), complaint.target)
        words = [one.seen for one in seen if one.load == load]
        return bool(words) and words[-1] == sound_look(self.bench, load, condition)

    @cached_property
    def _also_wrong(self) -> Complaint | None:
        """What nobody complained about, and what is not as it should be after all that was put right."""
        one = next(iter(still_wrong(self.bench, self.course.observations)), None)
        if one is None or one.seen not in OTHER_LOOKS:
            return None
        symptom = OTHER_LOOKS[one.seen]
        return Complaint(one.load, symptom, one.condition, f"{one.load} {symptom} when {one.condition}")

    @cached_property
    def load(self) -> str:
        """The load the complaint is about, as the forecast names it."""
        sights = sound_sights(self.bench.forecast, self.complaint.condition)
        if self.complaint.symptom not in FUSE_SYMPTOMS:
            return load_named(sights, self.complaint.target)
        return busiest(sights, self.region.loads) or self.complaint.target

    @cached_property
    def region(self) -> Region:
        """The part of the vehicle the complaints are about."""
        return self.bench.region(self._about)

    @cached_property
    def _about(self) -> tuple[str, ...]:
        """What is complained about."""
        told = tuple(one.target for one in self.course.complaints if one.symptom != "works")
        return tuple(dict.fromkeys((*told, self.complaint.target)))

    @cached_property
    def reproduced(self) -> bool | None:
        """Whether the complaint was there when it was last looked at on purpose; None before that."""
        about = (self.load, self.complaint.condition)
        seen = [one for one in self.course.observations if isinstance(one, LoadSeen) and one.verified]
        words = [one.seen for one in seen if (one.load, one.condition) == about]
        if self.complaint.presence:
            # What comes and goes and was not there this time is still complained about.
            return True if any(word != sound_look(self.bench, *about) for word in words) else None
        if self.complaint.symptom == "flat" and words and words[-1] == WORKS:
            # Not charged is as good a reason as given away; what is seen with the engine running then counts.
            words = [one.seen for one in seen if one.load == self.load]
            return words[-1] != WORKS or (None if len(words) == 1 and self._charged else False)
        return words[-1] != sound_look(self.bench, *about) if words else None

    @property
    def _charged(self) -> bool:
        """Whether the vehicle has something that charges its batteries."""
        return any(part.kind == "alternator" for part in self.bench.vehicle.parts.values())

    @cached_property
    def plan(self) -> tuple[Step, ...]:
        """All steps that exist now."""
        return steps(
            self.belief.bench, self.belief, self.course.situation, self.region, self.load, self.complaint.condition
        )

    @cached_property
    def _chosen(self) -> Choice:
        asked = (self.chooser, self.course.situation, *self._about, self.load, self.complaint.condition)
        return self._weighing.once_said(
            self.course.observations, asked, lambda: self.chooser(self.belief, self.course.situation, self.plan)
        )

    @cached_property
    def _judged(self) -> Verdict:
        found = judge(self.belief, self.reproduced, True, self.looks_owed)
        if found.state != SEARCHING:
            return found
        # Only here it matters whether a step is left; to choose one takes long where nobody knows where to look.
        return judge(self.belief, self.reproduced, self._chosen.step is not None, self.looks_owed)

    @cached_property
    def looks_owed(self) -> int:
        """Good looks at the complaint still to be made after the last repair, where it comes and goes."""
        if self.belief.bench.presence >= 1.0:
            return 0
        done, about = self.course.situation.repaired, self.complaint.condition
        return looks_owed(self.bench, self.course.observations, done, self.load, about)

    @property
    def look_again(self) -> See | None:
        """The next of these looks."""
        if not self.looks_owed:
            return None
        done, about = self.course.situation.repaired, self.complaint.condition
        return next_look(self.belief.bench, self.course.observations, done, self.load, about)

    @cached_property
    def unseen(self) -> tuple[Owed, ...]:
        """What was not seen of a module or breaker that would be condemned now: the likeliest, or the first renewed."""
        if self._judged.state not in (PROVEN, ONE_CLASS):
            return ()
        first = dict.fromkeys((*self._judged.groups[:1], *(job.id.removeprefix("mend ") for job in self.repairs[:1])))
        return unseen(self.belief, tuple(first), self.region, self.load, self.complaint.condition)

    @cached_property
    def choice(self) -> Choice:
        """The next step by what it tells per second; where that would end with a module, what it is still owed."""
        owed = cheapest(self.bench, self.course.situation, self.unseen)
        if owed is None:
            return self._chosen
        ranked = Ranked(owed.step, 0.0, owed.step.cost_s(self.bench, self.course.situation))
        return Choice(owed.step, (ranked,), "condemn-breaker" if owed.what == AMPS else "condemn")

    @cached_property
    def verdict(self) -> Verdict:
        """What may be said; nothing of a module or breaker as long as something can be seen that it is owed."""
        owed = cheapest(self.bench, self.course.situation, self.unseen)
        return self._judged if owed is None else replace(self._judged, state=SEARCHING)

    @cached_property
    def repairs(self) -> tuple[Step, ...]:
        """Repairs of the suspects left: the most belief for the least work first."""
        shares: dict[str, float] = {}
        for group, share in ranking(self.belief):
            for half in dict.fromkeys(halves(group)):
                shares[half] = shares.get(half, 0.0) + share
        situation = self.course.situation
        every = mends(self.bench, self._judged.groups, self.load, self.complaint.condition)
        jobs = [job for job in every if job.id not in situation.done]
        weight = [shares.get(job.id.removeprefix("mend "), 0.0) for job in jobs]
        cost_s = [job.cost_s(self.bench, situation) for job in jobs]
        return tuple(jobs[place] for place in in_order(weight, cost_s))

    @cached_property
    def retests(self) -> tuple[See | Measure, ...]:
        """What is seen again after a repair: the complaint, the reading that was farthest off, the neighbours; nothing
        that safety forbids, as where the complaint is about a load that is kept off."""
        about = self.complaint.condition
        seen = [step for step in self.plan if isinstance(step, See) and step.condition == about]
        near = [step for step in seen if step.load != self.load]
        worst = self.worst_reading
        wanted: tuple[See | Measure, ...] = (See(self.load, about), *([Measure(worst.setup)] if worst else []), *near)
        return tuple(step for step in wanted if allowed(self.bench, step))

    @cached_property
    def worst_reading(self) -> MeterRead | None:
        """The reading before the last repair that was farthest from the sound vehicle's, of those beyond its error."""
        repaired = self.course.situation.repaired
        found = [
            (deviation(self.bench, one), -place, one)
            for place, one in enumerate(self.course.observations)
            if isinstance(one, MeterRead) and one.repaired != repaired and one.setup.meter not in RESISTIVE
        ]
        worst = max(found, key=lambda item: item[:2], default=None)
        return worst[2] if worst and worst[0] > BEYOND else None

    def offered(self, step_id: str) -> Step:
        """The step of that name, of all that can be done now.

        Raises:
            KeyError: there is none.
        """
        step = next((step for step in self._on_offer() if step.id == step_id), None)
        if step is None:
            raise KeyError(step_id)
        return step

    def _on_offer(self) -> Iterator[Step]:
        """All that can be done now. The plan comes first, so that the rest is not worked out for a step of it."""
        yield from self.plan
        yield from self.repairs
        yield from self.retests
        if self.look_again is not None:
            yield self.look_again
        yield from (one.step for one in self.unseen)


def bench_for(vehicle: Vehicle, rates: Rates = NO_RATES) -> Bench:
    """What the cases of a vehicle stand on; making it once serves many cases. `rates` are what was learned from others.

    Raises:
        ValueError: the vehicle cannot be computed; `check` says why.
    """
    known = weighed(vehicle, hypotheses(vehicle, single_faults(vehicle)), rates)
    lowering = LoweringOf(vehicle)
    moving = any(fault.mode == "moving" for row in known.faults for fault in row)
    idle = () if moving else PROVOKING

    room = Room()

    def forecast(rows: Sequence[tuple[Fault, ...]]) -> Forecast:
        return AidedForecast(lambda aids: TabledForecast(vehicle, rows, aided(lowering, aids), room=room), idle)

    grow = GrowingForecast(forecast)
    return Bench(vehicle, nets(vehicle), known, grow.of(known.faults), grow=grow, rates=rates, room=room)
