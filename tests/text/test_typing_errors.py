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
