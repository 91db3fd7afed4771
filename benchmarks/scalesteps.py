"""How long the next step takes on one bench: after a new complaint, after the same again, after a reading.

A load is drawn by seed, and one of the wires at it is open. Every complaint is a case of its own on the same bench; the
practice vehicle answers. The readings of half of the cases are answered at once, as nobody does; in the others the tool
works ahead for as long as the step takes a person (`app.ahead`, as the terminal and the bench do), and from the answer
to the next card is timed with what it takes to leave that.
"""

import math
import random
import statistics
import time
from collections.abc import Iterator
from itertools import islice

from benchmarks.waiting import worked_ahead
from loombench.app.case import Case
from loombench.app.finding import answer, cannot, next_step, open_case
from loombench.app.practice import PRACTICE_TIME, PracticeVehicle, complaint_of
from loombench.circuit.fault import Fault
from loombench.diagnose.aided import AidedForecast
from loombench.diagnose.audit import Counts
from loombench.diagnose.bench import Bench
from loombench.diagnose.region import works_when
from loombench.diagnose.tabled import TabledForecast
from loombench.evidence.complaint import Complaint
from loombench.record.memory import MemoryStore
from loombench.vehicle.condition import Condition
from loombench.vehicle.model import Vehicle

READINGS = 3
DRAWN = ("lamp", "led", "solenoid", "heater")


def stepped(bench: Bench, seed: int, cases: int) -> tuple[dict[str, float], tuple[Counts, ...]]:
    """Processor seconds by name, and what the forecasts counted."""
    firsts: list[float] = []
    tabled: list[float] = []
    readings: list[float] = []
    ahead: list[float] = []
    for number, (hidden, complaint) in enumerate(islice(drawn(bench.vehicle, seed), 2 * cases)):
        practice = PracticeVehicle(bench.vehicle, hidden)
        if number >= cases:
            ahead += _worked_ahead(bench, complaint, practice, f"{number}")
            continue
        for again in (False, True):
            begun = time.process_time()
            case = open_case(
                bench.vehicle, "0" * 64, complaint, MemoryStore(), f"{number}-{again}", PRACTICE_TIME, bench=bench
            )
            card = next_step(case)
            (tabled if again else firsts).append(time.process_time() - begun)
            for _ in range(READINGS if not again else 0):
                if card is None:
                    break
                case = _answered(case, card.id, practice)
                begun = time.process_time()
                card = next_step(case)
                readings.append(time.process_time() - begun)
    forecast = bench.forecast
    made = forecast.made() if isinstance(forecast, AidedForecast) else ()
    counts = tuple(one.counts for one in made if isinstance(one, TabledForecast))
    return {
        "complaint_s": statistics.median(firsts),
        "complaint_worst_s": max(firsts),
        "tabled_s": statistics.median(tabled),
        "tabled_worst_s": max(tabled),
        "reading_s": statistics.median(readings),
        "reading_worst_s": max(readings),
        **({"ahead_s": statistics.median(ahead), "ahead_worst_s": max(ahead)} if ahead else {}),
    }, counts


def _worked_ahead(bench: Bench, complaint: Complaint, practice: PracticeVehicle, name: str) -> list[float]:
    """Seconds from an answer to the next card where the tool has worked ahead."""
    case = open_case(bench.vehicle, "0" * 64, complaint, MemoryStore(), name, PRACTICE_TIME, bench=bench)
    waits: list[float] = []
    while len(waits) < READINGS and (card := next_step(case)) is not None:
        step, situation = case.offered(card.id), case.course.situation
        late_s, _ = worked_ahead(case, card, step.cost_s(bench, situation))
        said = practice.reply(step, situation.repaired)
        begun = time.process_time()
        case = _entered(case, card.id, said)
        next_step(case)
        waits.append(late_s + time.process_time() - begun)
    return waits


def drawn(vehicle: Vehicle, seed: int) -> Iterator[tuple[Fault, Complaint]]:
    """Open wires at loads, with what one would complain of, in an order drawn by seed."""
    draw = random.Random(seed)
    loads = [part.id for part in vehicle.parts.values() if part.kind in DRAWN]
    draw.shuffle(loads)
    for load in loads:
        condition = works_when(vehicle, load)
        wires = [wire.id for wire in vehicle.wires if load in (wire.a.part, wire.b.part)]
        if condition == Condition() or not wires:
            continue
        fault = Fault("open", draw.choice(wires))
        complaint = complaint_of(vehicle, fault, (condition,))
        if complaint is not None:
            yield fault, complaint


def _answered(case: Case, card: str, practice: PracticeVehicle) -> Case:
    return _entered(case, card, practice.reply(case.offered(card), case.course.situation.repaired))


def _entered(case: Case, card: str, said: float | str) -> Case:
    if isinstance(said, float) and math.isnan(said):
        return cannot(case, card, "no answer", PRACTICE_TIME)
    return answer(case, card, said, PRACTICE_TIME)
