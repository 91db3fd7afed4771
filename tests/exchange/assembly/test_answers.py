"""The table of what lacks, written and read back, whatever a spreadsheet made of it."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.base.wording import catalogue
from loombench.exchange.answers import COLUMNS, read_answers, write_answers
from loombench.exchange.missing import WHAT, Answer, Answers, Lack

HEAD = "what,id,answer\n"


def test_what_is_written_reads_back() -> None:
    lacks = (Lack("device", "E12", "1 30-F1; 2 31", "Work, lamp", "lamp ?W", "", "word",
                  (("word", "lamp"), ("kind", "lamp"))), Lack("ring", "=G5"))  # fmt: skip
    taken = {("device", "E12"): Answer('unit 1-2 lamp 5W "a"', "1=+", "rear", "tail")}
    text = write_answers(lacks, taken, catalogue())
    assert next(csv.reader(io.StringIO(text))) == list(COLUMNS)
    assert "'=G5" in text
    found = read_answers(text, "missing.csv")
    assert found.problems == ()
    one = found.value["device", "E12"]
    assert (one.text, one.pins, one.place, one.label) == ('unit 1-2 lamp 5W "a"', "1=+", "rear", "tail")
    assert one.span is not None
    assert (one.span.file, one.span.line) == ("missing.csv", 2)
    assert found.value["ring", "=G5"].text == ""


@pytest.mark.parametrize(
    "text",
    [
        "what,id,answer\ndevice,E12,lamp 55W\n",
        "\ufeffwhat;id;answer\r\ndevice;E12;lamp 55W\r\n",
        "sep=;\nwhat;id;answer\ndevice;E12;lamp 55W\n",
        "What\tID\tanswer\tother\nDevice\tE12\t lamp   55W \tx\n\n",
        'id,answer,what\n"E12","lamp\n55W",device\n',
    ],
)
def test_the_forms_a_spreadsheet_gives_it(text: str) -> None:
    found = read_answers(text, "m.csv")
    assert found.problems == ()
    assert {key: one.text for key, one in found.value.items()} == {("device", "E12"): "lamp 55W"}


@pytest.mark.parametrize(
    ("text", "codes"),
    [
        ("", ["answers-unread"]),
        ("what,id\ndevice,E1\n", ["answers-unread"]),
        (f"{HEAD}nonsense,E1,lamp\n", ["answer-for-nothing"]),
        (f"{HEAD}device,E1,lamp\ndevice,E1,horn\n", ["answer-twice"]),
        (f"{HEAD}device\n", ["answer-for-nothing"]),
        (HEAD + '"' + "x" * 200_000 + '"\n', ["answers-unread"]),
    ],
    ids=range(6),
)
def test_what_is_wrong_with_a_table(text: str, codes: list[str]) -> None:
    assert [one.code for one in read_answers(text, "m.csv").problems] == codes


def test_what_answers_a_row() -> None:
    lack = Lack("device", "E1", proposal="lamp ?W", proposed_pins="1=+", place="rear", label="tail")
    bare = Lack("device", "E2")

    def to(text: str, accept: bool = False, row: Lack = lack) -> str | None:
        answer = Answers({row.key: Answer(text)}, accept).to(row)
        return None if answer is None else answer.text

    assert to("horn 5A") == to("horn 5A", accept=True) == "horn 5A"
    assert to("") is None
    assert to("", accept=True) == to("YES") == to("x") == "lamp ?W"
    assert to("no", accept=True) is None
    assert to("yes", row=bare) is None
    assert Answers(accept=True).to(bare) is None
    taken = Answers(accept=True).to(lack)
    assert taken == Answer("lamp ?W", "1=+", "rear", "tail", None, True)


@given(st.text(max_size=200))
def test_no_text_raises(text: str) -> None:
    read_answers(text, "m.csv")
    read_answers(HEAD + text, "m.csv")


@given(st.lists(st.tuples(st.sampled_from(WHAT), st.text(max_size=20), st.text(max_size=40)), max_size=6))
def test_any_cells_come_back(rows: list[tuple[str, str, str]]) -> None:
    lacks = {(what, " ".join(name.split())): Answer(" ".join(text.split())) for what, name, text in rows}
    text = write_answers([Lack(what, name) for what, name in lacks], lacks, catalogue())
    found = read_answers(text, "m.csv").value
    assert {key: one.text for key, one in found.items()} == {key: one.text for key, one in lacks.items()}
