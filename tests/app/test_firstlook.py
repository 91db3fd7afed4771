"""The look at the complaint that comes first, told before anything is worked out: it is the first step's card, bare."""

from dataclasses import replace

import pytest

from loombench.app.case import Case, bench_for
from loombench.app.complaints import understand
from loombench.app.finding import answer, next_step, note, open_case
from loombench.app.firstlook import first_look
from loombench.evidence.complaint import Complaint
from loombench.evidence.events import CodesRead, Disturbed
from loombench.record.memory import MemoryStore
from loombench.text.load import load_file

TIME = "2026-03-02T09:15:00+01:00"


def begun(file: str, told: str) -> Case:
    car = load_file(file).value
    complaint = next(one for one in understand(car, told).value if isinstance(one, Complaint))
    return open_case(car, "0" * 64, complaint, MemoryStore(), "2026-1", TIME, bench=bench_for(car))


@pytest.mark.parametrize(
    ("file", "told"),
    [
        ("examples/telehandler-roof", "E7 dead when S4=on"),
        ("examples/telehandler-roof", "E7 sometimes dead when S4=on"),
        ("examples/telehandler-roof", "F12 blows when S4=on"),
        ("examples/camper-van", "battery flat"),
    ],
)
def test_it_is_the_card_of_the_first_step_without_its_meanings(file: str, told: str) -> None:
    case = begun(file, told)
    whole, bare = next_step(case), first_look(case)
    assert whole is not None
    assert whole.kind == "verify"
    assert replace(whole, meanings=(), choices=(), then=()) == bare


def test_nothing_that_may_be_wrong_is_worked_out_for_it() -> None:
    case = begun("examples/telehandler-roof", "E7 dead when S4=on")
    assert first_look(case) is not None
    assert "belief" not in vars(case)


def test_it_stays_after_what_changes_no_step_and_goes_with_what_may() -> None:
    case = begun("examples/telehandler-roof", "E7 dead when S4=on")
    coded = note(case, CodesRead(("P0562",)), TIME)
    assert first_look(coded) == first_look(case)
    card = first_look(coded)
    assert card is not None
    assert first_look(answer(coded, card.id, "dead", TIME)) is None


def test_it_goes_where_something_was_disturbed() -> None:
    case = begun("examples/telehandler-roof", "E7 dead when S4=on")
    assert first_look(note(case, Disturbed("moved X12"), TIME)) is None
