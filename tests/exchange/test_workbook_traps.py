"""What spreadsheets do to wire lists: workbooks made in code, and what must become of each, written by hand."""

from collections.abc import Callable

import pytest

from loombench.exchange.harness import Harness
from loombench.exchange.report import Imported
from loombench.exchange.wirelist.layout import DAY_FIRST, MONTH_FIRST, Layout
from loombench.exchange.wirelist.read import read_wirelist
from tests.exchange.books import Cell, Covered, Merged, Number, Rows, ods, xlsx

HEADS = ["wire", "from", "pin", "to", "pin", "colour", "mm2", "length mm"]
PLAIN: Rows = [
    HEADS,
    ["1", "X1", "1", "X2", "1", "RD/YE", "0.5", "900"],
    ["2", "X1", Number("2"), "X2", Number("2"), "BK", Number("0.75"), Number("1250.5")],
]
MERGED: Rows = [
    ["Harness", "wire", "from", "pin", "to", "pin", "colour", "mm2"],
    [Merged("CAB", 3), "1", Merged("X1", 2), "1", "X2", "1", "BK", "0.5"],
    [Covered(), "2", Covered(), "2", "X2", "2", "RD", "0.5"],
    [Covered(), "3", "X3", "1", Merged("X4", 1, 2), Covered(), "RD", "0.5"],
]
JOINED = ["wire", "from", "to", "colour", "mm2"]
DAY: Cell = Number("45293", "d-mmm")  # what becomes of 1-2 where the month comes first: 2 January
Book = Callable[[dict[str, Rows]], bytes]


def inline(sheets: dict[str, Rows]) -> bytes:
    """With its texts in the cells."""
    return xlsx(sheets, inline=True)


def read(data: bytes, name: str = "list", layout: Layout = Layout()) -> tuple[Harness, Imported]:  # noqa: B008
    """The list, which must be read."""
    found = read_wirelist(data, name, layout)
    assert found.harness is not None, found.problems
    return found.harness, found


def ends(harness: Harness) -> list[list[str]]:
    """The ends of each wire as texts."""
    return [["open" if end.spot is None else str(end.spot) for end in wire.ends] for wire in harness.wires]


def codes(found: Imported) -> set[str]:
    """The codes of what was said."""
    return {code for code, _ in found.repairs}


@pytest.mark.parametrize("book", [xlsx, inline, ods])
def test_a_plain_list(book: Book) -> None:
    harness, _ = read(book({"Wires": PLAIN}))
    assert ends(harness) == [["X1.1", "X2.1"], ["X1.2", "X2.2"]]
    assert [(wire.number, wire.area_mm2, wire.length_m) for wire in harness.wires] == [
        ("1", 0.5, 0.9),
        ("2", 0.75, 1.2505),
    ]
    assert harness.wires[0].colour.parts == ("RD", "YE")


@pytest.mark.parametrize("book", [xlsx, ods])
def test_merged_cells_carry_down_and_not_aside(book: Book) -> None:
    harness, found = read(book({"Wires": MERGED}))
    assert [wire.loom for wire in harness.wires] == ["CAB"] * 3
    assert ends(harness)[:2] == [["X1.1", "X2.1"], ["X1.2", "X2.2"]]
    assert ends(harness)[2][0] == "X3.1"
    assert ends(harness)[2][1] not in ("X4.X4", "X4.2")
    assert "list-cavity-missing" in codes(found)


def test_a_pin_that_became_a_date_is_no_pin() -> None:
    data = xlsx({"Wires": [JOINED, ["1", DAY, "X12-3", "BK", "1.0"], ["2", "X1-4", "X12-4", "BK", "1.0"]]})
    harness, found = read(data)
    assert ends(harness) == [["open", "X12.3"], ["X1.4", "X12.4"]]
    assert "list-cell-altered" in codes(found)
    assert not [holder for holder in harness.holders if "2024" in holder.id]


@pytest.mark.parametrize(("dates", "pin"), [(DAY_FIRST, "2.1"), (MONTH_FIRST, "1.2")])
def test_how_dates_were_typed_can_be_said(dates: str, pin: str) -> None:
    data = xlsx({"Wires": [JOINED, ["1", DAY, "X12-3", "BK", "1.0"]]})
    assert ends(read(data, layout=Layout(dates=dates))[0]) == [[pin, "X12.3"]]


def test_a_pin_that_became_a_power_of_ten_is_no_pin() -> None:
    rows: Rows = [HEADS, ["1", "X1", Number("300", "0.00E+00"), "X2", "1", "BK", "1.0", ""]]
    harness, found = read(xlsx({"Wires": rows}))
    assert ends(harness)[0][1] == "X2.1"
    assert ends(harness)[0][0] not in ("X1.300", "X1.3E2")
    assert "list-cell-altered" in codes(found)


def test_a_pin_with_a_letter_stays_text() -> None:
    rows: Rows = [HEADS, ["10E4", "X1", "3E", "X2", "3S", "BK", "1.0", ""]]
    harness, _ = read(xlsx({"Wires": rows}))
    assert ends(harness) == [["X1.3E", "X2.3S"]]
    assert harness.wires[0].number == "10E4"


def test_leading_zeros_shown_by_a_format_are_kept() -> None:
    rows: Rows = [HEADS, [Number("12", "0000"), "X1", "01", "X2", "1", "BK", "1.0", ""]]
    harness, _ = read(xlsx({"Wires": rows}))
    assert harness.wires[0].number == "0012"
    assert ends(harness) == [["X1.01", "X2.1"]]


@pytest.mark.parametrize("book", [xlsx, ods])
def test_the_list_is_found_among_other_sheets(book: Book) -> None:
    sheets: dict[str, Rows] = {
        "Cover": [["Loom", "A"], ["Date", Number("45293", "yyyy-mm-dd")]],
        "Wires": PLAIN,
        "Connectors": [["connector", "description", "ways"], ["X1", "cab plug", "6"], ["X2", "frame socket", "6"]],
    }
    harness, found = read(book(sheets))
    assert len(harness.wires) == 2
    assert {holder.id: holder.description for holder in harness.holders} == {"X1": "cab plug", "X2": "frame socket"}
    assert "list-sheet-unused" in codes(found)
    assert all("[" in span.file for problem in found.problems for span in problem.spans)
