"""The netlist rebuilt from lines must find what was drawn wrongly: pages written by hand, each with one fault."""

import pytest

from benchmarks.drawncompare import lacking, mismatches
from benchmarks.drawnnets import Rebuilt, bends, crossings, rebuilt
from benchmarks.drawnpage import Page, read_page
from loombench.text.load import load_text
from loombench.vehicle.model import Vehicle

CIRCUIT = """loombench 1
vehicle "Two lamps" 12V
body chassis
stud W1 on chassis
battery G1
fuse F1 10A
splice SP1
lamp E1 12V 21W
lamp E2 12V 21W
connect
"""
PINS = {
    "G1.+": (20, 10), "F1.in": (20, 30), "F1.out": (20, 40), "SP1": (20, 60), "E1.1": (10, 80), "E2.1": (30, 80),
    "E1.2": (10, 90), "E2.2": (30, 90), "W1/a": (10, 120), "W1/b": (30, 120),
}  # fmt: skip
WIRES = {
    "G1.+~F1.in": "20,10 20,30",
    "F1.out~SP1": "20,40 20,60",
    "SP1~E1.1": "20,60 10,60 10,80",
    "SP1~E2.1": "20,60 30,60 30,80",
    "E1.2~W1/a": "10,90 10,120",
    "E2.2~W1/b": "30,90 30,120",
}


def page(wires: dict[str, str], pins: dict[str, tuple[float, float]] | None = None, extra: str = "") -> Page:
    """A page of 100 mm by 140 mm."""
    marks = "".join(
        f'<g class="part" data-part="{name.split(".")[0].split("/")[0]}"><circle class="pin" data-pin="{name}" '
        f'cx="{x}" cy="{y}" r="0.1"/></g>'
        for name, (x, y) in (PINS if pins is None else pins).items()
    )
    lines = "".join(f'<polyline class="wire" data-wire="{name}" points="{points}"/>' for name, points in wires.items())
    return read_page(
        '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="140mm" viewBox="0 0 100 140">'
        f"{marks}{lines}{extra}</svg>"
    )


@pytest.fixture(scope="module")
def vehicle() -> Vehicle:
    lines = "\n".join(name.replace("~", " (rt 1.5mm2 1m) ") for name in WIRES)
    outcome = load_text(CIRCUIT + lines + "\n")
    assert set(outcome.value.wire_by_id) == set(WIRES)
    return outcome.value


def said(vehicle: Vehicle, *pages: Page) -> tuple[str, ...]:
    """All that is found wrong with pages that should show the whole vehicle."""
    built: Rebuilt = rebuilt(pages)
    found = built.faults + mismatches(vehicle, pages)
    return found + lacking(vehicle.wires, ("F1", "E1", "E2"), pages, built)


def altered(name: str, points: str) -> dict[str, str]:
    """The wires with one laid another way; left out where there are no points."""
    wires = WIRES | {name: points}
    return {one: two for one, two in wires.items() if two}


def dot(x: float, y: float) -> str:
    return f'<circle class="joint" cx="{x}" cy="{y}" r="0.6"/>'


def test_a_sound_page_is_sound(vehicle: Vehicle) -> None:
    sound = page(WIRES)
    assert said(vehicle, sound) == ()
    assert (crossings(sound), bends(sound)) == (0, 2)


def test_crossings_without_dots_are_none(vehicle: Vehicle) -> None:
    crossed = page(altered("E2.2~W1/b", "30,90 30,95 5,95 5,130 30,130 30,120"))
    assert said(vehicle, crossed) == ()
    assert (crossings(crossed), bends(crossed)) == (1, 6)


CROSS = altered("E2.2~W1/b", "30,90 30,95 5,95 5,130 30,130 30,120")
TWO_LAID = altered("E2.2~W1/b", "30,90 30,100 10,100 10,110 30,110 30,120")
NO_E2 = {name: at for name, at in PINS.items() if not name.startswith("E2")}
CORNERED = altered("E2.2~W1/b", "30,90 30,95 10,95 10,88 35,88 35,120 30,120")
OVER = altered("G1.+~F1.in", "20,10 20,45 25,45 25,30 20,30")
SWAPPED = WIRES | {"SP1~E1.1": "20,60 10,60 10,90", "E1.2~W1/a": "10,80 5,80 5,120 10,120"}
CALLED = dict(zip(WIRES, (*list(WIRES.values())[1:], next(iter(WIRES.values()))), strict=True))
AGAIN = '<circle class="pin" data-pin="E1.1" cx="60" cy="60"/>'
STRIPE = '<polyline class="wire-stripe" points="20,10 20,29"/>'
NO_WIRE = {name: points for name, points in WIRES.items() if "E2" not in name}
LOOPED = altered("G1.+~F1.in", "20,10 20,25 40,25 40,20 15,20 15,30 20,30")
PLANTED = {
    "short of the pin": (page(altered("F1.out~SP1", "20,40 20,59.8")), "open at (20.00, 59.80), 0.20 mm short"),
    "dot on a crossing": (page(CROSS, extra=dot(10, 95)), "a dot on a crossing at (10.00, 95.00)"),
    "dot on a crossing joins": (page(CROSS, extra=dot(10, 95)), "no wires join them: E1.2, E2.2"),
    "dot in the open": (page(WIRES, extra=dot(50, 50)), "a dot at (50.00, 50.00) joins nothing"),
    "dot on one wire": (page(WIRES, extra=dot(20, 20)), "a dot at (20.00, 20.00) joins nothing"),
    "laid upon each other": (page(TWO_LAID), "lie on each other for 10.00 mm"),
    "touching at a corner": (page(CORNERED), "touch at a corner"),
    "over a pin": (page(OVER), "passes over pin F1.out"),
    "wire missing": (page(altered("SP1~E2.1", "")), "wire SP1~E2.1: SP1 and E2.1 are drawn and not joined"),
    "swapped ends": (page(SWAPPED), "wire SP1~E1.1: SP1 and E1.1 are drawn and not joined"),
    "called otherwise": (page(CALLED), "a line called wire E1.2~W1/a does not lead to W1/a"),
    "unknown wire": (page(WIRES | {"x": "60,60 60,80"}), "a line is called wire 'x'"),
    "unknown pin": (page(WIRES, PINS | {"E9.1": (60, 60)}), "pin E9.1 is on a page and not in the vehicle"),
    "pin twice": (page(WIRES, extra=AGAIN), "pin E1.1 is there 2 times"),
    "part missing": (page(altered("SP1~E2.1", ""), NO_E2), "part E2 is on no page"),
    "wire not there": (page(NO_WIRE, NO_E2), "wire SP1~E2.1 is on no page"),
    "aslant": (page(altered("SP1~E1.1", "20,60 10,80")), "runs aslant"),
    "into itself": (page(LOOPED), "crosses or touches itself"),
    "stripe elsewhere": (page(WIRES, extra=STRIPE), "lies on no wire"),
    "a path": (page(WIRES, extra='<path class="wire" d="M1 1L2 2"/>'), "a wire drawn as path"),
    "copied marks": (page(WIRES, extra='<use href="#x"/>'), "use on the page"),
    "pin without a name": (page(WIRES, extra='<circle class="pin" cx="1" cy="1"/>'), "a pin without a name"),
}


@pytest.mark.parametrize("name", PLANTED)
def test_a_planted_fault_is_found(vehicle: Vehicle, name: str) -> None:
    wrong, words = PLANTED[name]
    found = said(vehicle, wrong)
    assert any(words in one for one in found), found


def tee(extra: str) -> Page:
    """The splice drawn as a branch: the wire of the second lamp ends on that of the first."""
    joined = WIRES | {"SP1~E1.1": "20,60 20,70 10,70 10,80", "SP1~E2.1": "20,65 30,65 30,80"}
    return page(joined, extra=extra)


def test_a_branch_needs_its_dot(vehicle: Vehicle) -> None:
    assert said(vehicle, tee(dot(20, 65))) == ()
    found = said(vehicle, tee(""))
    assert any("ends on wire SP1~E1.1 at (20.00, 65.00) without a dot" in one for one in found)
    assert any("SP1 and E2.1 are drawn and not joined" in one for one in found)


def test_a_branch_at_a_corner_needs_its_dot_too(vehicle: Vehicle) -> None:
    cornered = WIRES | {"SP1~E1.1": "20,60 20,70 10,70 10,80", "SP1~E2.1": "20,70 30,70 30,80"}
    assert said(vehicle, page(cornered, extra=dot(20, 70))) == ()
    assert any("touch at a corner" in one for one in said(vehicle, page(cornered)))


def test_three_ends_without_pin_or_dot() -> None:
    pins = {name: at for name, at in PINS.items() if name != "SP1"}
    found = rebuilt([page(WIRES, pins)]).faults
    assert found == ("page 1: 3 wires meet without a dot at (20.00, 60.00)",)
    assert rebuilt([page(WIRES, pins, dot(20, 60))]).faults == ()


def join(key: str, x: float, y: float) -> str:
    mark = f'<circle class="pin" data-pin="join:{key}" cx="{x}" cy="{y}" r="0.1"/>'
    return f'<g class="join" data-join="{key}" data-page="2"><text>{key} to 2</text>{mark}</g>'


def two_pages(key: str) -> tuple[Page, Page]:
    """The first lamp on one page, the second on another, the wire between them broken by a page join."""
    first = {name: points for name, points in WIRES.items() if "E2" not in name}
    second = {name: points for name, points in WIRES.items() if "E2" in name}
    first_pins = {name: at for name, at in PINS.items() if name[:2] != "E2" and name != "W1/b"}
    second_pins = {name: at for name, at in PINS.items() if name[:2] == "E2" or name == "W1/b"}
    begun = first | {"SP1~E2.1": "20,60 40,60 40,70"}
    ended = second | {"SP1~E2.1": "40,70 30,70 30,80"}
    return page(begun, first_pins, join("a", 40, 70)), page(ended, second_pins, join(key, 40, 70))


def test_joins_lead_from_page_to_page(vehicle: Vehicle) -> None:
    assert said(vehicle, *two_pages("a")) == ()
    found = said(vehicle, *two_pages("b"))
    assert any("wire SP1~E2.1: SP1 and E2.1 are drawn and not joined" in one for one in found), found


def test_one_of_two_parallel_wires_left_out() -> None:
    twice = load_text(CIRCUIT + "G1.+ (rt 6mm2 1m) F1.in\nG1.+ (rt 6mm2 1m) F1.in\n").value
    pins = {name: PINS[name] for name in ("G1.+", "F1.in")}
    built = page({"G1.+~F1.in": "20,10 20,30"}, pins)
    found = mismatches(twice, [built])
    assert found == ("of the wires between F1.in and G1.+ only some are drawn",)


def test_a_line_inside_a_box_is_no_wire(vehicle: Vehicle) -> None:
    drawn = page(altered("G1.+~F1.in", ""), extra='<polyline class="link" points="20,10 20,30"/>')
    told = said(vehicle, drawn)
    assert "drawn as one net, and no wires join them: F1.in, G1.+" not in told
    assert "wire G1.+~F1.in is on no page by its name" in told
    false = page(WIRES, extra='<polyline class="link" points="10,80 5,80 5,90 10,90"/>')
    assert "drawn as one net, and no wires join them: E1.1, E1.2" in said(vehicle, false)


def test_transforms_are_followed(vehicle: Vehicle) -> None:
    moved = page(
        altered("G1.+~F1.in", ""),
        extra='<g transform="translate(10 5) rotate(90)"><g transform="scale(2)">'
        '<polyline class="wire" data-wire="G1.+~F1.in" points="2.5,-5 12.5,-5"/></g></g>',
    )
    assert said(vehicle, moved) == ()


def test_a_size_that_is_not_in_mm_is_told() -> None:
    wrong = read_page('<svg xmlns="http://www.w3.org/2000/svg" width="210mm" height="297mm" viewBox="0 0 420 594"/>')
    assert wrong.faults == ("a unit is 0.5 x 0.5 mm on paper, not 1 mm",)
