"""Lines as tokens: what tablets type is read as meant, and every column is one of the line as it was typed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.text.load import load_text
from loombench.text.syntax import read_statements
from loombench.text.tokens import MARK, OPEN, STRING, WORD, plain, tokens
from loombench.text.write import write
from tests.text.circuits import LAMP, sound


def texts(line: str) -> list[str]:
    return [token.text for token in tokens(line)]


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("lamp E7 12V # a remark", ["lamp", "E7", "12V"]),
        ("A.1 (#214 1mm2 2m) B.2", ["A.1", "(", "#214", "1mm2", "2m", ")", "B.2"]),
        ("A.1 (BN 1mm2 # remark", ["A.1", "(", "BN", "1mm2"]),
        ("remove S4.2~E7.1#2", ["remove", "S4.2~E7.1#2"]),
        ("switch S4 off|on:1=2", ["switch", "S4", "off", "|", "on", ":", "1", "=", "2"]),
        ("trailer::E31.2 (?) SP1", ["trailer::E31.2", "(", "?", ")", "SP1"]),
        ("bar 30 from in : F8, F9", ["bar", "30", "from", "in", ":", "F8", "F9"]),
        ("lamp E7 “work lamp” 12 V", ["lamp", "E7", "work lamp", "12", "V"]),
        ("\u00a0lamp\u00a0E7\t0,75\u202fmm²", ["lamp", "E7", "0,75", "mm²"]),
        ("# all remark", []),
        ("", []),
    ],
)
def test_tokens_of_a_line(line: str, expected: list[str]) -> None:
    assert texts(line) == expected


def test_a_quote_that_does_not_end_is_the_last_token() -> None:
    last = tokens('lamp E7 "work lamp # no remark')[-1]
    assert (last.kind, last.text, last.column) == (OPEN, "work lamp # no remark", 9)


@given(st.text(max_size=60))
def test_any_line_gives_tokens_at_their_columns(line: str) -> None:
    before = 1
    for token in tokens(line):
        assert before <= token.column < token.end <= len(line) + 2
        before = token.end
        if token.kind in (WORD, MARK):
            assert plain(line)[token.column - 1 : token.end - 1] == token.text
        elif token.kind == STRING:
            assert line[token.column : token.end - 2] == token.text


@given(st.text(alphabet=st.sampled_from('loombench1 \n\t#"()|:=?.~/-,E7S4mVA“–²'), max_size=300))
def test_any_text_loads_without_raising(text: str) -> None:
    load_text(text)
    load_text("loombench 1\n" + text)


@given(st.text(max_size=300))
def test_any_text_gives_statements_in_order(text: str) -> None:
    numbers = [statement.line.number for statement in read_statements(text, "x").value]
    assert numbers == sorted(set(numbers))


def test_what_tablets_type_is_read_as_meant() -> None:
    typed = (
        LAMP.replace('"', "”").replace("12V 55W", "12 V 55 W").replace("1mm2 2m", "1,0 mm² 2,0 m").replace("\n", "\r\n")
    )
    typed = "\ufeff" + typed.replace("lamp E7", "lamp\u00a0E7").replace("G1.- (", "G1.– (")
    assert write(sound(typed)) == write(sound(LAMP))


def test_a_text_that_is_indented_as_a_whole_is_read_as_if_it_were_not() -> None:
    indented = "".join(f"    {line}\n" for line in LAMP.splitlines())
    assert write(sound(indented)) == write(sound(LAMP))
