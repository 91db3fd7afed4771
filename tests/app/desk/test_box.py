"""One box: which vehicle is meant, what is wrong with it, and when that should work."""

from pathlib import Path

import pytest

from loombench.app.desk.asking import Asked
from loombench.app.desk.box import box_read, box_states
from loombench.app.desk.desk import Desk, DeskPlace
from loombench.app.desk.shelf import Shelved
from loombench.app.desk.whichvehicle import parted

EXAMPLES = Path(__file__).resolve().parents[3] / "examples"
SHELF = tuple(
    Shelved(name, called, Path(name))
    for name, called in (
        ("library-van", "Mobile library van"),
        ("library-saloon", "Mobile library, saloon lights"),
        ("telehandler-roof", "Telehandler, roof equipment"),
    )
)


@pytest.mark.parametrize(
    ("text", "vehicles", "rest"),
    [
        ("library van horn dead", ["library-van"], "horn dead"),
        ("Library-Van: horn dead", ["library-van"], "horn dead"),
        ("mobile library horn", ["library-van", "library-saloon"], "horn"),
        ("telehandlr E7 dead when S4=on", ["telehandler-roof"], "E7 dead when S4=on"),
        ("tele roof E7 dead", ["telehandler-roof"], "E7 dead"),
        ("horn dead on the library van", ["library-van"], "horn dead"),
        ("horn dead", ["library-van", "library-saloon", "telehandler-roof"], "horn dead"),
        ("library van", ["library-van"], ""),
        ("", ["library-van", "library-saloon", "telehandler-roof"], ""),
        ("the", ["library-van", "library-saloon", "telehandler-roof"], ""),
    ],
)
def test_the_vehicle_is_told_from_what_is_wrong(text: str, vehicles: list[str], rest: str) -> None:
    found, left = parted(text, SHELF)
    assert ([one.id for one in found], left) == (vehicles, rest)


def test_a_hostile_text_is_read_in_no_time_to_speak_of() -> None:
    found, left = parted("library " * 100_000 + "(" * 100_000, SHELF)
    assert [one.id for one in found] == ["library-van", "library-saloon"]
    assert len(left) <= 400


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Desk:
    return Desk(DeskPlace(EXAMPLES, tmp_path_factory.mktemp("store") / "jobs.sqlite"))


def test_a_complaint_is_understood(desk: Desk) -> None:
    read = box_read(desk, Asked(), "telehandler boom work lamps dead; after a repair")
    assert [one.id for one in read.vehicles] == ["telehandler-roof"]
    assert [(one.about, one.does) for one in read.meant] == [
        ("E7 (boom work lamp, left), E8 (boom work lamp, right)", "dead"),
        ("after a repair", ""),
    ]
    assert read.problems == ()
    states = box_states(desk, Asked(), "telehandler-roof", read.complaint)
    assert [(one.does, one.when) for one in states.meant] == [("dead", "S4=on")]
    assert states.problems == ()


def test_what_is_not_understood_is_said_with_what_could_be(desk: Desk) -> None:
    read = box_read(desk, Asked(), "boom work lmp dead", vehicle="telehandler-roof")
    assert read.meant == ()
    assert [one.code for one in read.problems] == ["function-unknown"]


def test_a_vehicle_alone_asks_what_is_wrong_and_none_asks_which(desk: Desk) -> None:
    alone = box_read(desk, Asked(), "telehandler")
    assert (len(alone.vehicles), alone.complaint, alone.meant) == (1, "", ())
    none = box_read(desk, Asked(), "horn dead")
    assert (len(none.vehicles), none.complaint, none.meant) == (8, "horn dead", ())
