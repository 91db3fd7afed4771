"""A vehicle's text under way: places of what is wrong, what the cursor is on, and saving without losing anything."""

from pathlib import Path

import pytest

from loombench.app.drawing import Drawings
from loombench.app.notation import draft_of, files_of, functions_at, names_in, places_in, save_file
from loombench.app.vehicles import open_vehicle
from loombench.base.problems import Span
from loombench.text.save import fingerprint

MAIN = """loombench 1
vehicle "Two lamps" 12V
body chassis
stud W1 on chassis
battery G1 70Ah
switch S1 off | on: 1=2 "work lamp"
lamp E1 12V 21W "work lamp"
include "more/rear.circuit"

G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 1mm2 1m) S1.1
S1.2 (GY 1mm2 1m) E1 (BN 1mm2 1m) W1/b
"""
REAR = """loombench 1
switch S2 off | on: 1=2
lamp E2 12V 5W "rear lamp"
G1.+ (RD 1mm2 1m) S2.1
S2.2 (GN 1mm2 1m) E2 (BN 1mm2 1m) W1/c
"""


@pytest.fixture
def main(tmp_path: Path) -> Path:
    (tmp_path / "bench/two/more").mkdir(parents=True)
    (tmp_path / "bench/two/vehicle.circuit").write_text(MAIN, encoding="utf-8")
    (tmp_path / "bench/two/more/rear.circuit").write_text(REAR, encoding="utf-8")
    (tmp_path / "secret.circuit").write_text("kept", encoding="utf-8")
    return tmp_path / "bench/two/vehicle.circuit"


def save(main: Path, name: str, text: str, seen: str) -> tuple[str | None, list[str]]:
    """The fingerprint on disk after it, and the codes of what was wrong."""
    done = save_file(main.parents[1], open_vehicle(str(main)), main, name, text, seen)
    return done.value.seen if done.value else None, [one.code for one in done.problems]


def test_the_files_are_those_of_the_vehicle_and_what_it_asks_for(main: Path) -> None:
    main.write_text(MAIN + 'include "new.circuit"\ninclude "../../secret.circuit"\n', encoding="utf-8")
    files = files_of(open_vehicle(str(main)), main)
    assert [one.name for one in files] == ["vehicle.circuit", "more/rear.circuit", "new.circuit"]
    assert [bool(one.seen) for one in files] == [True, True, False]
    assert files[1].text == REAR


def test_a_draft_counts_before_what_is_on_disk(main: Path) -> None:
    assert not draft_of(main, {}).problems
    draft = {"more/rear.circuit": REAR.replace("12V 5W", "12V 5X")}
    (problem,) = draft_of(main, draft).problems
    assert problem.code == "number-unit"
    (place,) = places_in(draft["more/rear.circuit"], problem.spans)
    assert place.file == "more/rear.circuit"
    assert draft["more/rear.circuit"][place.start : place.end] == "5X"


@pytest.mark.parametrize(
    ("span", "shown"),
    [
        (Span("f", 2, 6, 8), "E7"), (Span("f", 1, 1, 4), "a🚜c"), (Span("f", 3, 1, 1), "g"), (Span("f", 2, 90, 99), ""),
        (Span("f", 99, 1, 5), "g"), (Span("f", 0, 0, 0), ""),
    ],
)  # fmt: skip
def test_a_place_is_counted_in_characters_and_stays_within_the_text(span: Span, shown: str) -> None:
    text = "a🚜c\r\nlamp E7\ng"
    (place,) = places_in(text, (span,))
    assert 0 <= place.start <= place.end <= len(text)
    assert text[place.start : place.end].strip() == shown


def test_an_empty_text_has_places_too() -> None:
    (place,) = places_in("", (Span("f", 1, 1, 1),))
    assert (place.start, place.end) == (0, 0)


def test_the_cursor_s_line_tells_the_function(main: Path) -> None:
    vehicle = draft_of(main, {}).value
    functions = Drawings(vehicle).functions
    for line, key in ((7, "E1"), (12, "E1"), (8, "E1")):
        assert functions_at(vehicle, functions, "vehicle.circuit", line)[0].key == key
    for line in (2, 5):
        assert functions_at(vehicle, functions, "more/rear.circuit", line)[0].key == "E2"
    assert functions_at(vehicle, functions, "vehicle.circuit", 1) == ()
    assert {one.key for one in functions_at(vehicle, functions, "vehicle.circuit", 5)} >= {"E1", "E2"}


def test_names_are_those_a_line_can_use(main: Path) -> None:
    assert {"G1", "G1.+", "E1", "S2.1", "W1", "chassis"} <= set(names_in(draft_of(main, {}).value))


def test_saving_needs_the_text_that_was_shown(main: Path) -> None:
    seen = fingerprint(MAIN)
    mine = MAIN.replace("21W", "55W")
    assert save(main, "vehicle.circuit", mine, seen) == (fingerprint(mine), [])
    assert main.read_text(encoding="utf-8") == mine
    theirs = save_file(main.parents[1], open_vehicle(str(main)), main, "vehicle.circuit", MAIN, seen)
    assert [one.code for one in theirs.problems] == ["file-changed"]
    assert theirs.value is not None
    assert (theirs.value.theirs, theirs.value.seen) == (mine, fingerprint(mine))
    assert main.read_text(encoding="utf-8") == mine
    assert str(main.parent) not in repr(theirs.problems)


def test_a_file_that_is_asked_for_is_made(main: Path) -> None:
    main.write_text(MAIN + 'include "far/away/new.circuit"\n', encoding="utf-8")
    seen, wrong = save(main, "far/away/new.circuit", "loombench 1\nlamp E9 5W\n", "")
    assert (seen is not None, wrong) == (True, [])
    assert "E9" in open_vehicle(str(main)).vehicle.parts


@pytest.mark.parametrize(
    "name", ["../../../secret.circuit", "/etc/hostname", "other.circuit", "..\\x.circuit", "more/../../x.circuit", ""]
)
def test_nothing_is_written_anywhere_else(main: Path, name: str) -> None:
    before = {path: path.read_bytes() for path in main.parents[2].rglob("*") if path.is_file()}
    assert save(main, name, "taken over", "") == (None, ["notation-no-file"])
    assert {path: path.read_bytes() for path in main.parents[2].rglob("*") if path.is_file()} == before


def test_a_link_that_leads_out_is_not_followed(main: Path) -> None:
    (main.parent / "more/rear.circuit").unlink()
    (main.parent / "more/rear.circuit").symlink_to(main.parents[2] / "secret.circuit")
    assert save(main, "more/rear.circuit", "taken over", fingerprint("kept"))[1] == ["notation-no-file"]
    assert (main.parents[2] / "secret.circuit").read_text(encoding="utf-8") == "kept"


def test_line_ends_and_all_other_lines_stay_as_they_were(main: Path) -> None:
    main.write_bytes(MAIN.replace("\n", "\r\n").encode())
    seen = fingerprint(main.read_bytes().decode())
    mine = MAIN.replace("21W", "55W")
    assert save(main, "vehicle.circuit", mine, seen)[1] == []
    assert main.read_bytes() == mine.replace("\n", "\r\n").encode()
