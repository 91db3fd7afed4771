"""`undrawn` in a session: refused while suspects are left, else lines that make the drawing true when typed."""

from dataclasses import replace
from functools import cached_property

from loombench.app.case import Case, bench_for
from loombench.app.finding import not_as_drawn, open_case
from loombench.app.practice import PRACTICE_TIME as TIME
from loombench.app.session import STAY, respond
from loombench.app.undrawn import change_lines, undrawn_lines
from loombench.base.wording import catalogue
from loombench.diagnose.undrawn import explaining
from loombench.diagnose.verdict import NOTHING_EXPLAINS, Verdict
from loombench.evidence.complaint import Complaint
from loombench.record.memory import MemoryStore
from loombench.vehicle.change import apply_all
from tests.diagnose.test_undrawn import CAR, FIRST, SECOND


def opened() -> Case:
    complaint = Complaint("E1", "dead", FIRST, "E1 dead when S1=on")
    return open_case(CAR, "0" * 64, complaint, MemoryStore(), "c", TIME, bench=bench_for(CAR))


class Given(Case):
    """A case in which nothing explains what was seen."""

    @cached_property
    def verdict(self) -> Verdict:
        return Verdict(NOTHING_EXPLAINS, ())


def test_while_suspects_are_left_it_is_refused() -> None:
    reply = respond(opened(), None, "undrawn", TIME)
    assert "still explain" in "\n".join(reply.said)
    assert reply.then == STAY


def test_its_lines_make_the_drawing_true() -> None:
    case = opened()
    for load, word, condition in (("E1", "dead", FIRST), ("E2", "works", FIRST), ("E1", "works", SECOND)):
        case = respond(case, None, f"{load} {word} when {condition}", TIME).case
    stuck = Given(case.id, case.author, case.bench, case.store, case.events, case.drawn, case.following)
    said = "\n".join(undrawn_lines(stuck, catalogue()))
    assert "are changed over" in said
    first = explaining(case.belief)[0]
    lines = change_lines(CAR, first)
    for line in lines:
        assert f"not as drawn {line}" in said
        made = not_as_drawn(case, line, TIME)
        assert made.problems == ()
        case = made.value
    wanted = apply_all(CAR, first.changes).value
    assert [replace(one, span=None) for one in case.bench.vehicle.wires] == [
        replace(one, span=None) for one in wanted.wires
    ]
