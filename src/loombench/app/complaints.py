"""What was complained about, understood as far as a search needs it: each load, in a state that was said or found."""

from dataclasses import replace
from types import MappingProxyType

from loombench.app.states import States, at_rest_after
from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, error, note
from loombench.base.wording import Catalogue
from loombench.evidence.complaint import FUSE_SYMPTOMS, Complaint, History
from loombench.text.complaint import Said, read_complaint
from loombench.text.functions import loads_at
from loombench.vehicle.condition import Condition, Operation
from loombench.vehicle.model import Vehicle
from loombench.vehicle.trace import runs

OFF = ("always-on", "glows")
"""What is seen of a load that should be off: at rest, unless a state is said."""
SHOWS = MappingProxyType({"moved": "moved", "hot": "heat", "wet": "rain"})
"""What the history would be called by which a fault shows only then."""
ASLEEP_S = 3600
"""A battery's standing current is looked at when modules have had this long to fall asleep (common practice: the
longest take about an hour)."""


def understand(vehicle: Vehicle, text: str, words: Catalogue | None = None) -> Outcome[tuple[Complaint | History, ...]]:
    """The complaints a text makes, the first with all of the text, and then the history it tells; nothing where
    something in it is not understood. Of a place that was crushed, without a complaint, all that is there is in doubt.

    A state that was not said is looked for in the sound vehicle, and a note says which was taken.
    """
    read = read_complaint(vehicle, text, words)
    if not read.usable:
        return Outcome((), read.problems)
    states = States(vehicle)
    found: list[Complaint] = []
    problems = list(read.problems)
    histories = [one for one in read.value if isinstance(one, History)]
    spoken = [one for one in read.value if isinstance(one, Said)]
    for said in spoken or _doubted(vehicle, histories):
        made = _complaints(states, said)
        found += [replace(one, presence=said.presence if one.symptom != "works" else "") for one in made.value]
        problems += made.problems
        if said.where and said.symptom not in ("works", "in-doubt"):
            histories.append(History("together", said.where, said.text))
        if said.presence in SHOWS:
            histories.append(History(SHOWS[said.presence], "", said.text))
    if not Outcome(None, tuple(problems)).usable or not found:
        return Outcome((), tuple(problems))
    first = replace(found[0], text=text.strip())
    return Outcome((first, *found[1:], *dict.fromkeys(histories)), tuple(problems))


def _doubted(vehicle: Vehicle, histories: list[History]) -> tuple[Said, ...]:
    damaged = (one for one in histories if one.word in ("crushed", "flooded") and one.where)
    return tuple(Said(loads_at(vehicle, one.where), "in-doubt", None, one.text, (), one.where) for one in damaged)


def _complaints(states: States, said: Said) -> Outcome[tuple[Complaint, ...]]:
    about = [_no_load(states.vehicle, target) for target in said.targets if said.symptom not in FUSE_SYMPTOMS]
    wrong = tuple(one for one in about if one is not None and said.symptom != "flat")
    if wrong:
        return Outcome((), wrong)
    if said.condition is not None:
        where = dict.fromkeys(said.targets, said.condition)
        return Outcome((*_each(said, where), *_other_way(states, said)))
    return _in_states(states, said)


def _each(said: Said, where: dict[str, Condition]) -> tuple[Complaint, ...]:
    return tuple(Complaint(target, said.symptom, where[target], said.text) for target in said.targets)


def _in_states(states: States, said: Said) -> Outcome[tuple[Complaint, ...]]:
    """In states that are looked for."""
    if said.symptom in OFF:
        return Outcome(_each(said, dict.fromkeys(said.targets, Condition())))
    if said.symptom == "flat":
        asleep = Condition((Operation("wait", "", str(ASLEEP_S)),))
        return _noted(said, dict.fromkeys(said.targets, asleep))
    wanted = said.targets
    if said.symptom in FUSE_SYMPTOMS:
        wanted = loads_at(states.vehicle, said.targets[0])
    elif said.symptom == "joins-in":
        wanted = said.other
    elif said.symptom == "one-way":
        return Outcome((), tuple(_which_way(states, target) for target in said.targets))
    found = states.together(wanted)
    lost = [name for name, condition in found.items() if condition is None]
    if said.symptom in FUSE_SYMPTOMS or said.symptom == "joins-in":
        states_found = [condition for condition in found.values() if condition is not None]
        if not states_found:
            return Outcome((), (error("state-not-found", loads=", ".join(wanted) or said.text),))
        # The state most of them share comes up most often.
        common = max(states_found, key=states_found.count)
        return _noted(said, dict.fromkeys(said.targets, common))
    if said.where:
        # Of a whole place what cannot be switched on here is left out.
        said = replace(said, targets=tuple(name for name in said.targets if name not in lost))
    if (lost and not said.where) or not said.targets:
        return Outcome((), (error("state-not-found", loads=", ".join(lost)),))
    where = {name: condition for name, condition in found.items() if condition is not None}
    if said.symptom == "wrong-place":
        where = {name: at_rest_after(states.vehicle, condition) for name, condition in where.items()}
    return _noted(said, where)


def _other_way(states: States, said: Said) -> tuple[Complaint, ...]:
    """What goes in one direction only works in the other one."""
    if said.symptom != "one-way" or said.condition is None:
        return ()
    found = ((target, states.turned(target, said.condition)) for target in said.targets)
    return tuple(Complaint(target, "works", other, said.text) for target, other in found if other is not None)


def _which_way(states: States, target: str) -> Problem:
    """Which way it does not go has to be said; the states it can be said by."""
    one = states.working(target)
    if one is None:
        return error("state-not-found", loads=target)
    shown = " or ".join(f"when {state}" for state in (one, states.turned(target, one)) if state is not None)
    return error("direction-needed", loads=target, states=shown)


def _noted(said: Said, where: dict[str, Condition]) -> Outcome[tuple[Complaint, ...]]:
    by_state: dict[str, list[str]] = {}
    for target, condition in where.items():
        by_state.setdefault(str(condition), []).append(target)
    notes: tuple[Problem, ...] = tuple(
        note("state-taken", loads=", ".join(targets), condition=condition) for condition, targets in by_state.items()
    )
    return Outcome(_each(said, where), notes)


def _no_load(vehicle: Vehicle, target: str) -> Problem | None:
    """What is wrong with a complaint about something that is no load."""
    behind = loads_behind(vehicle, target)
    if behind is None:
        return None
    part = vehicle.parts.get(target.split(".", maxsplit=1)[0])
    return error("complaint-no-load", part.span if part else None, target=target, loads=behind)


def loads_behind(vehicle: Vehicle, target: str) -> str | None:
    """None for a load; of anything else the loads whose current or coil goes through it, as text."""
    every = runs(vehicle)
    if any(run.load.via == target or run.load.via.startswith(f"{target}.") for run in every):
        return None
    behind = (run.load.via for run in every if any(target in step.link.via for step in (*run.feed, *run.back)))
    return ", ".join(dict.fromkeys(behind)) or "-"
