"""A vehicle is begun from a skeleton, in a folder of its own, and nothing that is there is touched."""

from pathlib import Path

import pytest

from loombench.app.starting import KINDS, LOOKS, SYSTEMS, VOLTS, Start, folder_name, start_vehicle, started_text
from loombench.app.vehicles import open_vehicle


@pytest.mark.parametrize("kind", KINDS)
def test_each_skeleton_takes_what_is_known_of_the_vehicle(kind: str, tmp_path: Path) -> None:
    made = start_vehicle(tmp_path, Start(kind, 'Loader "7"', "24V", "machine", "DIN"))
    assert made.value == tmp_path / "loader-7" / "vehicle.circuit"
    opened = open_vehicle(str(made.value))
    assert not opened.broken
    assert (opened.vehicle.name, opened.vehicle.nominal_v, opened.vehicle.form) == ("Loader '7'", 24.0, "machine")


def test_every_choice_is_one_the_notation_takes() -> None:
    for start in (
        *(Start("switch-and-lamp", volts=one) for one in VOLTS),
        *(Start("switch-and-lamp", form=one) for one in LOOKS),
        *(Start("switch-and-lamp", colours=one) for one in SYSTEMS),
    ):
        assert started_text(start).problems == ()


def test_a_vehicle_without_a_name_is_called_like_its_circuit(tmp_path: Path) -> None:
    made = start_vehicle(tmp_path, Start("relay-and-load"))
    assert made.value == tmp_path / "relay-and-load" / "vehicle.circuit"
    assert open_vehicle(str(made.value)).vehicle.name == "Relay and load"


def test_the_second_of_a_name_gets_a_folder_of_its_own(tmp_path: Path) -> None:
    first = start_vehicle(tmp_path, Start("trailer", "Box")).value
    second = start_vehicle(tmp_path, Start("reversing-motor", "Box")).value
    assert first is not None
    assert second == tmp_path / "box-2" / "vehicle.circuit"
    assert "Two change-over relays" not in first.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("start", "code"),
    [
        (Start("no-such"), "skeleton-unknown"),
        (Start("trailer", volts="12"), "word-unexpected"),
        (Start("trailer", colours="XX"), "colour-system-unknown"),
        (Start("trailer", volts="12V\nlamp E9 5W"), "word-unexpected"),
        (Start("trailer", colours="IEC\nlamp E9 5W"), "colour-system-unknown"),
    ],
)
def test_what_the_notation_does_not_take_is_said_and_nothing_written(start: Start, code: str, tmp_path: Path) -> None:
    made = start_vehicle(tmp_path, start)
    assert made.value is None
    assert code in {one.code for one in made.problems}
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("name", "folder"),
    [
        ("../../etc/passwd", "etc-passwd"), ("C:\\Temp", "c-temp"), ("a/b\0c", "a-b-c"), ("Müll 4", "m-ll-4"),
        ("...", "vehicle"), ("", "vehicle"), ("x" * 300, "x" * 60),
    ],
)  # fmt: skip
def test_no_name_leads_out_of_the_folder(name: str, folder: str, tmp_path: Path) -> None:
    assert folder_name(name) == folder
    made = start_vehicle(tmp_path, Start("switch-and-lamp", name)).value
    assert made is not None
    assert made.parent.parent == tmp_path


def test_a_folder_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    made = start_vehicle(tmp_path / "gone", Start("trailer"))
    assert [one.code for one in made.problems] == ["write-failed"]
