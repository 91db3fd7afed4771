"""What a person types in a session, as a value: an answer to the card, a reading in any order, a sight, a command."""

import math
import re
from dataclasses import dataclass

from loombench.app.cards import StepCard
from loombench.app.case import Case
from loombench.app.complaints import loads_behind
from loombench.app.mending import METHODS
from loombench.app.stepwords import condition_of
from loombench.base.outcome import Outcome
from loombench.base.problems import error
from loombench.base.quantity import Quantity, read_quantity
from loombench.diagnose.complained import load_named, sound_sights
from loombench.diagnose.observation import SEEN
from loombench.diagnose.situation import differing
from loombench.text.names import find_element, find_point, read_condition
from loombench.text.tokens import plain
from loombench.vehicle.condition import Condition, Setup
from loombench.vehicle.graph import battery_minus
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import PIN, Point

LONGEST = 2000
COMMANDS = (
    "cannot", "not as drawn", "disturbed", "undo", "why", "what if", "next", "suspects", "verdict", "undrawn", "draw",
    "card", "stop", "close", "codes", "part", "temporary", "because", "note", "help", "yes", "no", *METHODS,
)  # fmt: skip
"""In the order in which they are tried; a reading or an answer comes before `yes` and `no` alone."""
LOOKING = ("verify", "see", "wait", "mend")
"""Kinds of step that ask how a load looks."""
OHMMETER = "ohmmeter"
_READING = re.compile(r"(?P<red>\S+)(?:\s+to\s+(?P<black>\S+))?\s*(?:\s|=)\s*(?P<value>\S.*)")


@dataclass(frozen=True)
class Answer:
    """The answer to the card on show."""

    value: float | str


@dataclass(frozen=True)
class Reading:
    """A reading nobody asked for."""

    setup: Setup
    value: float


@dataclass(frozen=True)
class Sight:
    """What a load was seen to do."""

    load: str
    condition: Condition
    word: str


@dataclass(frozen=True)
class Command:
    """One of `COMMANDS` with what stands after it."""

    word: str
    rest: str = ""


Typed = Answer | Reading | Sight | Command


def read_typed(case: Case, card: StepCard | None, line: str) -> Outcome[Typed | None]:
    """What a line means; None without a problem where it means nothing."""
    said = " ".join(plain(line)[:LONGEST].split())
    if card is not None and (value := card_answer(card, said)) is not None:
        return Outcome(Answer(value))
    first, _, rest = said.partition(" ")
    if first in SEEN and rest:
        return _sight(case, card, first, rest)
    command = next((word for word in COMMANDS if said == word or said.startswith((f"{word} ", f"{word},"))), None)
    if command is not None:
        return Outcome(Command(command, said.removeprefix(command).lstrip(", ")))
    subject, _, word = said.partition(" when ")[0].rpartition(" ")
    if word in SEEN and subject:
        return _sight(case, card, word, said.replace(f" {word}", "", 1))
    return _reading(case, card, said)


def card_answer(card: StepCard, said: str) -> float | str | None:
    """What was typed, as the card wants it; None where it is neither a reading in its unit nor one of its words."""
    if not card.unit:
        # A load may look as no suspect would have it look.
        words = SEEN if card.kind in LOOKING else card.choices
        return next((word for word in words if word == said), None)
    if card.unit == "ohm" and said.upper() == "OL":
        return math.inf
    amount = read_quantity(said)
    fits = isinstance(amount, Quantity) and amount.value is not None and amount.unit in ("", card.unit)
    return amount.value if fits and isinstance(amount, Quantity) else None


def present(case: Case, card: StepCard | None) -> Condition:
    """The state that an entry nobody asked for is taken to be made in: with the controls as the card on show has them
    set. Where the card wants more done (a plug off, a fuse out, a lamp put on), as the last entry left the vehicle: who
    has done that answers the card."""
    situation = case.course.situation
    if card is None:
        return situation.condition
    wanted = condition_of(case.offered(card.id), situation)
    moves = differing(case.bench.vehicle, situation.condition, wanted)
    return wanted if all(move.verb == "set" for move in moves) else situation.condition


def _when(case: Case, card: StepCard | None, said: str) -> tuple[str, Outcome[Condition]]:
    what, mark, operations = said.partition(" when ")
    condition = read_condition(case.bench.vehicle, operations) if mark else Outcome(present(case, card))
    return what.strip(), condition


def _sight(case: Case, card: StepCard | None, word: str, rest: str) -> Outcome[Typed | None]:
    name, condition = _when(case, card, rest)
    found = find_element(case.bench.vehicle, name)
    if found.value is None or not condition.usable:
        return Outcome(None, (*found.problems, *condition.problems))
    part, element = found.value
    target = f"{part.id}.{element.name}" if element is not None else part.id
    behind = loads_behind(case.bench.vehicle, target)
    if behind is not None:
        return Outcome(None, (error("complaint-no-load", target=target, loads=behind),))
    load = load_named(sound_sights(case.bench.forecast, condition.value), target)
    return Outcome(Sight(load, condition.value, word))


def _reading(case: Case, card: StepCard | None, said: str) -> Outcome[Typed | None]:
    match = _READING.fullmatch(said.partition(" when ")[0].strip())
    vehicle = case.bench.vehicle
    if match is None or match["red"].partition(".")[0].partition("/")[0].partition("@")[0] not in vehicle.parts:
        return Outcome(None)
    _, condition = _when(case, card, said)
    red = find_point(vehicle, match["red"])
    black = find_point(vehicle, match["black"]) if match["black"] else Outcome(battery_minus(vehicle))
    problems = (*red.problems, *black.problems, *condition.problems)
    amount = Quantity(math.inf, "ohm") if match["value"].upper() == "OL" else read_quantity(match["value"])
    value = amount.value if isinstance(amount, Quantity) and amount.unit in ("", "V", "ohm") else None
    if red.value is None or black.value is None or not condition.usable:
        return Outcome(None, problems)
    if value is None or not isinstance(amount, Quantity):
        return Outcome(None, (error("reading-unread", text=said[:80]),))
    meter = OHMMETER if amount.unit == "ohm" else "voltmeter"
    return Outcome(
        Reading(Setup(condition.value, _touched(vehicle, red.value), _touched(vehicle, black.value), meter), value)
    )


def _touched(vehicle: Vehicle, point: Point) -> Point:
    """The point a probe is on: of a battery its post."""
    return point.at(PIN) if vehicle.parts[point.part].kind == "battery" else point
