"""Whether a stranger is led to the place and the cure: each of the slips alone, in a file of fifteen wires."""

import pytest

from loombench.app.checking import COMPLETENESS, check_vehicle
from loombench.app.vehicles import Opened
from loombench.base.problems import Level, Problem
from loombench.base.wording import catalogue
from loombench.text.load import load_text
from tests.text.typing_errors import SLIPS, TEXT

MAY_FOLLOW = {
    "name forgotten": {"part-unknown"},
    "terminal that a relay has not": {"pin-unknown"},
    "label without quotes": {"word-unexpected"},
}
"""Codes of messages that a slip brings with it further down, since a part it spoils is used there."""
READ_AS_MEANT = sorted(name for name, slip in SLIPS.items() if not slip.code)
SAID = sorted(name for name, slip in SLIPS.items() if slip.code)


def typed(name: str) -> str:
    slip = SLIPS[name]
    assert TEXT.count(slip.right) >= 1
    return TEXT.replace(slip.right, slip.wrong, 1)


def sentences(item: Problem) -> str:
    words = catalogue().problem(item.code, dict(item.facts))
    return f"{words['seen']} {words['expected']} {words['fix']}"


def place_of(name: str) -> int:
    """The line in which the slip is."""
    return TEXT.count("\n", 0, TEXT.index(SLIPS[name].right)) + 1


def test_there_are_enough_of_them() -> None:
    assert (len(load_text(TEXT).value.wires), load_text(TEXT).problems) == (15, ())
    assert len(SAID) >= 40


@pytest.mark.parametrize("name", SAID)
def test_the_message_leads_to_the_line_and_names_the_cure(name: str) -> None:
    slip = SLIPS[name]
    problems = load_text(typed(name)).problems
    said = [item for item in problems if item.code == slip.code and slip.cure in sentences(item)]
    assert said
    assert place_of(name) in {span.line for span in said[0].spans}
    assert {item.code for item in problems} - {slip.code} <= MAY_FOLLOW.get(name, set())


@pytest.mark.parametrize("name", sorted(set(SAID) - set(MAY_FOLLOW)))
def test_one_slip_gives_one_message(name: str) -> None:
    assert len(load_text(typed(name)).problems) == 1


@pytest.mark.parametrize("name", SAID)
def test_no_check_of_completeness_follows_from_a_line_that_was_lost(name: str) -> None:
    whole = load_text(TEXT)
    before = {item.code for item in check_vehicle(Opened(whole.value, (), {}))} & COMPLETENESS
    loaded = load_text(typed(name))
    after = {item.code for item in check_vehicle(Opened(loaded.value, loaded.problems, {}))} & COMPLETENESS
    assert after <= (before if any(item.level is Level.ERROR for item in loaded.problems) else COMPLETENESS)


@pytest.mark.parametrize("name", READ_AS_MEANT)
def test_what_can_be_read_in_one_way_only_is_read(name: str) -> None:
    read, meant = load_text(typed(name)), load_text(TEXT)
    assert read.problems == ()
    assert [wire.id for wire in read.value.wires] == [wire.id for wire in meant.value.wires]
    assert {part.id: part.params for part in read.value.parts.values()} == {
        part.id: part.params for part in meant.value.parts.values()
    }
    assert read.value.nominal_v == meant.value.nominal_v


MARGIN = (
    "module A2\nsupply X1/1\nground X1/10\nout X1/3 high-side\n",
    "fuse F8 30A\ncarrier B1\nbar 30 from in : F8\nF8.out = C/7\n",
    "switch S7 stalk\nwipe off | on: 1=2\n  wash off | on: W=15\n",
    "unit E31\n1-3 lamp 21W\ncam parked: 4=5 | away: 4=6\n1-7 motor 3A\n",
)


@pytest.mark.parametrize("text", MARGIN, ids=lambda text: text.split()[0])
def test_rows_at_the_margin_are_read_below_their_part_and_pointed_out(text: str) -> None:
    head = 'loombench 1\nvehicle "Margin" 12V\n'
    keyword = next(word for word in ("module", "carrier", "switch", "unit") if word in text)
    lines, first = text.splitlines(), next(i for i, row in enumerate(text.splitlines()) if row.startswith(keyword))
    indented = [row if i <= first or row.startswith(" ") else f"  {row}" for i, row in enumerate(lines)]
    typed, meant = load_text(head + text), load_text(head + "\n".join(indented))
    assert meant.problems == ()
    rows = [i + 3 for i, row in enumerate(lines) if i > first and not row.startswith(" ")]
    assert [(item.code, item.spans[0].line) for item in typed.problems] == [("indent-missing", row) for row in rows]
    assert {part.id: part.pins for part in typed.value.parts.values()} == {
        part.id: part.pins for part in meant.value.parts.values()
    }
    assert list(typed.value.controls) == list(meant.value.controls)


def test_a_connector_with_one_half_is_said_once_and_its_wires_stay() -> None:
    text = TEXT.replace("6way cab | tail", "6way cab").replace(
        "X12.3 (RD/WH 2.5mm2 2m)", "X12.3@tail (RD/WH 2.5mm2 2m)"
    )
    loaded = load_text(text)
    assert [item.code for item in loaded.problems] == ["connector-halves"]
    assert len(loaded.value.wires) == 15


def test_inches_are_not_read_into_a_cable() -> None:
    text = TEXT.replace("(YE 1.5mm2 0.8m)", "(YE 1.5mm2 0.8m in C4)").replace("loom cab\n", "cable C4\nloom cab\n")
    loaded = load_text(text)
    assert loaded.problems == ()
    assert loaded.value.wire_by_id["S5.2~M3.+"].cable == "C4"
