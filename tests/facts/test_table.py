"""The table reader: what it gives, and what it refuses with file and line."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.facts.table import Kind, TableError, load_table, read_table, table_names
from loombench.facts.typical import typical, typical_values

GOOD = "size,ohm,kind,source,edition\n1,18.5,printed,a sheet,2011\n2,,from memory,a norm,not known\n"
TYPICAL_TABLES = [name for name in table_names() if {"name", "value", "low", "high"} <= set(load_table(name)[0].cells)]


def test_a_row_keeps_its_provenance_and_line() -> None:
    first, second = read_table(GOOD, "x.csv")
    assert (first.line, first.number("ohm"), first.provenance.kind) == (2, 18.5, Kind.PRINTED)
    assert first.provenance.checked
    assert not second.provenance.checked
    assert second.number_or_none("ohm") is None
    assert dict(second.cells) == {"size": "2", "ohm": ""}


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("size,source,edition\n1,a,b\n", 1, "no column kind"),
        ("size,kind,source\n1,printed,b\n", 1, "no column edition"),
        ("size,kind,source,edition\n1,printed,a,\n", 2, "edition is empty"),
        ("size,kind,source,edition\n1,printed,  ,b\n", 2, "source is empty"),
        ("size,kind,source,edition\n1,,a,b\n", 2, "kind is empty"),
        ("size,kind,source,edition\n1,printed,a,b\n2,guessed,a,b\n", 3, "kind is 'guessed'"),
        ("size,kind,source,edition\n1,printed,a\n", 2, "3 cells, expected 4"),
        ("size,kind,source,edition\n1,printed,a,b,c\n", 2, "5 cells, expected 4"),
        ("size,size,kind,source,edition\n1,1,printed,a,b\n", 1, "same name"),
        ("size,kind,source,edition\n", 1, "no rows"),
        ("", 1, "no rows"),
        ('size,kind,source,edition\n"1,printed,a,b\n', 2, "not CSV"),
    ],
)
def test_a_broken_table_is_refused_with_file_and_line(text: str, line: int, words: str) -> None:
    with pytest.raises(TableError) as caught:
        read_table(text, "broken.csv")
    assert str(caught.value).startswith(f"broken.csv, line {line}: ")
    assert words in str(caught.value)
    assert (caught.value.file, caught.value.line) == ("broken.csv", line)


@pytest.mark.parametrize("cell", ["", "abc", "nan", "inf", "1,5"])
def test_a_number_that_is_none_is_refused(cell: str) -> None:
    text = f'size,kind,source,edition\n"{cell}",printed,a,b\n'
    with pytest.raises(TableError, match=r"x\.csv, line 2: column 'size'"):
        read_table(text, "x.csv")[0].number("size")


def test_an_unknown_column_is_refused() -> None:
    with pytest.raises(TableError, match="no column 'width'; there are size, ohm"):
        read_table(GOOD, "x.csv")[0].text("width")


@given(st.text(max_size=200))
def test_any_text_gives_rows_or_a_table_error(text: str) -> None:
    try:
        rows = read_table(text, "x.csv")
    except TableError:
        rows = ()
    assert all(row.provenance.source and row.provenance.edition for row in rows)


def test_every_table_of_the_program_can_be_read() -> None:
    names = table_names()
    assert len(names) >= 36
    for name in names:
        for row in load_table(name):
            assert row.provenance.source.strip()
            assert row.provenance.edition.strip()


def test_a_value_from_memory_says_so_in_its_source() -> None:
    for name in table_names():
        for row in load_table(name):
            marked = "from memory" in row.provenance.source
            where = f"{name}.csv, line {row.line}"
            if row.provenance.kind is Kind.FROM_MEMORY:
                assert marked, where
            if row.provenance.kind is Kind.PRINTED:
                assert not marked, where
                assert "no source" not in row.provenance.source, where


def test_a_missing_table_is_not_found() -> None:
    with pytest.raises(FileNotFoundError):
        load_table("no_such_table")


@pytest.mark.parametrize("table", TYPICAL_TABLES)
def test_typical_values_lie_in_their_range(table: str) -> None:
    for entry in typical_values(table):
        assert entry.low <= entry.value <= entry.high
        assert typical(table, entry.name) is entry


def test_an_unknown_typical_value_names_the_known_ones() -> None:
    with pytest.raises(KeyError, match=r"contact\.csv has no 'weld'; there are crimp"):
        typical("contact", "weld")
