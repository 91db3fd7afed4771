"""Events go out as text and come back as they were; everything else is said and never raised."""

import json
import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.base.wording import catalogue
from loombench.evidence.codec import decode, decode_line, encode, encode_line
from loombench.evidence.envelope import Envelope, envelope
from loombench.evidence.events import PAYLOADS, Note, Observed, ReadingTaken
from loombench.evidence.fields import LONGEST_TEXT
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.points import Point
from tests.evidence.strategies import envelopes, payloads

TIME = "2026-03-02T14:05:00+01:00"
LINE = (
    '{"format":1,"number":3,"time":"2026-03-02T14:05:00+01:00","case":"2026-014","author":"M. Holm",'
    '"kind":"ReadingTaken","payload":{"setup":{"meter":"voltmeter","red":{"part":"E7","pin":"1"},'
    '"black":{"part":"G1","pin":"-"},"condition":[{"verb":"set","target":"S4","value":"on"},'
    '{"verb":"wait","value":"30"}],"lead_ohm":0.0},"value":3.2,"unit":"V","note":""}}'
)
EVENT = envelope(
    3, TIME, "2026-014", "M. Holm",
    ReadingTaken(
        Setup(
            Condition((Operation("set", "S4", "on"), Operation("wait", "", "30"))), Point("E7", "1"), Point("G1", "-")
        ),
        3.2, "V",
    ),
)  # fmt: skip


def test_the_stored_form_is_this() -> None:
    """Written by hand: what is stored today must be read by every later version."""
    assert encode_line(EVENT) == LINE
    assert decode_line(LINE).value == EVENT


@given(envelopes)
def test_an_event_comes_back_as_it_was(event: Envelope) -> None:
    line = encode_line(event)
    assert "\n" not in line
    assert "\r" not in line
    line.encode("utf-8")
    assert decode_line(line).problems == ()
    assert decode_line(line).value == event
    assert decode(encode(event)).value == event


@given(st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner), max_leaves=12,
))  # fmt: skip
def test_no_object_raises(found: object) -> None:
    outcome = decode(found)
    assert (outcome.value is None) != outcome.usable


@given(st.sampled_from(sorted(PAYLOADS)), st.dictionaries(
    st.sampled_from(["setup", "value", "condition", "complaint", "event", "ok", "what", "red", "text", "unit"]),
    st.none() | st.integers() | st.text(max_size=3) | st.lists(st.none(), max_size=2) | st.dictionaries(
        st.sampled_from(["red", "black", "meter", "condition", "lead_ohm", "part"]), st.integers() | st.text(max_size=3)
    ),
))  # fmt: skip
def test_no_payload_raises(kind: str, payload: dict[str, object]) -> None:
    outcome = decode({**encode(EVENT), "kind": kind, "payload": payload})
    assert (outcome.value is None) != outcome.usable


@given(st.text())
def test_no_line_raises(line: str) -> None:
    decode_line(line)


@given(payloads, st.data())
def test_a_field_left_out_is_missed_or_has_its_default(payload: object, data: st.DataObject) -> None:
    found = json.loads(encode_line(envelope(1, TIME, "a", "b", payload)))  # type: ignore[arg-type]
    name = data.draw(st.sampled_from(sorted(found["payload"])))
    del found["payload"][name]
    outcome = decode(found)
    optional = name in {"note", "reason", "method", "parts", "cause", "file", "change", "number", "quantity", "state",
        "presence", "module",
    }  # fmt: skip
    assert outcome.usable == optional
    assert optional or [item.code for item in outcome.problems] == ["event-field-missing"]


@pytest.mark.parametrize("line", [
    "", "{", "null", "[]", "7", "[" * 100_000, '{"format":' + "9" * 5000 + "}", '{"format":NaN}', '"text"', "\ud800",
])  # fmt: skip
def test_hostile_lines_are_answered(line: str) -> None:
    outcome = decode_line(line)
    assert outcome.value is None
    assert len(outcome.problems) == 1


@pytest.mark.parametrize(("change", "code", "place"), [
    ({"format": 2}, "event-format", ""), ({"format": True}, "event-format", ""), ({"format": 1.0}, "event-format", ""),
    ({"format": "1"}, "event-format", ""), ({"kind": "Guess"}, "event-kind", ""), ({"kind": None}, "event-kind", ""),
    ({"number": 0}, "event-field-wrong", "number"), ({"number": True}, "event-field-wrong", "number"),
    ({"number": 1.5}, "event-field-wrong", "number"), ({"number": 10**40}, "event-field-wrong", "number"),
    ({"time": "2026-03-02T14:05:00"}, "event-field-wrong", "time"), ({"time": "noon"}, "event-field-wrong", "time"),
    ({"case": 7}, "event-field-wrong", "case"), ({"payload": []}, "event-field-wrong", "payload"),
    ({"author": "x" * (LONGEST_TEXT + 1)}, "event-field-wrong", "author"),
])  # fmt: skip
def test_what_is_wrong_is_named(change: dict[str, object], code: str, place: str) -> None:
    (found,) = decode({**encode(EVENT), **change}).problems
    assert (found.code, found.fact("field")) == (code, place)


@pytest.mark.parametrize(("old", "new", "place"), [
    ('"value":3.2', '"value":"3.2"', "payload.value"), ('"value":3.2', '"value":1e999', "payload.value"),
    ('"value":3.2', '"value":true', "payload.value"), ('"meter":"voltmeter"', '"meter":"guess"', "payload.setup.meter"),
    ('"verb":"wait"', '"verb":"rest"', "payload.setup.condition[1].verb"),
    ('"pin":"1"', '"pin":1', "payload.setup.red.pin"), ('"pin":"-"', '"layer":"air"', "payload.setup.black.layer"),
    ('"lead_ohm":0.0', '"lead_ohm":null', "payload.setup.lead_ohm"),
])  # fmt: skip
def test_the_place_of_a_wrong_field_is_named(old: str, new: str, place: str) -> None:
    assert old in LINE
    outcome = decode_line(LINE.replace(old, new))
    assert outcome.value is None
    assert [item.fact("field") for item in outcome.problems] == [place]


def test_a_field_not_known_is_a_warning_and_the_event_is_read() -> None:
    outcome = decode_line(LINE.replace('"unit":"V"', '"unit":"V","mood":"good"'))
    assert outcome.value == EVENT
    assert [(item.code, item.fact("field")) for item in outcome.problems] == [("event-field-extra", "payload.mood")]


def test_an_open_circuit_has_no_number_in_json_and_comes_back() -> None:
    event = envelope(1, TIME, "a", "b", ReadingTaken(EVENT.payload.setup, math.inf, "ohm"))  # type: ignore[union-attr]
    assert '"value":"inf"' in encode_line(event)
    assert decode_line(encode_line(event)).value == event


def test_what_is_no_reading_or_no_envelope_cannot_be_made() -> None:
    with pytest.raises(ValueError, match="number"):
        ReadingTaken(EVENT.payload.setup, math.nan, "V")  # type: ignore[union-attr]
    with pytest.raises(ValueError, match="kind"):
        Envelope(1, 1, TIME, "a", "b", "Note", Observed("a", "b"))
    with pytest.raises(ValueError, match="count"):
        envelope(0, TIME, "a", "b", Note(""))


def test_every_problem_of_events_is_worded_and_has_a_page() -> None:
    pages = Path(__file__).parents[2] / "docs" / "problems"
    for code in ("json", "shape", "format", "kind", "field-missing", "field-wrong", "field-extra"):
        assert catalogue().has(f"problem.event-{code}.fix")
        assert "\nsource: evidence\n" in (pages / f"event-{code}.md").read_text(encoding="utf-8")
