"""The circuit view: the functions of a vehicle, and one of them live in the state that the page's address spells."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from loombench.app.circuits import Circuits
from loombench.app.desk.asking import Asked
from loombench.app.desk.desk import Desk, OnDesk, Task
from loombench.app.desk.saying import Told, told
from loombench.app.drawing import function_title
from loombench.app.functionfacts import FunctionFacts, facts_of
from loombench.app.livepages import LivePage
from loombench.app.metering import METERS, Shown, before, shown
from loombench.app.operating import CONTROLS, Handle, Place, by_place, handles, is_first
from loombench.app.partsheet import PartSheet, laid, part_sheet
from loombench.app.pinsheet import PinSheet, pin_sheet
from loombench.app.working import Working, working
from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, error
from loombench.circuit.fault import Fault, read_fault
from loombench.circuit.operate import Situation
from loombench.diagnose.suspect import part_of
from loombench.draw.circuit.functions import Function
from loombench.draw.overlay import Overlay
from loombench.text.names import find_point, read_condition
from loombench.vehicle.condition import Condition
from loombench.vehicle.graph import battery_minus
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import PIN, WIRE, Point

MOST_OPERATIONS = 60
"""More in one address are not done: every one of them is settled."""
MOST_FAULTS = 3
VOLTMETER = METERS[0]
NO_FACTS = FunctionFacts({}, (), (), ())


@dataclass(frozen=True)
class FunctionLine:
    """A function in the list: what addresses it, its title, its loads."""

    key: str
    title: str
    loads: tuple[str, ...]


@dataclass(frozen=True)
class CircuitList:
    """The functions of a vehicle, or those that some words mean; `offers` are the options that were not chosen."""

    vehicle: str
    name: str
    functions: tuple[FunctionLine, ...]
    problems: tuple[Told, ...]


@dataclass(frozen=True)
class Live:
    """What the person has done and holds: `operations` in order from rest, faults laid in to try, the part and the pin
    looked at, the meter with its leads."""

    operations: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()
    part: str = ""
    pin: str = ""
    meter: str = VOLTMETER
    red: str = ""
    black: str = ""


@dataclass(frozen=True)
class Metered:
    """The meter as it is held: leads by their names, the caution before it is used, what it shows."""

    meter: str
    red: str
    black: str
    caution: str
    shown: Shown | None


NOTHING_HELD = Metered(VOLTMETER, "", "", "", None)


@dataclass(frozen=True)
class CircuitLive:
    """A function in a state. `name` is empty where there is no such vehicle, `pages` where no such function.

    `steps` are the operations that were understood, as one types them; `first` are engine, key and coupling, `places`
    the controls of the function, `fittings` its plugs, fuses and relays, `elsewhere` the controls of other functions.
    `chosen` is the part or wire looked at, `laid` the faults in force with their words.
    """

    vehicle: str
    name: str
    key: str
    title: str
    live: Live
    pages: tuple[LivePage, ...] = ()
    steps: tuple[str, ...] = ()
    first: tuple[Handle, ...] = ()
    places: tuple[Place, ...] = ()
    fittings: tuple[Place, ...] = ()
    elsewhere: tuple[Place, ...] = ()
    working: tuple[Working, ...] = ()
    chosen: PartSheet | None = None
    laid: tuple[tuple[str, str], ...] = ()
    meters: tuple[str, ...] = METERS
    pin: PinSheet | None = None
    metered: Metered = NOTHING_HELD
    facts: FunctionFacts = NO_FACTS
    problems: tuple[Told, ...] = field(default=())


def circuit_list(desk: Desk, asked: Asked, vehicle: str, find: str = "") -> CircuitList:
    """The functions that words mean, all where there are none."""
    found = desk.vehicle(vehicle)
    if found.value is None:
        return CircuitList(vehicle, "", (), told(found.problems, asked.words))
    meant = found.value.drawings.find(find)
    lines = tuple(FunctionLine(one.key, function_title(one, asked.words), one.loads) for one in meant.value)
    problems = told((*found.value.opened.problems, *meant.problems), asked.words)
    return CircuitList(vehicle, found.value.shelved.name, lines, problems)


def circuit_live(
    desk: Desk, asked: Asked, vehicle: str, function: str, live: Live, have: tuple[str, ...] = ()
) -> CircuitLive:
    """A function in the state that was asked for; what could not be understood is left out and said. `have` are the
    keys of the still layers that the page has."""
    found = desk.vehicle(vehicle)
    here = found.value
    if here is None:
        return CircuitLive(vehicle, "", function, "", live, problems=told(found.problems, asked.words))
    chosen = next((one for one in here.drawings.functions if one.key == function), None)
    if chosen is None:
        return CircuitLive(vehicle, here.shelved.name, function, "", live)
    return _live(desk, asked, here, chosen, live, have)


def _live(desk: Desk, asked: Asked, here: OnDesk, function: Function, live: Live, have: tuple[str, ...]) -> CircuitLive:
    machine, circuits, words = here.opened.vehicle, here.circuits, asked.words
    done = read_operations(machine, live.operations)
    faults = read_faults(live.faults[:MOST_FAULTS])
    asked.go_on()
    reached = circuits.reached(done.value, faults.value)
    situation = reached.value
    asked.go_on()
    pin = _point(machine, live.pin)
    metered = _metered(circuits, situation, live, asked)
    marks = dict.fromkeys((_owner(circuits, one) for one in faults.value), "")
    sights = circuits.sights(done.value, faults.value, function.loads)
    leads = (metered.red, metered.black) if metered.red else ("", "")

    def over(names: Collection[str], wires: Collection[str]) -> Overlay:
        return circuits.overlay(situation, names, wires, sights, *leads, marks)

    pages = here.live.pages(function, over, desk.layouts, words, have)
    asked.go_on()
    every = handles(
        machine,
        circuits.may_set,
        circuits.circuit().netlist,
        situation.settled.point.state,
        (*function.parts, live.part),
        words,
    )
    first = tuple(one for one in every if is_first(machine, one))
    rest = tuple(one for one in every if one not in first)
    problems = (*done.problems, *faults.problems, *reached.problems, *pages.problems)
    return CircuitLive(
        here.shelved.id,
        here.shelved.name,
        function.key,
        function_title(function, words),
        live,
        pages.value,
        tuple(str(one) for one in done.value.operations),
        first,
        by_place(machine, (one for one in rest if one.here and one.sort in CONTROLS)),
        by_place(machine, (one for one in rest if one.here and one.sort not in CONTROLS)),
        by_place(machine, (one for one in rest if not one.here and one.sort in CONTROLS)),
        working(machine, sights, words),
        part_sheet(circuits, live.part, every, words) if live.part else None,
        laid(machine, faults.value, words),
        METERS,
        pin_sheet(circuits, situation, pin, words) if pin is not None else None,
        metered,
        here.live.kept.or_made((function.key, words.language), lambda: facts_of(here.drawings, function, words)),
        told(problems, words),
    )


def _owner(circuits: Circuits, fault: Fault) -> str:
    """The part or wire that a fault is in, as a drawing names it."""
    part = part_of(circuits.vehicle, fault)
    return part.id if part is not None else fault.target


def read_operations(vehicle: Vehicle, texts: tuple[str, ...]) -> Outcome[Condition]:
    """The condition that an address spells; no more than `MOST_OPERATIONS` are done."""
    done = read_condition(vehicle, texts[:MOST_OPERATIONS])
    many = (error("circuit-too-many", most=MOST_OPERATIONS),) if len(texts) > MOST_OPERATIONS else ()
    return Outcome(done.value, (*done.problems, *many))


def read_faults(texts: tuple[str, ...]) -> Outcome[tuple[Fault, ...]]:
    """The faults that some texts spell; what is none is left out and said."""
    read = [(text, read_fault(text)) for text in texts]
    wrong: tuple[Problem, ...] = tuple(error("fault-unread", text=text[:80]) for text, fault in read if fault is None)
    return Outcome(tuple(fault for _, fault in read if fault is not None), wrong)


def _point(vehicle: Vehicle, name: str) -> Point | None:
    """The wire side of a point of that name; None where there is none."""
    found = find_point(vehicle, name).value if name else None
    return found.at(WIRE) if found is not None else None


def _metered(circuits: Circuits, situation: Situation, live: Live, asked: Asked) -> Metered:
    """The meter as it is held; a black lead that was not put anywhere is on battery minus."""
    machine = circuits.vehicle
    meter = live.meter if live.meter in METERS else VOLTMETER
    red, black = _point(machine, live.red), _point(machine, live.black)
    minus = battery_minus(machine)
    on = black if black is not None else minus
    caution = before(meter, asked.words)
    names = ("" if red is None else str(red), "" if on is None else str(on.at(WIRE)))
    if red is None or (on is None and meter != "clamp"):
        return Metered(meter, *names, caution, None)
    posts = [_touched(machine, one) if one is not None else None for one in (red, on)]
    assert posts[0] is not None
    return Metered(meter, *names, caution, shown(circuits, situation, meter, posts[0], posts[1], asked.words))


def _touched(vehicle: Vehicle, point: Point) -> Point:
    """The point a probe is on: of a battery its post."""
    return point.at(PIN) if vehicle.parts[point.part].kind == "battery" else point


TASKS: Mapping[str, Task] = MappingProxyType({"circuit.list": circuit_list, "circuit.live": circuit_live})
