"""Whatever is typed, a session goes on: an answer or a sentence, a next step, and a card that can be printed."""

import random

from loombench.app.case import bench_for
from loombench.app.finding import next_step, open_case
from loombench.app.findingcard import job_card
from loombench.app.practice import PRACTICE_TIME as TIME
from loombench.app.session import respond
from loombench.app.shown import standing
from loombench.app.typed import COMMANDS
from loombench.evidence.complaint import Complaint
from loombench.paper.html import to_html
from loombench.record.memory import MemoryStore
from loombench.vehicle.condition import Condition, Operation
from tests.diagnose.vehicles import LAMP, vehicle

ON = Condition((Operation("set", "S4", "on"),))
PIECES = (
    "E7", "E7.1", "E7.2:pin", "X12.1@boom", "S4.1", "G1.-", "W3", "W3/a", "to", "when", "S4=on", "unplug E7",
    "pull F12", "12.4V", "0.5 ohm", "OL", "80mV", "dead", "works", "steady", ",", "1", "99", "-3",
    "lamp E7", "size E7.2~W3/a 4mm2",
    "remove E7.2~W3/a", "none", "P0562", "x2", "no", "~", "@", "::", ".", "=", "1e999", "nan", "E7..1", "wait 5s",
    "limiter F12", "ground E7.2", "supply 11V", "engine=run",
)  # fmt: skip
SESSIONS, LINES = 5, 8


def test_no_line_breaks_a_session() -> None:
    bench = bench_for(vehicle(LAMP))
    told = Complaint("E7", "dead", ON, "E7 dead when S4=on")
    kept = 0
    for seed in range(SESSIONS):
        drawn = random.Random(seed)
        case = open_case(bench.vehicle, "0" * 64, told, MemoryStore(), "c", TIME, bench=bench)
        for _ in range(LINES):
            card = next_step(case)
            words = [drawn.choice(PIECES) for _ in range(drawn.randrange(5))]
            line = " ".join([drawn.choice(COMMANDS), *words] if drawn.random() < 0.5 else words)
            if card is not None and drawn.random() < 0.25:
                line = drawn.choice(card.choices or ("0V", "12V", "OL", "5"))
            reply = respond(case, card, line, TIME)
            assert reply.said or reply.then != "stay"
            assert reply.case.events[: len(case.events)] == case.events
            case = reply.case
            assert standing(case, "head")
        kept += len(case.events)
        assert case.store.read("c").value == case.events
        assert case.id in to_html(job_card(case))
    assert kept > SESSIONS * 3
