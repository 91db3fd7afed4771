"""A sentence whose facts are not all known reads as one that never had them."""

import pytest

from loombench.app.spoken import kind_text, method_text, plain_setup, without_gaps
from loombench.base.wording import catalogue
from loombench.vehicle.condition import METERS, Condition, Setup
from loombench.vehicle.kinds import KINDS
from loombench.vehicle.points import Point

GERMAN = catalogue("de")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("Fuse F1 (, 60 A): renewed.", "Fuse F1 (60 A): renewed."),
        ("Renew F1 () by the same type.", "Renew F1 by the same type."),
        ("Wire A to B (BK, , 2 m, loom ): put right.", "Wire A to B (BK, 2 m, loom ): put right."),
        ("motor M8 (): renewed", "motor M8: renewed"), ("S4 (work lamps, ): cleaned", "S4 (work lamps): cleaned"),
        ("as it is (here, and there), too", "as it is (here, and there), too"),
    ],
)  # fmt: skip
def test_gaps_are_closed(text: str, said: str) -> None:
    assert without_gaps(text) == said


def test_every_kind_of_part_has_a_name() -> None:
    assert [kind_text(kind, catalogue()) for kind in KINDS] == list(KINDS)
    assert all(GERMAN.has(f"kind.{kind}") for kind in KINDS)
    assert (kind_text("module", GERMAN), kind_text("motor", GERMAN)) == ("Steuergerät", "Motor")


def test_every_meter_has_a_name() -> None:
    setups = [Setup(Condition(), Point("E7", "1"), Point("G1", "-"), meter) for meter in METERS]
    assert [plain_setup(one, catalogue()) for one in setups] == [str(one) for one in setups]
    assert plain_setup(setups[0], GERMAN) == "Voltmeter E7.1 gegen G1.-, at rest"


def test_how_it_was_done_begins_with_a_word_of_the_language() -> None:
    assert method_text("cleaned, bare metal", catalogue()) == "cleaned, bare metal"
    assert method_text("cleaned, blank gemacht", GERMAN) == "gereinigt, blank gemacht"
    assert method_text("mit Bürste", GERMAN) == "mit Bürste"
