"""`docs/notation.md`: every example on it is loaded, and it says all kinds, statements and words there are."""

import re

import pytest

from loombench.text.dispatch import STATEMENTS
from loombench.text.limits import LIMITS
from loombench.text.load import load_text
from loombench.text.names import read_condition
from loombench.text.statements.head import SURROUNDINGS
from loombench.vehicle.kinds import KINDS, NET_CLASSES
from tests.text.circuits import ROOT

PAGE = (ROOT / "docs" / "notation.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```(circuit|lines)\n(.*?)^```$", PAGE, re.S | re.M)
ROWS = re.findall(r"^\| (?P<kind>[a-z][a-z-]*) \| (?P<written>.*?) \| (?P<pins>[^|]*) \|$", PAGE, re.M)
HEAD = 'loombench 1\nvehicle "Example" 12V\n'


def whole(kind: str, text: str) -> str:
    return text if kind == "circuit" else HEAD + text


@pytest.mark.parametrize("block", BLOCKS, ids=lambda block: block[1].split("\n")[2][:30])
def test_an_example_loads_without_a_problem(block: tuple[str, str]) -> None:
    outcome = load_text(whole(*block), options=("tow-bar",) if "tow-bar" in block[1] else ())
    assert outcome.problems == ()


def test_there_are_examples() -> None:
    assert len(BLOCKS) >= 13


def test_each_kind_has_its_row() -> None:
    rows = [kind for kind, _, _ in ROWS if kind != "kind"]
    assert sorted(rows) == sorted(KINDS)


@pytest.mark.parametrize(("kind", "written", "pins"), [row for row in ROWS if row[0] != "kind"])
def test_what_a_row_shows_loads_to_the_pins_it_says(kind: str, written: str, pins: str) -> None:
    shown = [code.replace("\\|", "|") for code in re.findall(r"`([^`]+)`", written) if code.split()[0] == kind]
    assert shown
    bodies = "".join(f"body {name}\n" for name in ("chassis", "boom") if kind != "body")
    said = [re.findall(r"`([^`]+)`", group) for group in pins.split(";")]
    for index, line in enumerate(shown):
        part = load_text(f"{HEAD}{bodies}{line}\n").value.parts[line.split()[1]]
        assert part.kind == kind
        if said[min(index, len(said) - 1)] and kind not in ("connector", "carrier"):
            assert list(part.pins) == said[min(index, len(said) - 1)]


def test_the_page_names_every_statement_and_word() -> None:
    words = set(re.findall(r"[\w-]+", PAGE))
    assert set(STATEMENTS) <= words
    assert set(SURROUNDINGS) | set(NET_CLASSES) <= words
    assert {word for spec in KINDS.values() for word in spec.words} <= words


def test_the_limits_are_those_that_hold() -> None:
    limits = PAGE.split("## 9 Limits")[1]
    numbers = [int(text.replace(",", "")) for text in re.findall(r"\d[\d,]*", limits)]
    assert numbers == [
        LIMITS.longest_line, LIMITS.largest_file // 10**6, LIMITS.most_statements, LIMITS.most_files,
        LIMITS.include_depth, LIMITS.most_rows, LIMITS.most_pins, LIMITS.most_ways, LIMITS.deepest,
    ]  # fmt: skip


def test_the_operations_of_section_7_are_understood() -> None:
    text = PAGE.split("in order:")[1].split(".\n\n")[0]
    operations = re.findall(r"`([^`]+)`", text)
    assert len(operations) == 11
    vehicle = load_text(
        HEAD + "switch S4 off | on: 1=2\nswitch S1 key off | run: 1=2\nswitch S7\n  wipe off | int: 1=2\n"
        "connector X12 2way a | b\nfuse F12 5A\nsocket X50 ISO1724\n"
    ).value
    assert read_condition(vehicle, operations).problems == ()
