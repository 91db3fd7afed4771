"""The job card as a by-product, and that every sentence a case can need is there with its facts filled in."""

import pytest

from loombench.app.case import bench_for
from loombench.app.finding import answer, cannot, close, next_step, open_case, opening
from loombench.app.findingcard import _look, card_facts, job_card
from loombench.app.practice import PRACTICE_TIME as TIME
from loombench.app.practice import PracticeVehicle, auto
from loombench.app.session import respond
from loombench.app.suspectwords import job_text, suspect_text
from loombench.base.wording import catalogue
from loombench.circuit.fault import Fault
from loombench.diagnose.observation import GripFelt
from loombench.diagnose.verdict import CURED, NOT_REPRODUCED, NOTHING_EXPLAINS, ONE_CLASS, PROVEN, SEARCHING
from loombench.evidence.complaint import Complaint
from loombench.paper.html import to_html
from loombench.record.memory import MemoryStore
from loombench.vehicle.condition import Condition, Operation
from tests.diagnose.vehicles import AIRBAG, LAMP, RELAY, vehicle

ON = Condition((Operation("set", "S4", "on"),))
WORDS = catalogue()


@pytest.mark.parametrize("text", [LAMP, RELAY, AIRBAG], ids=["lamp", "relay", "airbag"])
def test_every_suspect_has_its_sentences_with_all_facts_in(text: str) -> None:
    bench = bench_for(vehicle(text))
    for group in bench.hypotheses.groups:
        for said in (suspect_text(bench, group, WORDS), job_text(bench, group, WORDS)):
            assert "{" not in said, said
    if text == AIRBAG:
        assert "only the maker's procedure" in job_text(bench, "R40", WORDS)


@pytest.mark.parametrize("state", [SEARCHING, PROVEN, CURED, ONE_CLASS, NOTHING_EXPLAINS, NOT_REPRODUCED])
def test_every_verdict_has_its_sentences(state: str) -> None:
    assert WORDS.has(f"verdict.{state}")
    assert WORDS.has(f"proof.{state}")


def test_a_cured_case_gives_a_card_with_readings_pairs_and_proof() -> None:
    car = vehicle(LAMP)
    complaint = Complaint("E7", "dead", ON, "left work lamp is dead")
    case = open_case(car, "0" * 64, complaint, MemoryStore(), "2026-7", TIME, bench=bench_for(car))
    first = next_step(case)
    assert first is not None
    case = answer(case, first.id, "dead", TIME)
    second = next_step(case)
    assert second is not None
    case = cannot(case, second.id, "seized", TIME)
    case = auto(case, PracticeVehicle(car, Fault("open", "contact W3/a")))
    facts = card_facts(case, WORDS)
    assert facts.complaint == "left work lamp is dead"
    assert facts.proven
    assert "W3/a" in facts.cause
    assert facts.cautions == opening(case)
    assert any(reading.verdict == "bad" for reading in facts.readings)
    pair = next(pair for pair in facts.pairs if pair.what.startswith("E7"))
    assert (pair.before, pair.after) == ("does nothing", "works")
    assert any("seized" in note for note in facts.notes)
    page = to_html(job_card(case))
    assert "Proven." in page
    customer = to_html(job_card(case, customer=True))
    for word in ("Readings", "seized", "hydrogen"):
        assert word in page
        assert word not in customer
    assert "Ground joint W3/a (BK): put right." in customer


def test_a_case_closed_without_proof_says_so() -> None:
    car = vehicle(LAMP)
    complaint = Complaint("E7", "dead", ON, "left work lamp is dead")
    case = close(open_case(car, "0" * 64, complaint, MemoryStore(), "2026-8", TIME, bench=bench_for(car)), TIME)
    facts = card_facts(case, WORDS)
    assert not facts.proven
    assert facts.cause == ""
    assert facts.remaining
    assert "Not proven." in to_html(job_card(case))


def test_looks_stand_on_the_card_with_what_a_sound_vehicle_shows_and_what_was_only_told_does_not() -> None:
    car = vehicle(LAMP)
    bench = bench_for(car)
    told = Complaint("E7", "dead", ON, "left work lamp is dead")
    case = open_case(car, "0" * 64, told, MemoryStore(), "2026-9", TIME, bench=bench)
    for line in ("dead", "works E8", "S4.1 12.3V"):
        case = respond(case, next_step(case), line, TIME).case
    readings = card_facts(case, WORDS).readings
    assert [(one.setup, one.expected, one.read, one.verdict) for one in readings][:1] == [
        ("E8 (right), S4=on", "works", "works", "good")
    ]
    assert len(readings) == 2
    felt = _look(case, GripFelt("contact X12.1", False), WORDS)
    assert (felt.expected, felt.read, felt.verdict) == (WORDS.say("meaning.firm"), WORDS.say("meaning.slack"), "bad")
