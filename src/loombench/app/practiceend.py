"""How the program itself would have gone about a task of practice: its own steps, with what each shows and costs."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from loombench.app.cards import StepCard
from loombench.app.dealing import Dealt
from loombench.app.finding import open_case, verdict
from loombench.app.practice import PRACTICE_TIME, PracticeVehicle, auto
from loombench.app.practiceround import Table
from loombench.app.suspectwords import fault_text
from loombench.base.quantity import print_quantity
from loombench.base.wording import Catalogue
from loombench.record.memory import MemoryStore

NO_DIGEST = "0" * 64
CASE = "practice"
DIGITS = 3


@dataclass(frozen=True)
class BestStep:
    """One step: what to do, what it shows, its seconds."""

    action: str
    said: str
    cost_s: float


@dataclass(frozen=True)
class BestPath:
    """The steps to the repair, and the verdict as the case ends with it."""

    steps: tuple[BestStep, ...]
    verdict: str

    @property
    def minutes(self) -> float:
        """What all steps cost."""
        return sum(one.cost_s for one in self.steps) / 60.0


def best_path(table: Table, task: Dealt, words: Catalogue, heard: Callable[[str], None]) -> BestPath:
    """The program's own path. `heard` is told each step as it is taken."""
    vehicle = table.circuits.vehicle
    steps: list[BestStep] = []

    def watch(card: StepCard, said: float | str) -> None:
        steps.append(BestStep(card.action, _said(card, said, words), card.cost_s))
        heard(card.action)

    case = open_case(vehicle, NO_DIGEST, task.complaint, MemoryStore(), CASE, PRACTICE_TIME, bench=table.bench)
    ended = auto(case, PracticeVehicle(vehicle, task.hidden, task.seed), watch, words=words)
    return BestPath(tuple(steps), verdict(ended, words).text)


def hidden_texts(table: Table, task: Dealt, words: Catalogue) -> tuple[str, ...]:
    """What was hidden, in words."""
    return tuple(fault_text(table.circuits.vehicle, fault, words) for fault in task.hidden)


def _said(card: StepCard, said: float | str, words: Catalogue) -> str:
    if isinstance(said, str):
        key = f"seen.{said.replace(' ', '-')}"
        return words.say(key) if words.has(key) else said
    return "OL" if math.isinf(said) else print_quantity(said, card.unit, DIGITS).replace("ohm", "Ω")
