"""An inspection without a complaint: what must work in which state, with the reading at the load, as a list to tick.

sheet = inspection(vehicle, "work lamp").value      Inspection; "" for everything that gives light, sound or motion
"""

import contextlib
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import chain, islice, zip_longest
from pathlib import Path

from loombench.app.case import bench_for
from loombench.app.complaints import loads_behind
from loombench.app.spoken import point_text
from loombench.app.states import States
from loombench.app.stepwords import load_text
from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, error
from loombench.base.quantity import print_quantity
from loombench.base.wording import Catalogue, catalogue
from loombench.circuit.lower import lower
from loombench.circuit.meter import read
from loombench.circuit.netlist import Netlist
from loombench.diagnose.bench import Bench
from loombench.diagnose.expected import tolerance
from loombench.diagnose.looking import See
from loombench.diagnose.place import place_of_part
from loombench.diagnose.safety import cautions, opening_cautions, touchable
from loombench.paper.document import RIGHT, Block, Caution, Document, Facts, Heading, Paragraph, SignatureLines, Table
from loombench.paper.output import write_all
from loombench.text.functions import find_loads, loads_of
from loombench.vehicle.condition import ENGINE, Condition, Operation, Setup
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point
from loombench.vehicle.trace import loads

BOX = "[  ]"
SHEET = "inspection"
MOST_WITH_OTHERS = 12
"""For so many loads the other ways to switch them on are looked for; for all of a large vehicle that takes minutes."""
MOST_SOLVED = 20_000
"""So many wires, times states with one thing more set, are looked at for each state on the list: a thousand such states
of a small vehicle, some tens of a large one, where another way may therefore be missing."""


@dataclass(frozen=True)
class Check:
    """A load in a state: its name with its label, its place, what it must do, where the leads go, volts in the sound
    vehicle and the least that still counts as working (both empty where nothing may or can be read)."""

    load: str
    place: str
    must: str
    leads: str
    volts: str
    least: str


@dataclass(frozen=True)
class StateChecks:
    """One state to set, the cautions before it, what is checked in it, what else is on with it, and by which other
    states, differing in one control, the same loads must work too: a second station, a two-way switch."""

    condition: Condition
    cautions: tuple[str, ...]
    checks: tuple[Check, ...]
    besides: tuple[str, ...]
    also: tuple[Condition, ...] = ()


@dataclass(frozen=True)
class Inspection:
    """`resting` are the loads that must be off at rest; `states` what to set, in the order to go through; `unreached`
    the loads for which no state was found that switches them on."""

    vehicle: str
    said: str
    cautions: tuple[str, ...]
    resting: tuple[str, ...]
    states: tuple[StateChecks, ...]
    unreached: tuple[str, ...]


def inspection(vehicle: Vehicle, said: str, words: Catalogue | None = None) -> Outcome[Inspection | None]:
    """The list for what words mean: a load, a function or a piece of its name, everything where they are empty."""
    words = words or catalogue()
    found = find_loads(vehicle, said) if said else Outcome(loads_of(vehicle))
    if not found.usable:
        return Outcome(None, found.problems)
    wanted = _acting(vehicle, found.value)
    if not wanted:
        behind = ", ".join(loads_behind(vehicle, name) or "-" for name in found.value) or "-"
        return Outcome(None, (*found.problems, error("complaint-no-load", target=said[:60], loads=behind)))
    bench, states = bench_for(vehicle), States(vehicle)
    working: dict[Condition, list[str]] = {}
    unreached = []
    for load, condition in ((one, states.working(one)) for one in wanted):
        if condition is None:
            unreached.append(load_text(bench, load))
        else:
            working.setdefault(condition, []).append(load)
    resting = tuple(load_text(bench, name) for name in wanted if not states.works(name, Condition()))
    netlist = lower(vehicle).value
    rows = [_state(bench, states, netlist, condition, some, words) for condition, some in working.items()]
    if len(wanted) <= MOST_WITH_OTHERS:
        rows = [replace(row, also=_also(states, row.condition, working[row.condition])) for row in rows]
    problems: tuple[Problem, ...] = found.problems
    opening = tuple(words.say(f"caution.{key}") for key in opening_cautions(bench))
    return Outcome(Inspection(vehicle.name, said, opening, resting, tuple(rows), tuple(unreached)), problems)


def _acting(vehicle: Vehicle, names: tuple[str, ...]) -> tuple[str, ...]:
    """The loads that are meant, those inside a part that was named too."""
    every = loads_of(vehicle)
    return tuple(one for one in every if any(one == name or one.startswith(f"{name}.") for name in names))


def _state(
    bench: Bench, states: States, netlist: Netlist, condition: Condition, names: list[str], words: Catalogue
) -> StateChecks:  # fmt: skip
    keys = dict.fromkeys(key for name in names for key in cautions(bench, See(name, condition)))
    sights = {one.id: one for one in states.sights(condition)}
    checks = []
    for name in names:
        pulsing = name in sights and sights[name].pulsing
        must = words.say("sheet.pulses" if pulsing else "sheet.works")
        checks.append(_check(bench, netlist, name, condition, must, pulsing, words))
    besides = tuple(load_text(bench, one) for one in sorted(states.lit(condition)) if one not in names)
    return StateChecks(condition, tuple(words.say(f"caution.{key}") for key in keys), tuple(checks), besides)


def _also(states: States, condition: Condition, names: list[str]) -> tuple[Condition, ...]:
    """The states in which one of the controls is in another position, or left at rest and another one set instead, and
    all of these loads work as well; where that one does nothing by itself, with the engine running or one more control
    set before it. What springs back stands only for what springs back: nobody cranks for a lamp."""
    found: dict[Condition, None] = {}
    idle: list[Condition] = []
    for tried in _varied(states, condition):
        if _all_work(states, names, tried):
            found[tried] = None
        else:
            idle.append(tried)
    alone = set(idle)
    # The engine first with each of them, then one control after the other.
    pairs = chain.from_iterable(zip_longest(*(_based(states, tried) for tried in idle)))
    most = MOST_SOLVED // max(len(states.vehicle.wires), 1)
    for based in islice((one for one in pairs if one is not None), most):
        # What works without the one or the other is on the list already, or is no other way to switch it on.
        least = Condition(based.operations[1:]) in alone and not _works_by_base(states, names, based, condition)
        known = any(set(one.operations) == set(based.operations) for one in found)
        if least and not known and _all_work(states, names, based):
            found[based] = None
    return tuple(found)


def _all_work(states: States, names: list[str], condition: Condition) -> bool:
    return all(states.works(name, condition) for name in names)


def _works_by_base(states: States, names: list[str], based: Condition, condition: Condition) -> bool:
    """Whether the loads work without what a state sets beyond its base and the state it was varied from."""
    kept = (based.operations[0], *(one for one in based.operations[1:] if one in condition.operations))
    return _all_work(states, names, Condition(kept))


def _varied(states: States, condition: Condition) -> Iterator[Condition]:
    """States in which one control is in another position, or another one is set in its place."""
    controls = states.vehicle.controls
    for place, operation in enumerate(condition.operations):
        own = controls.get(operation.target) if operation.verb == "set" else None
        held = own.position(operation.value) if own is not None else None
        if held is None:
            continue
        for control in controls.values():
            set_too = {one.target for one in condition.operations} - {operation.target}
            if control.by != "driver" or control.follows or control.id in set_too:
                continue
            for position in control.positions:
                other = Operation("set", control.id, position.name)
                if other == operation or (position.springs_back and not held.springs_back):
                    continue
                if position.name != control.rest:
                    yield Condition((*condition.operations[:place], other, *condition.operations[place + 1 :]))


def _based(states: States, condition: Condition) -> Iterator[Condition]:
    """A state with the engine running, or with one more control set, before all else; nothing is held for long."""
    done = {one.target for one in condition.operations}
    bases = [Operation("set", ENGINE, "run")] if ENGINE not in done else []
    for control in states.vehicle.controls.values():
        if control.by == "driver" and not control.follows and control.id not in done:
            settled = (one for one in control.positions if one.name != control.rest and not one.springs_back)
            bases += [Operation("set", control.id, one.name) for one in settled]
    for base in bases:
        yield Condition((base, *condition.operations))


def _check(
    bench: Bench, netlist: Netlist, name: str, condition: Condition, must: str, pulsing: bool, words: Catalogue
) -> Check:  # fmt: skip
    load = load_text(bench, name)
    link = next((one for one in loads(bench.vehicle) if one.via == name), None)
    bare = Check(load, _place(bench, name), must, "", "", "")
    if link is None or not all(touchable(bench.vehicle, bench.nets, end) for end in (link.a, link.b)):
        return bare
    ends: tuple[Point, Point] = (link.a, link.b)
    reading = read(netlist, Setup(condition, *ends))
    if reading.value is None:
        return bare
    if reading.value < 0.0:
        ends = (link.b, link.a)
    leads = words.say("step.leads-join").join(point_text(bench.vehicle, end, words) for end in ends)
    highest = max(abs(reading.low or 0.0), abs(reading.high or 0.0), abs(reading.value))
    volts = highest if pulsing else abs(reading.value)
    least = math.floor(tolerance("full-above").value * volts * 10.0) / 10.0
    key = "sheet.volts-pulsing" if pulsing else "sheet.volts"
    shown = words.say(key, volts=print_quantity(round(volts, 2), "V"))
    return Check(load, _place(bench, name), must, leads, shown, print_quantity(least, "V"))


def _place(bench: Bench, name: str) -> str:
    part = name if name in bench.vehicle.parts else name.rpartition(".")[0]
    return place_of_part(bench.vehicle, part)


def sheet_lines(sheet: Inspection, words: Catalogue | None = None) -> tuple[str, ...]:
    """The list for a terminal. Cautions stand before what they are about."""
    words = words or catalogue()
    lines = [words.say("sheet.title", vehicle=sheet.vehicle, said=sheet.said or words.say("sheet.everything"))]
    lines += [f"! {one}" for one in sheet.cautions]
    if sheet.resting:
        lines += ["", words.say("sheet.state", condition=Condition())]
        lines.append(words.say("sheet.resting", box=BOX, loads=", ".join(sheet.resting)))
    for state in sheet.states:
        lines += ["", words.say("sheet.state", condition=state.condition)]
        lines += [f"  ! {one}" for one in state.cautions]
        for one in state.checks:
            lines.append(words.say("sheet.line", box=BOX, load=one.load, place=one.place or "-", must=one.must))
            if one.leads:
                lines.append(words.say("sheet.reading", leads=one.leads, volts=one.volts, least=one.least))
        for other in state.also:
            lines.append(words.say("sheet.also", box=BOX, condition=other))
        if state.besides:
            lines.append(words.say("sheet.besides", loads=", ".join(state.besides)))
    if sheet.unreached:
        lines += ["", words.say("sheet.unreached", loads=", ".join(sheet.unreached))]
    return tuple(lines)


def sheet_document(sheet: Inspection, words: Catalogue | None = None) -> Document:
    """The list on paper, with room for what was read."""
    words = words or catalogue()
    blocks: list[Block] = [Caution(words.say("card.caution"), sheet.cautions)]
    if sheet.resting:
        blocks.append(Heading(words.say("sheet.state", condition=Condition())))
        blocks.append(Paragraph(words.say("sheet.resting", box=BOX, loads=", ".join(sheet.resting)).strip()))
    header = tuple(words.say(f"sheet.column-{name}") for name in ("box", "load", "must", "leads", "least", "read"))
    for state in sheet.states:
        blocks.append(Heading(words.say("sheet.state", condition=state.condition)))
        if state.cautions:
            blocks.append(Caution(words.say("card.caution"), state.cautions))
        rows = tuple(
            (BOX, one.load + (f"\n{one.place}" if one.place else ""), one.must, f"{one.leads}\n{one.volts}".strip(),
             one.least, words.say("sheet.room"))
            for one in state.checks
        )  # fmt: skip
        blocks.append(Table(header, rows, ("left", "left", "left", "left", RIGHT, RIGHT)))
        for other in state.also:
            blocks.append(Paragraph(words.say("sheet.also", box=BOX, condition=other).strip()))
        if state.besides:
            blocks.append(Paragraph(words.say("sheet.besides", loads=", ".join(state.besides)).strip(), "quiet"))
    if sheet.unreached:
        blocks.append(Paragraph(words.say("sheet.unreached", loads=", ".join(sheet.unreached)), "strong"))
    line = words.say("sheet.room") * 8
    blocks.append(Facts(((words.say("sheet.codes"), line), (words.say("sheet.remarks"), line))))
    blocks.append(Paragraph(words.say("card.defer"), "quiet"))
    blocks.append(SignatureLines((words.say("card.signed-technician"), words.say("card.signed-date"))))
    said = sheet.said or words.say("sheet.everything")
    title = words.say("sheet.paper-title", vehicle=sheet.vehicle)
    return Document(title, said, tuple(blocks), f"{title} · {said}", words.language)


def write_sheet(sheet: Inspection, folder: Path, words: Catalogue | None = None) -> Outcome[tuple[Path, ...]]:
    """The list as HTML and, where the PDF extra is there, PDF; the paths written."""
    with contextlib.suppress(OSError):
        folder.mkdir(parents=True, exist_ok=True)
    return write_all(sheet_document(sheet, words), folder, SHEET)
