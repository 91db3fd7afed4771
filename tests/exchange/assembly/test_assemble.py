"""Harnesses made by hand put together: what is known, what stays open, what answers make of it."""

from dataclasses import replace
from pathlib import Path

import pytest

from loombench.app.importcheck import doubts
from loombench.app.importtext import MAIN, texts
from loombench.base.outcome import Outcome
from loombench.base.problems import Level, Span
from loombench.exchange.assembly.assemble import Assembled, assemble
from loombench.exchange.assembly.plan import DEVICE_PATTERN
from loombench.exchange.harness import (
    BOX,
    CONNECTOR,
    DEVICE,
    OPEN_END,
    RING,
    SPLICE,
    Contact,
    End,
    Fitted,
    Harness,
    Holder,
    Mating,
    Slot,
    Spot,
)
from loombench.exchange.joining import merged
from loombench.exchange.leaving import leave
from loombench.exchange.missing import Answer, Answers
from loombench.text.load import load_file, load_text
from loombench.text.prefix import MARK
from loombench.vehicle.model import Part, Vehicle
from tests.exchange.assembly.harnesses import lamp_branch, wire

ACCEPTED = Answers(accept=True)
SPLICES = (Holder("S1", SPLICE), Holder("S2", SPLICE))


def told(**rows: str) -> Answers:
    """Answers by `what_id`, the dash of an id as two underscores; a second text after `//` is the pins."""
    given = {}
    for name, text in rows.items():
        what, _, own = name.partition("_")
        answer, _, pins = text.partition("//")
        given[what, own.replace("__", "-")] = Answer(answer, pins, span=Span("missing.csv", 2))
    return Answers(given)


def loaded(made: Outcome[Assembled]) -> Vehicle:
    """The vehicle of all files, which has to load without a word."""
    files = texts(made.value.sheet, ("made.kbl",), None)
    outcome = load_text(files[MAIN], MAIN, files.get)
    assert [one for one in outcome.problems if one.level is not Level.NOTE] == []
    assert list(doubts(made.value.sheet)) == []
    return outcome.value


def lines(made: Outcome[Assembled]) -> str:
    """The text of all files one after the other."""
    return "".join(texts(made.value.sheet, (), None).values())


def codes(made: Outcome[Assembled]) -> list[str]:
    return [one.code for one in made.problems if one.code != "import-not-held"]


def two_pins(name: str = "E5", words: str = "", signals: tuple[str, str] = ("58", "31"), pins: str = "1 2") -> Harness:
    """A connector with two wires that go to splices."""
    one, two = pins.split()
    wires = (wire("1", "S1.1", f"{name}.{one}", signals[0]), wire("2", f"{name}.{two}", "S2.1", signals[1]))
    holders = (
        Holder(name, CONNECTOR, cavities=(one, two), description=words),
        Holder("S1", SPLICE),
        Holder("S2", SPLICE),
    )
    return Harness("h", holders=holders, wires=wires)  # fmt: skip


def proposal(harness: Harness, key: str) -> str:
    """What is proposed for a device, with its pins behind a stroke."""
    (lack,) = [one for one in assemble(harness).value.lacks if one.id == key]
    return f"{lack.proposal} / {lack.proposed_pins}" if lack.proposed_pins else lack.proposal


def test_without_answers_everything_stays_open_and_loads() -> None:
    made = assemble(lamp_branch())
    vehicle = loaded(made)
    assert {part.id: part.kind for part in vehicle.parts.values()} == {
        "F1": "fuse", "FH1": "carrier", "S1": "splice", "BAT+": "generic", "G5": "generic", "E12": "generic",
    }  # fmt: skip
    assert [wire.id for wire in vehicle.wires] == ["BAT+.1~FH1.A/1", "FH1.A/2~S1", "S1~E12.1", "E12.2~G5.1"]
    assert made.value.taken == {}


def test_accepted_proposals_make_a_circuit() -> None:
    vehicle = loaded(assemble(lamp_branch(), ACCEPTED))
    kinds = {part.id: part.kind for part in vehicle.parts.values()}
    assert kinds == {
        "chassis": "body", "G5": "stud", "GND-G1": "stud", "G1": "battery", "E12": "lamp", "FH1": "carrier",
        "F1": "fuse", "S1": "splice",
    }  # fmt: skip
    assert vehicle.parts["F1"].holder == "FH1"
    assert [wire.id for wire in vehicle.wires] == [
        "G1.-~GND-G1/a", "G1.+~FH1.A/1", "FH1.A/2~S1", "S1~E12.1", "E12.2~G5/a",
    ]  # fmt: skip
    feed = vehicle.wire_by_id["FH1.A/2~S1"]
    assert (feed.number, feed.colour.words, feed.label, feed.via) == ("2", ("red", "yellow"), "30-F1", ("SEG1",))
    assert (feed.area_mm2.nominal, feed.length_m.nominal) == (2.5, 0.9)


def test_every_answer_is_taken_and_the_others_stay_open() -> None:
    answers = told(
        **{"ring_BAT+": "G7.+", "battery_G7": "battery 95Ah", "device_E12": "lamp 55W", "voltage_vehicle": "24 V"}
    )
    made = assemble(lamp_branch(), answers)
    vehicle = loaded(made)
    assert vehicle.nominal_v == 24.0
    assert vehicle.parts["G7"].params["capacity_ah"].nominal == 95.0
    assert vehicle.parts["E12"].params["rated_w"].nominal == 55.0
    assert vehicle.parts["G5"].kind == "generic"
    assert {lack.key for lack in made.value.lacks} - set(made.value.taken) == {("ring", "G5"), ("minus", "G7")}


def test_an_answer_of_no_leaves_a_row_open_though_all_are_accepted() -> None:
    answers = Answers({("device", "E12"): Answer("no")}, accept=True)
    assert loaded(assemble(lamp_branch(), answers)).parts["E12"].kind == "generic"
    yes = Answers({("device", "E12"): Answer("yes", label="roof")})
    vehicle = loaded(assemble(lamp_branch(), yes))
    assert (vehicle.parts["E12"].kind, vehicle.parts["E12"].label) == ("lamp", "roof")


@pytest.mark.parametrize(
    ("words", "signals", "pins", "proposed"),
    [
        ("Work lamp", ("58", "31"), "1 2", "lamp ?W"),
        ("Rückleuchte links", ("58", "31"), "1 2", "lamp ?W"),
        ("Feu arrière", ("", ""), "1 2", "lamp ?W"),
        ("Arbeitsscheinwerfer", ("31", "58"), "3E 3S", "unit p3S-p3E lamp ?W"),
        ("Kraftstoffpumpe", ("31", "15"), "1 2", "motor ?A / 2=+ 1=-"),
        ("Electrovalve, valve", ("15", "31"), "1 2", "solenoid ?W"),
        ("Lampenschalter", ("30", "58"), "1 2", "switch off | on: 1=2"),
        ("lamp switch", ("30", "58"), "1 2", "switch off | on: 1=2"),
        ("Capteur de pression", ("S", "31"), "1 2", "unit 1-2 sensor 2wire ?ohm"),
        ("", ("HORN", "31"), "1 2", "horn ?A"),
        ("", ("30", "30-F7"), "1 2", "unit 1-2 fuse ?A"),
        ("", ("58", "M.31.G2"), "1 2", "generic 1-2 resistor ?ohm"),
        ("", ("58", "31b"), "1 2", "generic"),
        ("starter battery", ("30", "31"), "plus minus", "battery ?Ah"),
        ("Kraftstoffpumpe", ("15", "31"), "plus minus", "motor ?A / +=+ -=-"),
        ("horn", ("15", "31"), "+ minus", "unit +-- horn ?A"),
        ("", ("58", "KL31"), "1 2", "generic 1-2 resistor ?ohm"),
        ("", ("", ""), "1 2", "generic"),
        ("fandango", ("", ""), "1 2", "generic"),
    ],
)
def test_what_is_proposed(words: str, signals: tuple[str, str], pins: str, proposed: str) -> None:
    harness = two_pins("E5", words, signals, pins)
    assert proposal(harness, "E5") == proposed
    vehicle = loaded(assemble(harness, ACCEPTED))
    assert len(vehicle.wires) == 2


def test_a_lamp_of_several_pins_has_an_element_for_each() -> None:
    wires = tuple(wire(str(n), f"S{n}.1", f"E31.{n}", signal) for n, signal in ((1, "L"), (2, "54"), (6, "31")))
    harness = Harness("h", holders=(Holder("E31", CONNECTOR, description="Tail lamp"),), wires=wires)
    assert proposal(harness, "E31") == 'unit 1-6 lamp ?W "L"; 2-6 lamp ?W "54"'
    unit = loaded(assemble(harness, ACCEPTED)).parts["E31"]
    assert [(one.kind, one.pins, one.label) for one in unit.elements] == [
        ("lamp", ("1", "6"), "L"), ("lamp", ("2", "6"), "54"),
    ]  # fmt: skip


def test_connectors_of_one_device_by_the_pattern_or_by_another() -> None:
    wires = (wire("1", "S1.1", "A2-A.1", "30"), wire("2", "A2-B.1", "S2.1", "31"))
    holders = (Holder("A2-A", CONNECTOR, description="ECU"), Holder("A2-B", CONNECTOR))
    harness = Harness("h", holders=holders, wires=wires)
    assert proposal(harness, "A2") == "generic A/1-B/1 resistor ?ohm"
    assert loaded(assemble(harness, ACCEPTED)).parts["A2"].pins == ("A/1", "B/1")
    apart = assemble(harness, None, r"(?P<device>.+)_(?P<plug>\d)")
    assert {"A2-A", "A2-B"} <= set(loaded(apart).parts)
    assert {"A2-A", "A2-B"} <= set(loaded(assemble(harness, None, "(")).parts)
    assert DEVICE_PATTERN != "("


def relay_box(pins: tuple[str, ...], kind: str = "relay") -> Harness:
    cavities = tuple(f"K1.{pin}" for pin in pins)
    box = Holder("B1", BOX, cavities=cavities, slots=(Slot("K1", cavities, "Relay"),))
    wires = tuple(wire(str(n), f"S{n}.1", "x.1", f"s{n}") for n in range(len(pins)))
    wires = tuple(replace(one, ends=(one.ends[0], End(Spot("B1", c)))) for one, c in zip(wires, cavities, strict=True))
    fitted = (Fitted("K1", kind, tuple(Spot("B1", cavity) for cavity in cavities)),)
    splices = tuple(Holder(f"S{n}", SPLICE) for n in range(len(pins)))
    return Harness("h", holders=(box, *splices), wires=wires, fitted=fitted)


@pytest.mark.parametrize(
    ("pins", "proposed"),
    [
        (("86", "85", "30", "87"), "relay make 30 85 86 87"),
        (("30", "85", "86", "87a", "87"), "relay changeover 30 85 86 87 87a"),
        (("1", "2", "3", "5"), "relay make coil 1 2 contact 3 5"),
        (("A", "B", "C", "D"), ""),
        (("1", "2"), ""),
    ],
)
def test_a_relay_is_proposed_by_known_terminals_alone(pins: tuple[str, ...], proposed: str) -> None:
    harness = relay_box(pins)
    assert proposal(harness, "K1") == proposed
    assert loaded(assemble(harness)).parts["K1"].kind == "generic"
    assert loaded(assemble(harness, ACCEPTED)).parts["K1"].kind == ("relay" if proposed else "generic")


def test_relay_pins_are_told_by_a_map() -> None:
    made = assemble(relay_box(("A", "B", "C", "D")), told(relay_K1="relay make 30 85 86 87//A=86 B=85 C=30 D=87"))
    assert [wire.id for wire in loaded(made).wires] == ["S0~K1.86", "S1~K1.85", "S2~K1.30", "S3~K1.87"]


def test_a_box_with_bars_fuses_and_an_empty_slot() -> None:
    box = Holder(
        "B1", BOX, cavities=("1", "2", "3", "F1.a", "F1.b", "F2.a", "F2.b"),
        joined=(("1", "F1.a", "F2.a"), ("2", "F1.b"), ("3", "F2.b")),
        slots=(Slot("F1", ("F1.a", "F1.b")), Slot("F2", ("F2.a", "F2.b"))), place="cab",
    )  # fmt: skip
    wires = (wire("1", "S1.1", "B1.1", "30"), wire("2", "B1.2", "S2.1", "15"), wire("3", "B1.3", "S3.1", "15"))
    fitted = (Fitted("F1", "fuse", (Spot("B1", "F1.a"), Spot("B1", "F1.b")), description="lamps"),)
    splices = tuple(Holder(f"S{n}", SPLICE) for n in (1, 2, 3))
    made = assemble(Harness("h", holders=(box, *splices), wires=wires, fitted=fitted))
    vehicle = loaded(made)
    assert "  bar 30 from C/1 : F2/a F1.in\n  C/2 = F1.out\n  C/3 = F2/b\n" in lines(made)
    assert (vehicle.parts["F1"].holder, vehicle.parts["F1"].place) == ("B1", "cab")
    assert [one.key for one in made.value.lacks if one.what == "rating"] == [("rating", "F1")]
    rated = assemble(made.value.harness, told(rating_F1="15A"))
    assert loaded(rated).parts["F1"].params["rated_a"].nominal == 15.0


def test_a_fuse_whose_feed_side_is_not_described() -> None:
    box = Holder("B1", BOX, cavities=("1", "F1.b"), slots=(Slot("F1", ("F1.b",)),))
    wires = (
        wire("1", "S1.1", "B1.1", "30"),
        replace(wire("2", "S2.1", "", "15"), ends=(End(Spot("S2", "1")), End(Spot("B1", "F1.b")))),
    )
    fitted = (Fitted("F1", "fuse", (Spot("B1", "F1.b"),), rating_a=10.0),)
    harness = Harness("h", holders=(box, Holder("S1", SPLICE), Holder("S2", SPLICE)), wires=wires, fitted=fitted)
    assert proposal(harness, "F1") == "1"
    assert "  C/1 = C/1\n" in lines(assemble(harness))
    fed = assemble(harness, ACCEPTED)
    assert "  C/1 = F1.in\n" in lines(fed)
    assert "S2~F1.out" in loaded(fed).wire_by_id


def test_two_files_joined_at_a_connector_become_one_with_two_looms() -> None:
    front = Harness("front", holders=(Holder("X12-1", CONNECTOR, cavities=("1", "2", "3")), Holder("S1", SPLICE)),
                    wires=(wire("1", "S1.1", "X12-1.2", "58"),))  # fmt: skip
    rear = Harness("rear", holders=(Holder("X12-2", CONNECTOR, cavities=("1", "2")), Holder("S1", SPLICE)),
                   wires=(wire("1", "X12-2.2", "S1.1", "58"),))  # fmt: skip
    both = merged((front, rear))
    apart = loaded(assemble(both))
    assert [part.kind for part in apart.parts.values() if part.kind in ("connector", "generic")] == ["generic"] * 2
    made = assemble(both, ACCEPTED)
    vehicle = loaded(made)
    assert "connector X12-1 3way front | rear\n" in lines(made)
    assert [(wire.id, wire.loom) for wire in vehicle.wires] == [("S1~X12-1.2", "front"), ("X12-1.2~S1-2", "rear")]
    assert set(texts(made.value.sheet, (), None)) == {MAIN, "looms/front.circuit", "looms/rear.circuit"}
    for rows in ({"mating_X12__1": "X12-2"}, {"mating_X12__2": "X12-1"}):
        said = assemble(both, told(**rows)).value
        assert said.harness == made.value.harness
        assert ("mating", "X12-1") in said.taken


def test_cavities_with_letters_get_numbers_and_the_table_says_which() -> None:
    a = Harness("a", holders=(Holder("X1", CONNECTOR, cavities=("A", "B")),), wires=(wire("1", "P.1", "X1.B", "15"),))
    b = Harness("b", holders=(Holder("X1", CONNECTOR, cavities=("A", "B")),), wires=(wire("2", "X1.B", "Q.1", "15"),))
    made = assemble(merged((a, b)), ACCEPTED)
    assert "connector X1 2way a | b\n" in lines(made)
    assert ("X1.B", "X1.2") in [(one.was, one.now) for one in made.value.sheet.renamed]
    assert {"P-1", "Q-1"} == {part.removeprefix("END-") for part in loaded(made).parts if part.startswith("END-")}


def test_a_connector_in_which_wires_of_two_looms_meet_has_two_halves() -> None:
    wires = (wire("1", "S1.1", "X1.4", "15", loom="cab"), wire("2", "X1.4", "S2.1", "15", loom="frame"))
    holders = (Holder("X1", CONNECTOR), Holder("S1", SPLICE), Holder("S2", SPLICE))
    made = assemble(Harness("h", holders=holders, wires=wires))
    assert "connector X1 4way cab | frame\n" in lines(made)
    assert [wire.id for wire in loaded(made).wires] == ["S1~X1.4", "X1.4~S2"]


def test_rings_on_one_stud_and_on_one_post() -> None:
    rings = tuple(Holder(name, RING, name=name.removesuffix("@b")) for name in ("W3", "W3@b", "P1", "P1@b"))
    wires = (wire("1", "S1.1", "W3.1", "31"), wire("2", "S1.1", "W3@b.1", "31"),
             wire("3", "S1.1", "P1.1", "15"), wire("4", "S1.1", "P1@b.1", "15"))  # fmt: skip
    vehicle = loaded(assemble(Harness("h", holders=(*rings, *SPLICES), wires=wires), ACCEPTED))
    assert [wire.id for wire in vehicle.wires] == ["S1~W3/a", "S1~W3/b", "S1~P1", "S1~P1#2"]
    assert (vehicle.parts["W3"].kind, vehicle.parts["P1"].kind) == ("stud", "splice")


def test_a_ring_that_the_file_has_as_a_connector_keeps_its_name() -> None:
    holders = (
        Holder("W3", CONNECTOR, description="ground stud", place="rear"),
        Holder("G1", CONNECTOR, description="battery"), *SPLICES,
    )  # fmt: skip
    wires = (wire("1", "S1.1", "W3.1", "31"), wire("2", "S2.1", "G1.1", "30"))
    made = assemble(Harness("h", holders=holders, wires=wires), ACCEPTED)
    vehicle = loaded(made)
    assert [wire.id for wire in vehicle.wires][1:] == ["S1~W3/a", "S2~G1.+"]
    assert (vehicle.parts["W3"].kind, vehicle.parts["W3"].place) == ("stud", "rear")
    assert vehicle.parts["G1"].kind == "battery"


@pytest.mark.parametrize(
    ("first", "second", "studs"),
    [
        (("AG7", "ground stud 7"), ("BG7", "ground stud 7"), ["G7"]),
        (("AG7", ""), ("BG7", "ground stud"), ["G7"]),
        (("W3", "ground stud 7"), ("W5", "Ground  stud 7"), ["W3"]),
        (("AG7", "ground left"), ("BG7", "ground right"), ["AG7", "BG7"]),
        (("W3", "ground"), ("W5", "ground"), ["W3", "W5"]),
    ],
)
def test_rings_of_two_names_that_may_be_on_one_stud(
    first: tuple[str, str], second: tuple[str, str], studs: list[str]
) -> None:
    rings = tuple(Holder(name, RING, description=words) for name, words in (first, second))
    wires = tuple(wire(str(n), "S1.1", f"{ring.id}.1", "31") for n, ring in enumerate(rings))
    vehicle = loaded(assemble(Harness("h", holders=(*rings, *SPLICES), wires=wires), ACCEPTED))
    assert [part.id for part in vehicle.parts.values() if part.kind == "stud"] == studs


def test_a_ring_of_which_the_files_say_stud_and_body_is_not_asked() -> None:
    ring = Holder("W1/b", RING, stud="W1", body="frame")
    made = assemble(Harness("h", holders=(ring, Holder("S1", SPLICE)), wires=(wire("1", "S1.1", "W1/b.1"),)))
    assert [one for one in made.value.lacks if one.what == "ring"] == []
    assert [wire.id for wire in loaded(made).wires] == ["S1~W1/b"]
    assert "stud W1 on frame\n" in lines(made)


def test_open_ends_taps_bridges_and_jumpers() -> None:
    holders = (Holder("X1", CONNECTOR, cavities=("1", "2", "3", "4")), Holder("O1", OPEN_END), Holder("S1", SPLICE))
    tapped = replace(
        wire("7", "S1.1", "X1.3", "CAN"), ends=(End(Spot("S1", "1")), End(Spot("X1", "1")), End(Spot("X1", "3"))),
        length_m=3.0,
    )  # fmt: skip
    wires = (wire("5", "S1.1", ""), wire("6", "S1.1", "O1.1"), tapped, wire("8", "X1.1", "X1.1"),
             wire("9", "X1.1", "X1.2", length_m=0.0))  # fmt: skip
    bridge = Contact("b", "X1", ("3", "4"))
    made = assemble(Harness("h", holders=holders, wires=wires, contacts=(bridge,)))
    vehicle = loaded(made)
    assert [wire.id for wire in vehicle.wires] == [
        "S1~END-5", "S1~END-O1", "S1~X1.1", "X1.1~X1.3", "X1.1~X1.2", "X1.3~X1.4",
    ]  # fmt: skip
    assert codes(made) == ["import-wire-loop"]
    assert vehicle.wire_by_id["X1.1~X1.3"].label == "CAN, tapped, 3 m in all"
    assert vehicle.wire_by_id["X1.3~X1.4"].label == "bridge terminal"


def test_a_connector_on_a_device_that_the_file_knows_is_that_device() -> None:
    device = Holder("U1", DEVICE, cavities=("1", "2"), description="radio")
    plug = Holder("X9", CONNECTOR, cavities=("1", "2"))
    wires = (wire("1", "S1.1", "X9.1", "30"), wire("2", "X9.2", "S2.1", "31"))
    mating = Mating("X9", "U1", (("1", "1"), ("2", "2")))
    harness = Harness("h", holders=(device, plug, *SPLICES), wires=wires, matings=(mating,))
    vehicle = loaded(assemble(harness))
    assert [wire.id for wire in vehicle.wires] == ["S1~U1.1", "U1.2~S2"]
    assert "X9" not in vehicle.parts


def test_names_that_the_notation_cannot_take() -> None:
    holders = (
        Holder("E 5.(links)", CONNECTOR, cavities=("3E", "a-b")), Holder("lamp", CONNECTOR), Holder("10A", CONNECTOR),
        Holder("E-5-(links)", SPLICE), Holder("é~#", SPLICE, place='under "the" seat', description="“x”\n\x07y"),
    )  # fmt: skip
    one = (End(Spot("E 5.(links)", "3E")), End(Spot("E-5-(links)", "1")))
    two = (End(Spot("E 5.(links)", "a-b")), End(Spot("é~#", "1")))
    wires = (
        replace(wire("1", "", "", '31 "x" \x1b'), ends=one, loom="Strang 1/2"),
        replace(wire("2", "", "", "a;b"), ends=two, number='(4) "a"'),
        wire("3", "lamp.1", "10A.1"),
    )
    made = assemble(Harness("\x00h", holders=holders, wires=wires))
    vehicle = loaded(made)
    assert sorted(vehicle.parts) == ["E-5-links", "E-5-links-2", "X10A", "Xlamp", "é"]
    assert vehicle.looms[0] == "Strang-1-2"
    assert {one.was for one in made.value.sheet.renamed} >= {"E 5.(links)", "lamp", "10A", "Strang 1/2"}
    assert vehicle.parts["é"].label == "'x' y"


@pytest.mark.parametrize(
    ("answers", "code"),
    [
        (told(device_E5="rear light"), "answer-kind"),
        (told(device_E5="alternator 90A"), "answer-pins"),
        (told(device_E5="motor 5A//1=+ 7=-"), "answer-pin-map"),
        (told(device_E5="motor 5A//plus"), "answer-pin-map"),
        (told(voltage_vehicle="230V"), "answer-voltage"),
        (told(mating_E5="X99"), "answer-mating"),
    ],
)
def test_an_answer_that_cannot_be_taken_is_an_error_and_leaves_it_open(answers: Answers, code: str) -> None:
    made = assemble(two_pins(), answers)
    assert code in codes(made)
    assert not made.usable
    assert loaded(made).parts["E5"].kind == "generic"


def test_an_answer_for_nothing_is_pointed_out() -> None:
    made = assemble(two_pins(), told(device_E77="lamp 5W"))
    assert codes(made) == ["answer-for-nothing"]
    assert made.usable


def test_answers_that_the_notation_refuses_are_named_with_their_line() -> None:
    for text, code in (
        ("lamp 5Ah", "answer-unread"),
        ("unit 1-31 lamp 5W", "answer-pin"),
        ("lamp 5W )", "answer-unread"),
    ):
        made = assemble(two_pins(), told(device_E5=text))
        assert [one.code for one in doubts(made.value.sheet)] == [code], text


def test_colours_in_another_system_are_translated_and_unknown_ones_kept_as_words() -> None:
    harness = two_pins()
    german = replace(harness.wires[0].colour, parts=("rt", "ge"), system="DIN")
    odd = replace(harness.wires[1].colour, parts=("zz",), system="IEC")
    wires = (replace(harness.wires[0], colour=german), replace(harness.wires[1], colour=odd, signal=""),
             wire("3", "S1.1", "S2.1", colour="BK"), wire("4", "S1.1", "S2.1", colour="BK"))  # fmt: skip
    vehicle = loaded(assemble(replace(harness, wires=wires)))
    assert vehicle.colours == "IEC"
    assert vehicle.wires[0].colour.words == ("red", "yellow")
    assert (vehicle.wires[1].colour.words, vehicle.wires[1].label) == ((), "colour zz")


@pytest.mark.parametrize("name", ["telehandler-roof", "library-van"])
def test_an_example_given_out_as_a_harness_comes_back(name: str) -> None:
    """All that harness data can hold: wires, fuses and ratings, connectors and looms, studs and bodies."""
    whole = load_file(Path(__file__).parents[3] / "examples" / name).value
    back = loaded(assemble(leave(whole)))
    used = {point.part for point in whole.wires_at if MARK not in point.part}
    used |= {one.id for one in whole.parts.values() if one.holder in used}
    straps = sum(1 for part in whole.parts.values() if part.kind == "strap")
    assert len(back.wires) == len(whole.wires) + straps
    for kind, facts in (("fuse", _rating), ("connector", _halves), ("stud", _body), ("carrier", _nothing)):
        first = {part.id: facts(part) for part in whole.parts.values() if part.kind == kind and part.id in used}
        again = {part.id: facts(part) for part in back.parts.values() if part.kind == kind}
        assert {one: again.get(one) for one in first} == first, kind


def _rating(part: Part) -> object:
    return part.params.get("rated_a")


def _halves(part: Part) -> object:
    return part.halves


def _body(part: Part) -> object:
    return part.body


def _nothing(part: Part) -> object:
    return part.kind
