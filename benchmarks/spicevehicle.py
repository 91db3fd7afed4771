"""A vehicle whose readings come from ngspice, with a spread that the engine knows nothing of.

The faulted netlist is written as sheets (`circuit.spice`); what differs from vehicle to vehicle is then changed in the
text of the sheets: each joint 0.5 to 3 times its resistance, each lamp its own power (+-10 %) and exponent, the battery
11.9 to 12.8 V (of 12), and damages that no catalogue has. ngspice moves relays, fuses and modules itself, from a rise
of the supply; the states it comes to are frozen, the meter is written into the sheet, and the volts are solved. What
the display shows is 0.5 % and two digits off. A bad contact is felt to be slack in seven vehicles of ten.

Where a rhythm runs (flasher, cam, ticking contact) its phases and their shares are those the engine steps through, with
the clocks forced in the sheet, and the meter shows the mean.
"""

import math
import random
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from loombench.circuit.aid import aided
from loombench.circuit.fault import Fault
from loombench.circuit.lower import lower
from loombench.circuit.netlist import Conductor, Element, Filament, FlasherAgent, Junction, Netlist
from loombench.circuit.operate import run
from loombench.circuit.spice import LAST_S, SUPPLY, same_pieces, states_of, step_times, write_spice
from loombench.circuit.spice import write_spice_sequence as write_sequence
from loombench.circuit.spicing.islands import islands
from loombench.diagnose.looking import CheckPosition, LookFuse, Mend, See
from loombench.diagnose.measuring import Measure
from loombench.diagnose.step import Step
from loombench.diagnose.touching import FeelGrip, ReadInput
from loombench.facts.meter import ohmmeter_source_ohm, ohmmeter_v, voltmeter_ohm
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.model import Vehicle
from loombench.vehicle.trace import ACTING
from tests.ngspice.compare import clocks, steps_of
from tests.ngspice.driver import Spice, SpiceError

JOINT_TIMES = (0.5, 3.0)
LAMP_POWER = (0.9, 1.1)
LAMP_EXPONENT = (0.50, 0.60)
BATTERY_V = (11.9, 12.8)
DEAD_BELOW, FULL_ABOVE = (0.15, 0.35), (0.85, 0.95)
LEAD_OHM = (0.1, 0.4)
METER_SHARE, METER_DIGITS = 0.005, 2
GRIP_SHOWS = 0.7
OVER_RANGE_OHM = 5e7
_LAW = re.compile(r"(I=(?:\(V\(\w+\)>0\.5 \? )?)([0-9.eE+-]+)(\*.*\^\()(-?[0-9.eE+-]+)(\))")


@dataclass(frozen=True)
class Spread:
    """What one vehicle has of its own: factors of joints by element id, (power factor, exponent) of lamps; battery
    volts as of 12; where a person draws the line between dead, weak and working; the ohms of the leads."""

    joints: Mapping[str, float]
    lamps: Mapping[str, tuple[float, float]]
    battery_v: float
    dead_below: float
    full_above: float
    lead_ohm: float


def spread_of(netlist: Netlist, seed: int) -> Spread:
    """Drawn by seed: joints even on the logarithm, the rest even."""
    draw = random.Random(f"spread {seed}")
    low, high = (math.log(times) for times in JOINT_TIMES)
    owned = [ids for name, ids in netlist.element_of.items() if name.startswith("contact ")]
    joints = {name: math.exp(draw.uniform(low, high)) for ids in owned for name in ids}
    lamps = {
        element.id: (draw.uniform(*LAMP_POWER), draw.uniform(*LAMP_EXPONENT))
        for element in netlist.elements
        if isinstance(element, Filament)
    }
    return Spread(
        joints,
        lamps,
        draw.uniform(*BATTERY_V),
        draw.uniform(*DEAD_BELOW),
        draw.uniform(*FULL_ABOVE),
        draw.uniform(*LEAD_OHM),
    )


@dataclass(frozen=True)
class Phase:
    """Where ngspice came to in a condition: a share of the time, the states, node volts to start from."""

    share: float
    state: Mapping[str, str]
    near: Mapping[str, float]


class SpiceVehicle:
    """One vehicle with a fault or a damage, and its spread. `cures` are the suspects whose repair takes it away."""

    def __init__(
        self,
        vehicle: Vehicle,
        spice: Spice,
        hidden: Fault | None,
        outside: Sequence[str],
        cures: frozenset[str],
        seed: int,
    ) -> None:
        self.vehicle, self.spice, self.outside, self.cures, self.seed = vehicle, spice, tuple(outside), cures, seed
        self._netlists = {False: lower(vehicle).value}
        self._netlists[True] = lower(vehicle, (hidden,)).value if hidden else self._netlists[False]
        self.spread = spread_of(self._netlists[False], seed)
        self._aided: dict[tuple[Operation, ...], SpiceVehicle] = {}
        self._hidden = hidden
        self._phases: dict[tuple[bool, Condition], tuple[Phase, ...]] = {}
        self._plain: dict[tuple[bool, Condition], list[Mapping[str, float]]] = {}

    def reply(self, step: Step, repaired: tuple[str, ...]) -> float | str | None:
        """What a person would answer to a step; None where there is no answer."""
        condition = step.setup.condition if isinstance(step, Measure) else getattr(step, "condition", Condition())
        if condition.aids:
            plain = condition.plain
            bare = (
                replace(step, setup=replace(step.setup, condition=plain))
                if isinstance(step, Measure)
                else replace(step, condition=plain)  # type: ignore[type-var]
            )
            return self._with(condition.aids).reply(bare, repaired)
        try:
            match step:
                case Measure():
                    return self.shown(step.setup, self._broken(repaired), step.id)
                case See():
                    return self.word(step.load, step.condition, self._broken(repaired))
                case Mend():
                    return self.word(step.load, step.condition, self._broken((*repaired, step.group)))
                case LookFuse():
                    phases = self.phases(self._broken(repaired), step.condition)
                    return "blown" if phases[-1].state.get(f"fuse:{step.fuse}") == "blown" else "whole"
                case CheckPosition():
                    held = self._netlists[self._broken(repaired)].frozen.get(step.control)
                    control = self.vehicle.controls[step.control]
                    return "as believed" if held in (None, control.rest) else "other"
                case FeelGrip():
                    shows = random.Random(f"grip {self.seed} {step.group}").random() < GRIP_SHOWS
                    return "slack" if shows and self._broken(repaired) and step.group in self.cures else "firm"
                case ReadInput():
                    state = self.phases(self._broken(repaired), step.condition)[-1].state
                    awake = state.get(f"module:{step.part}") == "awake"
                    return state.get(f"input:{step.part}.{step.pin}", "no answer") if awake else "no answer"
        except SpiceError:
            return None
        return None

    def _with(self, aids: tuple[Operation, ...]) -> "SpiceVehicle":
        """The same vehicle with something put on; a lamp or lead that is put on is as its rating says."""
        if aids not in self._aided:
            one = SpiceVehicle(self.vehicle, self.spice, self._hidden, self.outside, self.cures, self.seed)
            for broken, faults in ((False, ()), (True, (self._hidden,) if self._hidden else ())):
                one._netlists[broken] = aided(lower, aids)(self.vehicle, faults).value
            extra = {e.id: (1.0, e.law.exponent) for e in one._netlists[False].elements if isinstance(e, Filament)}
            one.spread = replace(self.spread, lamps={**extra, **self.spread.lamps})
            self._aided[aids] = one
        return self._aided[aids]

    def _broken(self, repaired: Sequence[str]) -> bool:
        return self.cures.isdisjoint(repaired)

    def phases(self, broken: bool, condition: Condition) -> tuple[Phase, ...]:
        """Where the vehicle comes to from rest."""
        key = (broken, condition)
        if key not in self._phases:
            self._phases[key] = self._settle(broken, condition)
        return self._phases[key]

    def _settle(self, broken: bool, condition: Condition) -> tuple[Phase, ...]:
        netlist = self._netlists[broken]
        supply = {SUPPLY: repr(self.spread.battery_v * netlist.nominal_v / 12.0)}
        steps = [supply, *steps_of(netlist, condition)]
        once = {agent.variable for agent in netlist.agents if isinstance(agent, FlasherAgent)} - set(netlist.frozen)
        if once:
            shut, back = (dict.fromkeys(once, state) for state in ("closed", "open"))
            steps = [step for done in [{}, *steps] for step in ({**done, **shut}, back)]
        rhythm = [(1.0, dict[str, str]())]
        if clocks(netlist):
            settled = run(netlist, condition)
            rest = {variable.name: variable.rest for variable in netlist.variables}
            rhythm = []
            for phase in settled.all_phases:
                state = phase.point.state
                free = [name for name in clocks(netlist) if name not in netlist.frozen]
                moved = {name: state[name] for name in free if settled.phases or state[name] != rest[name]}
                rhythm.append((phase.share, moved))
        return tuple(self._phase(broken, [*steps, forced] if forced else steps, share) for share, forced in rhythm)

    def _phase(self, broken: bool, steps: list[dict[str, str]], share: float) -> Phase:
        netlist = self._netlists[broken]
        failed = ""
        for method, smoothing_f in (("method=gear", 1e-3), ("method=trap", 1e-3), ("method=gear", 1e-5)):
            lines = self._varied(write_sequence(netlist, steps, smoothing_f).splitlines(), broken)
            try:
                end = (step_times(len(steps)) or (2.5,))[-1] + LAST_S
                moving = self.spice.transient_end([line.replace("method=gear", method) for line in lines], end - 1.0)
            except SpiceError as error:
                failed = str(error)
                continue
            near = {name: volts for name, volts in moving.end.items() if name.startswith("n")}
            return Phase(share, states_of(netlist, steps, moving.end), near)
        raise SpiceError(failed)

    def _solved(self, broken: bool, phase: Phase, meter: Sequence[str] = (), untie: str = "") -> Mapping[str, float]:
        netlist, near = self._netlists[broken], phase.near
        inputs = {**phase.state, SUPPLY: repr(self.spread.battery_v * netlist.nominal_v / 12.0)}
        solved: Mapping[str, float] = {}
        for begin_there in (True, True, False, False):
            sheet = self._varied(write_spice(netlist, inputs, near=near, begin_there=begin_there).splitlines(), broken)
            lines = [line for line in sheet if not untie or not line.startswith(untie)]
            place = next(k for k, line in enumerate(lines) if line.startswith(".options"))
            try:
                solved = self.spice.operating_point([*lines[:place], *meter, *lines[place:]])
            except SpiceError:
                continue
            if same_pieces(netlist, inputs, near, solved):
                return solved
            near = {name: volts for name, volts in solved.items() if name.startswith("n")}
        if not solved:
            raise SpiceError("no operating point")
        return solved

    def _varied(self, lines: Sequence[str], broken: bool) -> list[str]:
        """The sheet with this vehicle's own values, and with the damage where it is still there."""
        netlist = self._netlists[broken]
        found: list[str] = []
        for line in lines:
            head = re.match(r"(?:R|B|\.model sw)(\d+) ", line)
            element = netlist.elements[int(head[1])] if head and int(head[1]) < len(netlist.elements) else None
            found.append(self._line(line, element) if element is not None else line)
        if broken and self.outside:
            found = damaged(found, netlist, self.outside)
        return found

    def _line(self, line: str, element: Element) -> str:
        times = self.spread.joints.get(element.id, 1.0)
        if times != 1.0 and line.startswith("R"):
            words = line.split()
            return " ".join((*words[:3], repr(float(words[3]) * times)))
        if times != 1.0 and line.startswith(".model"):
            return re.sub(r"ron=(\S+)", lambda found: f"ron={float(found[1]) * times!r}", line)
        if isinstance(element, Filament) and line.startswith("B"):
            power, exponent = self.spread.lamps[element.id]
            x2 = (element.law.rated_v / element.law.knee_v) ** 2
            # The same knee, and at rated volts the rated current times the lamp's own factor.
            own = power * element.law.current_a(element.law.rated_v) / element.law.rated_v
            bend = (exponent - 1.0) / 2.0
            changed, count = _LAW.subn(rf"\g<1>{own / (1.0 + x2) ** bend!r}\g<3>{bend!r}\g<5>", line)
            assert count == 1, line
            return changed
        return line

    def shown(self, setup: Setup, broken: bool, name: str) -> float | None:
        """What the display shows, mean over a rhythm; None where there is no such point."""
        netlist = self._netlists[broken]
        if setup.black is None or setup.red not in netlist.node_of or setup.black not in netlist.node_of:
            return None
        red, black = netlist.node_of[setup.red], netlist.node_of[setup.black]
        ohms = setup.meter == "ohmmeter"
        if red == black:
            return self._display(0.0, ohms, name)
        total = 0.0
        for phase in self.phases(broken, setup.condition):
            total += phase.share * self._metered(broken, phase, red, black, ohms)
        return self._display(total, ohms, name)

    def _metered(self, broken: bool, phase: Phase, red: int, black: int, ohms: bool) -> float:
        netlist = self._netlists[broken]
        one, other = (_name(netlist, node) for node in (red, black))
        meter = [f"RMETER {one} {other} {voltmeter_ohm()!r}"]
        source_v, source_ohm = ohmmeter_v(), ohmmeter_source_ohm()
        if ohms:
            meter = [f"VMETER nmeter {other} dc {source_v!r}", f"RMETER nmeter {one} {source_ohm!r}"]
        volts = self._solved(broken, phase, meter, _tie(netlist, phase.state, red, black))
        across = _volts(volts, one) - _volts(volts, other)
        if not ohms:
            return across
        given_a = (_volts(volts, "nmeter") - _volts(volts, one)) / source_ohm
        found = math.inf if given_a == 0.0 else source_v / given_a - source_ohm
        return math.inf if abs(found) > OVER_RANGE_OHM else found + self.spread.lead_ohm

    def _display(self, value: float, ohms: bool, name: str) -> float:
        """4,000 counts, ranges by themselves."""
        if math.isinf(value):
            return value
        draw = random.Random(f"meter {self.seed} {name}")
        digit = 0.1 if ohms else 0.001
        while abs(value) > 4000.0 * digit:
            digit *= 10.0
        read = (
            value * (1.0 + draw.uniform(-METER_SHARE, METER_SHARE)) + draw.randint(-METER_DIGITS, METER_DIGITS) * digit
        )
        return round(round(read / digit) * digit, 6) + 0.0

    def word(self, load: str, condition: Condition, broken: bool) -> str:
        """Dead, dim or works, judged against the same vehicle without the damage."""
        sound, now = self.effects(False, condition).get(load, 0.0), self.effects(broken, condition).get(load, 0.0)
        share = now / sound if sound > self.spread.dead_below else now
        return "dead" if share < self.spread.dead_below else "dim" if share < self.spread.full_above else "works"

    def effects(self, broken: bool, condition: Condition) -> Mapping[str, float]:
        """What each load does as a share of its rating; over a rhythm the most."""
        netlist = self._netlists[broken]
        key = (broken, condition)
        if key not in self._plain:
            self._plain[key] = [self._solved(broken, phase) for phase in self.phases(broken, condition)]
        found: dict[str, float] = {}
        for phase, volts in zip(self.phases(broken, condition), self._plain[key], strict=True):
            for load, rated_v, rated_a, ids in loads_of(self.vehicle, netlist):
                known = [netlist.element_by_id[name] for name in ids if name in netlist.element_by_id]
                does = max((self._effect(netlist, one, phase, volts, rated_v, rated_a) for one in known), default=0.0)
                found[load] = max(found.get(load, 0.0), does)
        return found

    def _effect(
        self,
        netlist: Netlist,
        element: Element,
        phase: Phase,
        volts: Mapping[str, float],
        rated_v: float,
        rated_a: float,
    ) -> float:
        if any(phase.state[gate.variable] not in gate.closed_in for gate in element.gates):
            return 0.0
        across = abs(_volts(volts, _name(netlist, element.a)) - _volts(volts, _name(netlist, element.b)))
        match element:
            case Filament():
                return across / element.law.rated_v
            case Conductor():
                return across / element.resistance_ohm / rated_a if rated_a else across / rated_v
            case Junction():
                inner = f"m{netlist.place_of[element.id]}"
                if inner not in volts or element.series_ohm <= 0.0:
                    return 0.0
                dropped = abs(_volts(volts, _name(netlist, element.a)) - volts[inner])
                return dropped / element.series_ohm / rated_a if rated_a else across / rated_v
        return 0.0


def loads_of(vehicle: Vehicle, netlist: Netlist) -> list[tuple[str, float, float, tuple[str, ...]]]:
    """Each load as (name, rated volts, rated ampere or 0, elements)."""
    found = []
    for part in vehicle.parts.values():
        for inner in part.elements:
            if inner.kind not in ACTING:
                continue
            single = len(part.elements) == 1 and part.kind != "unit"
            name = part.id if single else f"{part.id}.{inner.name or inner.kind}"
            rating = {
                of: band.nominal
                for of in ("rated_v", "rated_w", "rated_a", "resistance_ohm")
                if (band := inner.params.get(of) or part.params.get(of)) is not None and band.nominal > 0.0
            }
            rated_v = rating.get("rated_v", vehicle.nominal_v)
            by_power = rating["rated_w"] / rated_v if "rated_w" in rating else 0.0
            by_ohm = rated_v / rating["resistance_ohm"] if "resistance_ohm" in rating else 0.0
            found.append((name, rated_v, rating.get("rated_a", by_power or by_ohm), netlist.element_of.get(name, ())))
    return found


def damaged(lines: Sequence[str], netlist: Netlist, outside: Sequence[str]) -> list[str]:
    """The sheet with a damage that no catalogue has.

    `rectifies ID`: an oxidised joint that lets current through one way only, with 300 ohm the other way.
    `joins NODE NODE OHM`: chafed wires that touch, something fitted to a wire, or a winding with shorted turns.
    """
    kept = list(lines)
    kind = outside[0]
    if kind == "rectifies":
        place = netlist.place_of[outside[1]]
        for k, line in enumerate(kept):
            words = line.split()
            if words and words[0] in (f"R{place}", f"S{place}"):
                end, words[2] = words[2], "nrect"
                ends = ("nrect", end) if outside[2] == "along" else (end, "nrect")
                kept[k] = " ".join(words)
                kept.insert(k, f"DRECT {ends[0]} {ends[1]} drect")
                kept.insert(k, "RRECT nrect " + end + " 300.0")
                kept.insert(k, ".model drect d(is=1e-7 n=1.5)")
                return kept
        return kept
    place = next(k for k, line in enumerate(kept) if line.startswith(".options"))
    one, other = (_name(netlist, int(node)) for node in outside[1:3])
    kept.insert(place, f"RDAMAGE {one} {other} {float(outside[3])!r}")
    return kept


def _name(netlist: Netlist, node: int) -> str:
    return "0" if node == netlist.reference else f"n{node}"


def _volts(values: Mapping[str, float], name: str) -> float:
    return 0.0 if name == "0" else values.get(name, 0.0)


def _tie(netlist: Netlist, state: Mapping[str, str], red: int, black: int) -> str:
    """The tie that has to go where a meter joins a floating island to another: `RTIE7 `; empty where none has."""
    held = {node: island for island in islands(netlist, state) for node in (red, black) if node in island}
    if held[red] == held[black]:
        return ""
    loose = held[black] if netlist.reference in held[red] else held[red]
    return f"RTIE{loose[0]} "
