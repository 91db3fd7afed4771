"""Practice: tasks by vehicle, level and seed; a round as far as its address spells it; the program's own path."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import cast

from loombench.app.dealing import LEVELS, Dealt, deal
from loombench.app.desk.asking import Asked
from loombench.app.desk.circuit import NO_FACTS, NOTHING_HELD, VOLTMETER, Metered
from loombench.app.desk.desk import Desk, OnDesk, Task
from loombench.app.desk.saying import Told, told
from loombench.app.desk.shelf import Shelved
from loombench.app.drawing import function_title
from loombench.app.functionfacts import FunctionFacts, facts_of
from loombench.app.livepages import LivePage
from loombench.app.metering import METERS, before
from loombench.app.operating import CONTROLS, Handle, Place, by_place, handles, is_first
from loombench.app.partsheet import part_text
from loombench.app.practiceend import BestPath, best_path, hidden_texts
from loombench.app.practiceround import FUSES, SHOWN_WORK, Act, Standing, Table
from loombench.app.stepwords import load_text
from loombench.app.suspectwords import suspect_text
from loombench.base.outcome import Outcome
from loombench.base.problems import error
from loombench.circuit.operate import operate
from loombench.diagnose.place import place_of_part
from loombench.diagnose.safety import opening_cautions
from loombench.draw.overlay import Overlay, Work
from loombench.text.names import find_point
from loombench.vehicle.graph import battery_minus
from loombench.vehicle.points import WIRE

MOST_ACTS = 120


@dataclass(frozen=True)
class PracticeList:
    """What one can practise on."""

    vehicles: tuple[Shelved, ...]
    levels: tuple[str, ...]
    problems: tuple[Told, ...]


@dataclass(frozen=True)
class Asking:
    """What an address of a round spells: acts in order, the circuit looked at (that of the complaint where there is
    none), the part looked at, the meter with its leads."""

    acts: tuple[str, ...] = ()
    function: str = ""
    part: str = ""
    meter: str = VOLTMETER
    red: str = ""
    black: str = ""


@dataclass(frozen=True)
class PartAtHand:
    """The part or wire looked at: what can be done to it. `loads` are names to look at, `groups` what may be condemned:
    as an act names it, and in words."""

    name: str
    title: str
    place: str
    note: str
    handles: tuple[Handle, ...]
    loads: tuple[tuple[str, str], ...]
    fuse: bool
    groups: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class RoundShown:
    """A round as a page shows it. Nothing of what is hidden is in it before the end: then `hidden` says it."""

    vehicle: str
    name: str
    level: str
    seed: int
    asking: Asking
    problems: tuple[Told, ...] = ()
    complaint: str = ""
    cautions: tuple[str, ...] = ()
    key: str = ""
    title: str = ""
    circuits: tuple[tuple[str, str], ...] = ()
    pages: tuple[LivePage, ...] = ()
    acts: tuple[Act, ...] = ()
    minutes: float = 0.0
    wrong: int = 0
    unsafe: int = 0
    over: bool = False
    cured: bool = False
    steps: tuple[str, ...] = ()
    first: tuple[Handle, ...] = ()
    places: tuple[Place, ...] = ()
    fittings: tuple[Place, ...] = ()
    elsewhere: tuple[Place, ...] = ()
    loads: tuple[tuple[str, str], ...] = ()
    chosen: PartAtHand | None = None
    metered: Metered = NOTHING_HELD
    meters: tuple[str, ...] = METERS
    facts: FunctionFacts = NO_FACTS
    hidden: tuple[str, ...] = ()


def practice_list(desk: Desk, asked: Asked) -> PracticeList:
    """The vehicles of the folder, and the levels."""
    shelf = desk.shelf()
    return PracticeList(shelf.value, LEVELS, told(shelf.problems, asked.words))


def practice_round(
    desk: Desk, asked: Asked, vehicle: str, level: str, seed: int, asking: Asking, have: tuple[str, ...] = ()
) -> RoundShown:
    """A round after its acts; no pages where there is no such task."""
    found = desk.vehicle(vehicle)
    bare = RoundShown(vehicle, found.value.shelved.name if found.value else "", level, seed, asking)
    dealt = task_of(found.value, asked, level, seed) if found.value else Outcome(None, found.problems)
    if found.value is None or dealt.value is None:
        return _bare(bare, told(dealt.problems, asked.words))
    return _shown(desk, asked, found.value, dealt.value, asking, have)


def practice_best(desk: Desk, asked: Asked, vehicle: str, level: str, seed: int) -> BestPath | None:
    """The program's own path; None where there is no such task."""
    here = desk.vehicle(vehicle).value
    dealt = task_of(here, asked, level, seed).value if here is not None else None
    if here is None or dealt is None:
        return None

    def heard(text: str) -> None:
        asked.go_on()
        asked.tell(text)

    key = (level, seed, asked.language)
    return cast(BestPath, here.table.best.or_made(key, lambda: best_path(here.table, dealt, asked.words, heard)))


def _bare(bare: RoundShown, problems: tuple[Told, ...]) -> RoundShown:
    return RoundShown(bare.vehicle, bare.name, bare.level, bare.seed, bare.asking, problems)


def task_of(here: OnDesk, asked: Asked, level: str, seed: int) -> Outcome[Dealt | None]:
    """The task, drawn once."""
    table = here.table
    key = (level, seed)
    if key not in table.dealt:
        table.dealt[key] = deal(here.drawings, here.circuits, level, seed, asked.go_on)
    task = table.dealt[key]
    if task is None:
        return Outcome(
            None,
            (error("practice-none", vehicle=here.shelved.name, grade=asked.words.say(f"web.practice.level-{level}")),),
        )
    return Outcome(task)


def _shown(desk: Desk, asked: Asked, here: OnDesk, task: Dealt, asking: Asking, have: tuple[str, ...]) -> RoundShown:
    words, table, circuits, machine = asked.words, here.table, here.circuits, here.opened.vehicle
    standing = table.played(task, asking.acts[:MOST_ACTS], words)
    asked.go_on()
    function = next((one for one in here.drawings.functions if one.key in (asking.function or task.function,)), None)
    function = function or next(one for one in here.drawings.functions if one.key == task.function)
    # Only what hands have set is shown: what relays and loads do has to be looked for.
    sound = circuits.circuit()
    state = _set(here, standing)
    metered = _held(here, asking, asked)

    def over(names: Collection[str], wires: Collection[str]) -> Overlay:
        _ = names, wires
        return _overlay(standing, state, metered)

    pages = here.live.pages(function, over, desk.layouts, words, have)
    every = handles(machine, circuits.may_set, sound.netlist, state, (*function.parts, asking.part), words)
    first = tuple(one for one in every if is_first(machine, one))
    rest = tuple(one for one in every if one not in first)
    complaint = task.complaint
    said = words.say(
        "web.practice.complaint" if complaint.condition.operations else "web.practice.complaint-rest",
        load=load_text(table.bench, complaint.target),
        symptom=words.say(f"web.practice.says-{complaint.symptom}"), condition=complaint.condition,
    )  # fmt: skip
    return RoundShown(
        here.shelved.id, here.shelved.name, task.level, task.seed, asking,
        told(pages.problems, words), said,
        tuple(words.say(f"caution.{key}") for key in opening_cautions(table.bench)),
        function.key, function_title(function, words),
        tuple((one.key, function_title(one, words)) for one in here.drawings.functions),
        pages.value, standing.acts, standing.minutes, len(standing.wrong), len(standing.unsafe),
        standing.over, standing.cured, tuple(str(one) for one in standing.situation.condition.operations),
        first,
        by_place(machine, (one for one in rest if one.here and one.sort in CONTROLS)),
        by_place(machine, (one for one in rest if one.here and one.sort not in CONTROLS)),
        by_place(machine, (one for one in rest if not one.here and one.sort in CONTROLS)),
        tuple((one, load_text(table.bench, one)) for one in function.loads),
        _at_hand(table, asking.part, every, asked),
        metered,
        METERS,
        here.live.kept.or_made((function.key, words.language), lambda: facts_of(here.drawings, function, words)),
        hidden_texts(table, task, words) if standing.over else (),
    )  # fmt: skip


def _set(here: OnDesk, standing: Standing) -> Mapping[str, str]:
    """The inputs as hands have set them."""
    sound = here.circuits.circuit()
    situation = operate(sound.ready, standing.situation.condition.plain, sound.rest, sound.halfway)
    inputs = {one.name for one in sound.netlist.variables if one.is_input}
    return {name: value for name, value in situation.settled.point.state.items() if name in inputs}


def _overlay(standing: Standing, state: Mapping[str, str], metered: Metered) -> Overlay:
    positions = {name: value for name, value in state.items() if ":" not in name}
    gone = frozenset(name.partition(":")[2] for name, value in state.items() if value in ("unplugged", "out"))
    works = {load: Work(SHOWN_WORK[look]) for load, look in standing.seen.items() if look in SHOWN_WORK}
    leads = (metered.red, metered.black) if metered.red else ("", "")
    return Overlay(positions=positions, gone=gone, red=leads[0], black=leads[1], works=works)


def _held(here: OnDesk, asking: Asking, asked: Asked) -> Metered:
    """The meter as it is held; what it shows is an act."""
    machine = here.opened.vehicle
    minus = battery_minus(machine)
    meter = asking.meter if asking.meter in METERS else VOLTMETER
    red = find_point(machine, asking.red).value if asking.red else None
    black = find_point(machine, asking.black).value if asking.black else minus
    names = [str(one.at(WIRE)) if one is not None else "" for one in (red, black)]
    return Metered(meter, names[0], names[1], before(meter, asked.words), None)


def _at_hand(table: Table, name: str, every: tuple[Handle, ...], asked: Asked) -> PartAtHand | None:
    machine, words = table.circuits.vehicle, asked.words
    part = machine.parts.get(name)
    if part is None and name not in machine.wire_by_id:
        return None
    place = place_of_part(machine, name) if part is not None else ", ".join(machine.wire_by_id[name].via)
    loads = tuple((one, load_text(table.bench, one)) for one in table.loads_of(name))
    groups = tuple((one, suspect_text(table.bench, one, words)) for one in table.groups_at.get(name, ()))
    return PartAtHand(
        name, part_text(machine, name), place, machine.places[place].note if place in machine.places else "",
        tuple(one for one in every if one.part == name), loads, part is not None and part.kind in FUSES, groups,
    )  # fmt: skip


TASKS: Mapping[str, Task] = MappingProxyType({
    "practice.list": practice_list, "practice.round": practice_round, "practice.best": practice_best,
})  # fmt: skip
