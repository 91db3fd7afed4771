"""What is tried out on the last suspects: for each kind of step two suspects that nothing cheaper parts, and a vehicle
where the step makes no sense and is not offered."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from loombench.circuit.aid import aided
from loombench.circuit.catalogue import single_faults
from loombench.circuit.fault import read_fault
from loombench.circuit.lower import LoweringOf
from loombench.diagnose.aided import AidedForecast
from loombench.diagnose.belief import Belief, update
from loombench.diagnose.bench import Bench
from loombench.diagnose.hypothesis import hypotheses
from loombench.diagnose.looking import Mend, See
from loombench.diagnose.measuring import Measure
from loombench.diagnose.modelled import Modelled
from loombench.diagnose.observation import LoadSeen
from loombench.diagnose.plan import steps
from loombench.diagnose.region import region
from loombench.diagnose.safety import cautions
from loombench.diagnose.situation import Situation, cost_of, helper_s
from loombench.diagnose.step import Step
from loombench.diagnose.stepname import read_step
from loombench.diagnose.touching import FeelGrip, ReadInput
from loombench.diagnose.trying import SPOTS
from loombench.text.names import read_condition
from loombench.vehicle.condition import AIDS, Condition, Operation
from loombench.vehicle.nets import nets
from tests.diagnose.vehicles import HEAD, RELAY, vehicle

LED = (
    HEAD
    + """
fuse   F12 10A at box "marker"
switch S4 off | on: 1=2 at dash "marker"
led    E7 12V 5W at head "marker"
lamp   E8 12V 21W at head "other"
loom chassis
G1.- (BK 25mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.8m) F12 (GY 1.5mm2 0.5m) S4.1
S4.2 (GY/RD 1.5mm2 3.2m) SP2
SP2 (OG/BK 1.5mm2 0.3m) E7.+>- (BK 1.5mm2 0.8m) W3/a
SP2 (OG/BK 1.5mm2 1.1m) E8 (BK 1.5mm2 1.6m) W3/b
"""
)
GROUND_SWITCHED = (
    HEAD
    + """
fuse   F12 10A at box
switch S4 off | on: 1=2 at dash
lamp   E7 12V 21W at head
loom chassis
G1.- (BK 25mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.8m) F12 (GY 1.5mm2 0.5m) E7.1
E7.2 (GY/RD 1.5mm2 3.2m) S4.1
S4.2 (BN 1.5mm2 0.3m) W3/a
"""
)
LIMIT_SWITCH = (
    HEAD
    + """
fuse   F12 10A at box
switch S4 off | on: 1=2 at dash
switch S9 limit shut: 1=2 | lifted at head "hood"
motor  M5 12V 5A at head
loom chassis
G1.- (BK 25mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.8m) F12 (GY 1.5mm2 0.5m) S4.1
S4.2 (GY/RD 1.5mm2 3.2m) S9.1
S9.2 (GY/RD 1.5mm2 3.2m) M5.+
M5.- (BN 1.5mm2 0.3m) W3/a
"""
)
TWO_RELAYS = RELAY + (
    """
relay  K5 make 30 85 86 87 at box "fan"
lamp   E9 12V 21W at head
SP1 (RD 4mm2 0.3m) K5.30
S7.2 (WH/BK 0.75mm2 0.8m) K5.86
K5.85 (BN 0.75mm2 0.3m) W1/c
K5.87 (GN 1.5mm2 2m) E9 (BN 1.5mm2 0.4m) W3/b
"""
)
OTHER_RELAY = TWO_RELAYS.replace("relay  K5 make 30 85 86 87", "relay  K5 make 30 85 86 87 120ohm")
MODULE = (
    HEAD
    + """
fuse   F1 20A at box
switch S4 off | on: 1=2 at dash
lamp   E7 12V 21W at head
module A2 at head
  supply 1
  ground 2
  in 3 on when high
  out 4 high-side from 1 max 5A
  when 3: 4
loom chassis
G1.- (BK 25mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.8m) F1 (RD 2.5mm2 0.4m) SP1
SP1 (RD 2.5mm2 0.4m) A2.1
SP1 (RD 1mm2 0.4m) S4.1
S4.2 (WH 1mm2 0.4m) A2.3
A2.2 (BN 2.5mm2 0.4m) W1/b
A2.4 (GN 1mm2 1m) E7 (BN 1mm2 1m) W3/a
"""
)

GROUND_PAIR = (
    HEAD
    + """
fuse   F12 10A at box
switch S4 off | on: 1=2 at dash "left"
switch S5 off | on: 1=2 at dash "right"
lamp   E7 12V 21W at head
lamp   E8 12V 21W at head
loom chassis
G1.- (BK 25mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.8m) F12 (GY 1.5mm2 0.5m) SP1
SP1 (GY 1.5mm2 0.5m) S4.1
SP1 (GY 1.5mm2 0.5m) S5.1
S4.2 (GY/RD 1.5mm2 3.2m) E7.1
S5.2 (GY/BU 1.5mm2 3.2m) E8.1
E7.2 (BN 1.5mm2 0.3m) SP5
E8.2 (BN 1.5mm2 0.3m) SP5
SP5 (BN 1.5mm2 0.3m) W3/a
"""
)


class Two:
    """A vehicle of which only a few faults are possible, seen dead or working on purpose."""

    def __init__(self, text: str, load: str, state: str, *faults: str, seen: str = "dead") -> None:
        car = vehicle(text)
        told = [one for one in map(read_fault, faults) if one is not None]
        assert len(told) == len(faults)
        known = hypotheses(car, told)
        lowering = LoweringOf(car)
        forecast = AidedForecast(lambda aids: Modelled(car, known.faults, aided(lowering, aids)))
        self.bench = Bench(car, nets(car), known, forecast)
        read = read_condition(car, state)
        assert read.usable
        self.condition, self.load = read.value, load
        about = LoadSeen(load, seen, self.condition, True)
        self.belief = update(Belief(self.bench), [about])
        self.where = region(car, (load,))

    def plan(self, done: frozenset[str] = frozenset()) -> tuple[Step, ...]:
        situation = Situation(done=done)
        return steps(self.bench, self.belief, situation, self.where, self.load, self.condition)

    def dead_checks(self) -> frozenset[str]:
        return frozenset(step.id for step in self.plan() if step.kind == "ohms")

    def apart(self, step: Step) -> float:
        """How far the answers under the first and under the second fault are apart, from 0 to 1."""
        table = step.outcomes(self.bench, self.belief.share, Situation()).table
        return float(np.abs(table[0] - table[-3]).sum() / 2.0)

    def cheapest(self, least: float, done: frozenset[str] = frozenset()) -> Step:
        """Of the steps that part the two at least so well the cheapest; putting one of them right is no test."""
        plan = [step for step in self.plan(done) if not isinstance(step, Mend) and step.id not in done]
        parting = [step for step in plan if self.apart(step) >= least]
        assert parting, "nothing parts them"
        return min(parting, key=lambda step: step.cost_s(self.bench, Situation()))


def verbs(step: Step) -> tuple[str, ...]:
    """The aids a step needs put on."""
    condition = step.setup.condition if isinstance(step, Measure) else getattr(step, "condition", Condition())
    return tuple(one.verb for one in condition.aids)


def offered(two: Two, wanted: Callable[[Step], bool], done: frozenset[str] = frozenset()) -> bool:
    return any(wanted(step) for step in two.plan(done))


CASES: dict[str, tuple[Callable[[], Two], float]] = {
    "substitute": (lambda: Two(LED, "E7", "S4=on", "open E7", "open contact E7.+"), 0.9),
    "ground": (lambda: Two(LED, "E8", "S4=on", "open E8.2~W3/b", "open SP2~E8.1"), 0.9),
    "feed": (lambda: Two(LED, "E8", "S4=on, wait 600s", "open SP2~E8.1", "open E8"), 0.9),
    "swap": (lambda: Two(TWO_RELAYS, "B7", "S7=push", "open K4.make", "open contact K4.87"), 0.9),
    "actuate": (lambda: Two(MODULE, "E7", "S4=on", "stuck A2.3 off", "open A2.4~E7.1"), 0.9),
    "wiggle": (lambda: Two(LED, "E8", "S4=on", "moving contact E8.1", "moving F12.out~S4.1", seen="works"), 0.55),
}


@pytest.mark.parametrize("kind", CASES)
def test_each_thing_put_on_parts_two_suspects_that_nothing_cheaper_parts(kind: str) -> None:
    make, least = CASES[kind]
    two = make()
    # Where the module's input can be read that is as good; not every one shows it.
    unread = frozenset(step.id for step in two.plan() if isinstance(step, ReadInput))
    best = two.cheapest(least, unread)
    assert verbs(best) == (kind,), best.id
    # The caution stands before it, and what is on record reads back as the step it was.
    assert f"aid-{kind}" in cautions(two.bench, best)
    if isinstance(best, See):
        assert read_step(best.id) == best


def test_a_limiter_shows_a_short_that_a_dead_circuit_does_not() -> None:
    """Behind a relay at rest the ohmmeter does not see it; with a lamp for the fuse it is seen live, nothing blows."""
    two = Two(RELAY, "B7", "S7=push", "short B7.1 to ground", "blown F1")
    assert not offered(two, lambda step: verbs(step) == ("limiter",))
    done = two.dead_checks()
    assert done
    best = two.cheapest(0.9, done | {step.id for step in two.plan(done) if step.kind == "ohms"})
    assert verbs(best) == ("limiter",), best.id
    assert best.kind == "measure"
    assert "aid-limiter" in cautions(two.bench, best)


def test_a_bright_limiter_is_no_short_where_sound_lamps_draw_that_much() -> None:
    """What tells is the node behind it: a fifth of the volts or more with sound loads, next to none at a short."""
    two = Two(LED, "E8", "S4=on", "short E8.1 to ground", "blown F12")
    done = two.dead_checks()
    limiter = next(step for step in two.plan(done) if verbs(step) == ("limiter",) and isinstance(step, Measure))
    outcomes = limiter.outcomes(two.bench, two.belief.share, Situation())
    short, sound = (int(np.argmax(outcomes.table[row])) for row in (0, -3))
    assert outcomes.outcomes[short].high < outcomes.outcomes[sound].high
    assert outcomes.outcomes[short].high > 0.2


def test_only_feeling_its_grip_tells_one_contact_of_a_plug_from_the_other() -> None:
    two = Two(LED, "E7", "S4=on", "open contact E7.+", "open contact E7.-")
    best = two.cheapest(0.5)
    assert isinstance(best, FeelGrip)
    assert read_step(best.id) == best
    assert "grip" in cautions(two.bench, best)
    rings = Two(LED, "E7", "S4=on", "open contact W3/a", "open E7")
    assert not offered(rings, lambda step: isinstance(step, FeelGrip))


def test_what_a_module_says_of_its_input_tells_the_switch_from_the_output() -> None:
    two = Two(MODULE, "E7", "S4=on", "open S4.2~A2.3", "stuck A2.4 off")
    asked = [step for step in two.plan() if isinstance(step, ReadInput)]
    assert [two.apart(step) > 0.9 for step in asked] == [True]
    assert read_step(asked[0].id) == asked[0]
    words = [one.word for one in asked[0].outcomes(two.bench, two.belief.share, Situation()).outcomes]
    assert words == ["on", "off", "no answer"]
    # A module that nothing is suspected of is not asked.
    wires = Two(MODULE, "E7", "S4=on", "open A2.4~E7.1", "open E7.2~W3/a")
    assert not offered(wires, lambda step: isinstance(step, ReadInput) or verbs(step) == ("actuate",))


def test_a_wire_off_its_pin_tells_an_output_that_drives_from_metal_across_it() -> None:
    """From a short of next to no ohms to the supply of the same module: its fuse feeds both, and no volts tell them."""
    two = Two(MODULE, "E7", "", "stuck A2.4 on", "short A2.4 to A2.1", seen="works")

    def apart(step: Step) -> float:
        table = step.outcomes(two.bench, two.belief.share, Situation()).table
        return float(np.abs(table[0] - table[1]).sum() / 2.0)

    told = [step for step in two.plan() if not isinstance(step, Mend) and apart(step) > 0.9]
    assert [verbs(step) for step in told] == [("release",)]
    assert read_step(told[0].id) == told[0]
    assert cautions(two.bench, told[0])[0] == "aid-release"


def test_a_wire_is_rung_out_between_its_plugs() -> None:
    two = Two(MODULE, "E7", "S4=on", "open S4.2~A2.3", "open contact S4.2")
    rung = [step for step in two.plan() if step.kind == "ohms" and step.id.endswith("when unplug S4, unplug A2")]
    assert [two.apart(step) > 0.9 for step in rung] == [True]
    # Volts on the wire's own end tell it too, with everything plugged.
    assert two.cheapest(0.9).kind == "measure"
    spliced = Two(LED, "E7", "S4=on", "open SP2~E7.+", "open E7")
    assert not offered(spliced, lambda step: step.kind == "ohms" and "SP2" in step.id)


@pytest.mark.parametrize(("kind", "make"), [
    # The load is not suspected, so nothing is to be learnt from another in its place.
    ("substitute", lambda: Two(LED, "E7", "S4=on", "open contact E7.+", "open contact W3/a")),
    # A lead past a switch would set the load going; a lead past a limit switch takes the guard away.
    ("ground", lambda: Two(GROUND_SWITCHED, "E7", "S4=on", "open contact W3/a", "open F12.out~E7.1")),
    ("feed", lambda: Two(LIMIT_SWITCH, "M5", "S4=on", "open S4.2~S9.1", "open contact W3/a")),
    # Whatever blew the fuse would be fed by a lead as well.
    ("feed", lambda: Two(LED, "E8", "S4=on", "short E8.1 to ground", "blown F12")),
    # What should be on, or is fed by no suspected module, tells nothing with its wire off.
    ("release", lambda: Two(MODULE, "E7", "S4=on", "stuck A2.4 off", "open A2.4~E7.1")),
    ("release", lambda: Two(MODULE, "E7", "", "short A2.4 to supply", "short E7.1 to supply", seen="works")),
    # Another coil is no like relay.
    ("swap", lambda: Two(OTHER_RELAY, "B7", "S7=push", "open K4.make", "open contact K4.87")),
    # Nothing that comes and goes is suspected.
    ("wiggle", lambda: Two(LED, "E7", "S4=on", "open contact E7.+", "open E7")),
])  # fmt: skip
def test_what_makes_no_sense_is_not_offered(kind: str, make: Callable[[], Two]) -> None:
    assert not offered(make(), lambda step: kind in verbs(step))


def test_no_limiter_stands_in_for_the_fuse_of_a_module() -> None:
    two = Two(MODULE, "E7", "S4=on", "short S4.2 to ground", "blown F1")
    done = two.dead_checks()
    assert done
    assert not offered(two, lambda step: "limiter" in verbs(step), done)


def test_nothing_is_put_on_while_suspects_are_many() -> None:
    breaks = [str(fault) for fault in single_faults(vehicle(LED)) if fault.mode == "open"]
    two = Two(LED, "E7", "S4=on", *breaks)
    assert not offered(two, lambda step: bool(verbs(step)))


def test_what_comes_and_goes_is_looked_for_by_moving_spots_however_many_suspects_there_are() -> None:
    breaks = [str(fault) for fault in single_faults(vehicle(LED)) if fault.mode == "open"]
    two = Two(LED, "E8", "S4=on", *breaks, seen="works")
    assert not offered(two, lambda step: "wiggle" in verbs(step))
    two.bench = replace(two.bench, presence=0.3)
    two.belief = update(Belief(two.bench), [LoadSeen("E8", "works", two.condition, True)])
    spots = [step for step in two.plan() if "wiggle" in verbs(step)]
    assert 1 < len(spots) <= SPOTS
    # Moving a wire or a plug tells what is there from what is elsewhere.
    wire = Two(LED, "E8", "S4=on", "open F12.out~S4.1", "open contact E8.1", seen="works")
    wire.bench = replace(wire.bench, presence=0.2)
    wire.belief = update(Belief(wire.bench), [LoadSeen("E8", "works", wire.condition, True)])
    moved = [step for step in wire.plan() if "wiggle" in verbs(step)]
    assert {step.id for step in moved} == {
        "see E8 when wiggle E8, S4=on", "see E8 when wiggle F12.out~S4.1, S4=on",
    }  # fmt: skip
    assert all(wire.apart(step) > 0.2 for step in moved)
    # What is said to come with the rain is sprayed, what comes with heat is warmed.
    for verb in ("heat", "wet"):
        wire.bench = replace(wire.bench, provoked_by=verb)
        wire.belief = update(Belief(wire.bench), [LoadSeen("E8", "works", wire.condition, True)])
        tried = [step for step in wire.plan() if verb in verbs(step)]
        assert tried
        assert all(f"aid-{verb}" in cautions(wire.bench, step) and wire.apart(step) > 0.2 for step in tried)


def test_aids_that_change_nothing_take_no_forecast_of_their_own() -> None:
    two = Two(LED, "E8", "S4=on", "open E8")
    plain = Modelled(two.bench.vehicle, two.bench.hypotheses.faults, LoweringOf(two.bench.vehicle))
    made: list[tuple[Operation, ...]] = []

    def make(aids: tuple[Operation, ...]) -> Modelled:
        made.append(aids)
        return plain

    forecast = AidedForecast(make, ("wiggle",))
    forecast.sights(read_condition(two.bench.vehicle, "wiggle E8, S4=on").value)
    assert made == [()]
    forecast.sights(read_condition(two.bench.vehicle, "wiggle E8, ground E8.2, S4=on").value)
    assert made == [(), (Operation("ground", "E8.2"),)]


def test_two_loads_on_one_ground_are_seen_together() -> None:
    two = Two(GROUND_PAIR, "E7", "S4=on", "resistance 5ohm SP5~W3/a", "open E7")
    both = [
        step
        for step in two.plan()
        if isinstance(step, See) and step.load == "E7" and len(step.condition.operations) > 1
    ]
    assert both


def test_every_aid_has_a_case_here() -> None:
    assert set(CASES) | {"limiter", "heat", "wet", "release"} == set(AIDS)


def test_a_control_that_springs_back_takes_a_second_person_where_one_is_not_beside_it() -> None:
    """The horn is at the boom head, its push in the dash: somebody has to hold it; not so for a switch that stays."""
    two = Two(RELAY, "B7", "S7=push", "open K4.make", "open B7")
    held = helper_s(two.bench.vehicle, two.condition, "head")
    assert held == cost_of("second-person") > 0.0
    assert helper_s(two.bench.vehicle, two.condition, "head", "dash") == 0.0
    assert helper_s(two.bench.vehicle, two.condition, "") == 0.0
    stays = Two(LED, "E8", "S4=on", "open E8", "open SP2~E8.1")
    assert helper_s(stays.bench.vehicle, stays.condition, "head") == 0.0
    see = See("B7", two.condition)
    assert see.cost_s(two.bench, Situation()) == pytest.approx(
        cost_of("look-load") + cost_of("operate") + cost_of("set-state") + held
    )
