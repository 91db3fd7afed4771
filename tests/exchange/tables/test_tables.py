"""Tables of every format as rows of text: what was written is what is read; what a spreadsheet altered is marked."""

import codecs
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.base.wording import catalogue
from loombench.exchange.report import Notes
from loombench.exchange.tables.model import DATE, EXPONENT, NUMBER, TABLE_LIMITS, Sheet, TableLimits
from loombench.exchange.tables.read import read_tables
from tests.exchange.tables.build import DAY_MONTH, FULL_DATE, POWER, THREE_ZEROS, ods, ods_row, packed, xlsx


def read(data: bytes, limits: TableLimits = TABLE_LIMITS) -> tuple[tuple[Sheet, ...], Notes]:
    notes = Notes()
    return read_tables(data, "list.csv", notes, limits=limits), notes


def cells(data: bytes) -> list[tuple[str, ...]]:
    sheets, notes = read(data)
    assert not notes.problems
    return [row.cells for row in sheets[0].rows]


@pytest.mark.parametrize(
    ("text", "rows"),
    [
        ("a,b,c\n1-2,10E4,007\n", [("a", "b", "c"), ("1-2", "10E4", "007")]),
        ("a;b;c\n0,5;1,5;x,y\n", [("a", "b", "c"), ("0,5", "1,5", "x,y")]),
        ("a\tb\r\n1\t2\r\n", [("a", "b"), ("1", "2")]),
        ("a|b\r1|2\r", [("a", "b"), ("1", "2")]),
        ("sep=;\na;b\n1;2\n", [("a", "b"), ("1", "2")]),
        ('a;b\n"1;2";"say ""x"""\n', [("a", "b"), ("1;2", 'say "x"')]),
        ("\n\n a , b \n,,\n1,2\n", [("a", "b"), ("1", "2")]),
        ("one\ntwo\n", [("one",), ("two",)]),
    ],
)
def test_text_is_parted_into_its_cells(text: str, rows: list[tuple[str, ...]]) -> None:
    assert cells(text.encode()) == rows


@pytest.mark.parametrize(
    "data",
    [
        "Länge;µ\n1;2\n".encode(),
        codecs.BOM_UTF8 + "Länge;µ\n1;2\n".encode(),
        codecs.BOM_UTF16_LE + "Länge;µ\n1;2\n".encode("utf-16-le"),
        codecs.BOM_UTF16_BE + "Länge;µ\n1;2\n".encode("utf-16-be"),
        "Länge;µ\n1;2\n".encode("utf-16-le"),
    ],
)
def test_encodings_are_found(data: bytes) -> None:
    assert cells(data) == [("Länge", "µ"), ("1", "2")]


def test_windows_1252_is_taken_and_said() -> None:
    sheets, notes = read("Nr;Länge\n1;2\n".encode("cp1252"))
    assert sheets[0].rows[0].cells == ("Nr", "Länge")
    assert [(one.code, one.spans[0].line) for one in notes.problems] == [("table-encoding", 1)]


def test_a_file_cut_within_a_letter_is_said() -> None:
    sheets, notes = read("a;b\n1;Länge ü".encode()[:-1])
    assert sheets[0].rows[1].cells == ("1", "Länge")
    assert [one.code for one in notes.problems] == ["table-cut"]


def test_a_quote_that_does_not_close_costs_one_line() -> None:
    sheets, notes = read(b'a,b\n"12" long,2\n"3,x",4\n"5,6\n')
    assert [row.cells for row in sheets[0].rows] == [("a", "b"), ('12" long', "2"), ("3,x", "4"), ("5", "6")]
    assert {one.spans[0].line for one in notes.problems} == {2, 4}


def test_the_place_of_a_cell_in_text() -> None:
    sheets, _ = read(b'a;b;c\n"x;y";zz;3\n')
    row = sheets[0].rows[1]
    span = sheets[0].where(row, 1)
    assert (span.line, span.column, span.end_column) == (2, 7, 9)
    assert (sheets[0].where(row, 9).line, sheets[0].where(row).column) == (2, 1)


def test_rows_know_their_line_behind_a_line_break_in_a_cell() -> None:
    sheets, _ = read(b'a,b\n"x\ny",2\n3,4\n')
    assert [(row.line, row.cells) for row in sheets[0].rows] == [(1, ("a", "b")), (2, ("x y", "2")), (4, ("3", "4"))]


def test_a_workbook_gives_its_texts_unaltered() -> None:
    sheets, notes = read(xlsx({"Wires": [["Wire", "Pin"], ["007", "1-2"], ["10E4", "3E"]], "Fuses": [["F1", 10.0]]}))
    assert not notes.problems
    assert [sheet.name for sheet in sheets] == ["Wires", "Fuses"]
    assert [row.cells for row in sheets[0].rows] == [("Wire", "Pin"), ("007", "1-2"), ("10E4", "3E")]
    assert sheets[1].rows[0].cells == ("F1", "10")
    assert sheets[0].where(sheets[0].rows[1], 1).file == "list.csv[Wires]"


def test_what_a_spreadsheet_altered_is_marked() -> None:
    """Serial 46024 is 2 January 2026, by counting from 30 December 1899."""
    sheets, _ = read(
        xlsx({"S": [[(46024.0, DAY_MONTH), (46024.0, FULL_DATE), (100000.0, POWER), (7.0, THREE_ZEROS), 0.35, 12.0]]})
    )
    row = sheets[0].rows[0]
    assert row.cells == ("2026-01-02", "2026-01-02", "100000", "007", "0.35", "12")
    assert dict(row.kinds) == {0: DATE, 1: DATE, 2: EXPONENT, 4: NUMBER, 5: NUMBER}


def test_merged_cells_are_carried_down_and_not_across() -> None:
    sheets, _ = read(xlsx({"S": [["X1", "1"], ["", "2"], ["", "3"], ["X2", ""]]}, merged=["A1:A3", "A4:B4"]))
    assert [row.cells for row in sheets[0].rows] == [("X1", "1"), ("X1", "2"), ("X1", "3"), ("X2",)]


def test_what_is_left_out_is_said() -> None:
    wide = b"a,b\n" + b"1," * 600 + b"2\n"
    cell = '<row r="-5"><c r="ZZZ1"><v>1</v></c><c r="" s="99999999"><v>1e999</v></c><c r="A0"><v>nan</v></c></row>'
    lost = '<row><c t="s"><v>999999999999</v></c><c t="s"><v>-1</v></c><c t="s"><v>x</v></c></row>'
    book = packed(
        {
            "xl/workbook.xml": '<workbook><sheets><sheet name="S" r:id="a" xmlns:r="r"/></sheets></workbook>',
            "xl/_rels/workbook.xml.rels": '<R><Relationship Id="a" Type="t/worksheet" Target="s.xml"/></R>',
            "xl/s.xml": f"<worksheet><sheetData>{cell}{lost}</sheetData></worksheet>",
        }
    )
    for data, many in ((wide, 1), (book, 5)):
        sheets, notes = read(data)
        assert sheets
        assert [one.code for one in notes.problems] == ["table-left-out"] * many


def test_a_spreadsheet_document_is_read_as_shown() -> None:
    rows = (
        ods_row("Wire", "1-2")
        + '<table:table-row><table:table-cell office:value-type="float" office:value="7"><text:p>007</text:p>'
        '</table:table-cell><table:table-cell office:value-type="date" office:date-value="2026-01-02">'
        "<text:p>02. Jan</text:p></table:table-cell><table:table-cell><text:p>a<text:span>b</text:span><text:s/>c"
        "</text:p><office:annotation><text:p>not this</text:p></office:annotation></table:table-cell></table:table-row>"
        '<table:table-row table:number-rows-repeated="1000000"><table:table-cell/></table:table-row>'
        + '<table:table-row><table:table-cell table:number-rows-spanned="2"><text:p>X1</text:p></table:table-cell>'
        '<table:table-cell table:number-columns-repeated="2"><text:p>q</text:p></table:table-cell></table:table-row>'
        "<table:table-row><table:covered-table-cell/><table:table-cell><text:p>r</text:p></table:table-cell>"
        "</table:table-row>"
    )
    sheets, notes = read(ods({"Wires": rows}))
    assert not notes.problems
    assert [(row.line, row.cells) for row in sheets[0].rows] == [
        (1, ("Wire", "1-2")),
        (2, ("007", "2026-01-02", "ab c")),
        (1_000_003, ("X1", "q", "q")),
        (1_000_004, ("X1", "r")),
    ]
    assert dict(sheets[0].rows[1].kinds) == {1: DATE}


REPEATED = (
    '<table:table-row table:number-rows-repeated="900000000"><table:table-cell><text:p>x</text:p></table:table-cell>'
    "</table:table-row>"
)


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "table-unreadable"),
        (b"\x00\x01\x02\x03" * 400, "table-unreadable"),
        (b"<html><table><tr><td>1</table>", "table-unreadable"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(500), "table-unreadable"),
        (b"PK\x03\x04" + bytes(50), "table-unreadable"),
        (packed({"a.txt": "x"}), "table-unreadable"),
        (xlsx({"S": [["a"]]})[:-300], "table-unreadable"),
        (packed({"content.xml": "<a><b></a>"}), "xml-broken"),
        (packed({"content.xml": "<!DOCTYPE a [<!ENTITY x 'y'>]><a>&x;</a>"}), "xml-doctype"),
        (ods({"S": REPEATED}), "table-limit"),
    ],
)
def test_what_is_no_sound_table_is_refused(data: bytes, code: str) -> None:
    sheets, notes = read(data)
    assert sheets == ()
    assert [one.code for one in notes.problems] == [code]


def test_a_part_that_would_unpack_beyond_the_limit_is_not_unpacked() -> None:
    bomb = packed({"content.xml": b"<a>" + b" " * 3_000_000 + b"</a>"})
    assert len(bomb) < 10_000
    sheets, notes = read(bomb, replace(TABLE_LIMITS, largest_part=1_000_000))
    assert sheets == ()
    (refused,) = notes.problems
    assert "3000007 bytes" in catalogue().problem(refused.code, dict(refused.facts))["seen"]


@pytest.mark.parametrize(
    "limits",
    [replace(TABLE_LIMITS, most_cells=10), replace(TABLE_LIMITS, most_rows=3), replace(TABLE_LIMITS, largest_file=50)],
)
def test_too_much_is_refused_in_text_and_workbooks(limits: TableLimits) -> None:
    rows = [[f"{line}.{column}" for column in range(4)] for line in range(6)]
    text = "\n".join(",".join(row) for row in rows).encode()
    for data in (text, xlsx({"S": rows})):
        sheets, notes = read(data, limits)
        assert sheets == ()
        assert notes.problems[0].code in ("table-limit", "table-unreadable")


def test_a_million_merged_cells_stay_within_the_limit() -> None:
    data = xlsx({"S": [["a"], ["b"], ["c"]]}, merged=["A1:ZZ1048576"] * 5_000)
    sheets, _ = read(data, replace(TABLE_LIMITS, most_cells=10_000))
    assert len(sheets[0].rows) == 3


def test_control_marks_and_absurd_lengths_are_cut() -> None:
    sheets, _ = read(b"a,b\n\x1b[31mX1," + b"y" * 5_000 + b"\n")
    assert sheets[0].rows[1].cells == ("[31mX1", "y" * 2_000)


@given(st.binary(max_size=200))
def test_no_bytes_raise(data: bytes) -> None:
    sheets, notes = read(data)
    assert sheets or notes.problems


@given(st.lists(st.lists(st.text("ab1,;\"' \t\n-", max_size=6), min_size=1, max_size=5), min_size=1, max_size=8))
def test_no_text_raises_and_lines_rise(rows: list[list[str]]) -> None:
    sheets, _ = read("\n".join(";".join(row) for row in rows).encode())
    for sheet in sheets:
        lines = [row.line for row in sheet.rows]
        assert lines == sorted(set(lines))
