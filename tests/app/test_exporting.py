"""Giving a vehicle out: the files, what is kept beside them, what is told as lost, and that nothing is written over."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from loombench.app.exporting import SUFFIXES, Exported, export, export_json, export_lines, write_export
from loombench.base.wording import catalogue
from loombench.exchange.lost import NOT_HELD
from loombench.text.load import load_sources, load_text
from loombench.text.names import read_condition
from loombench.vehicle.model import Vehicle
from tests.exchange.out.vehicles import example, small


def exported(vehicle: Vehicle, file_format: str, name: str = "van.x") -> Exported:
    """The export of a vehicle, which must be one."""
    made = export(vehicle, file_format, name)
    assert made.value is not None
    return made.value


@pytest.mark.parametrize("file_format", SUFFIXES)
def test_each_format_gives_its_file_and_says_what_it_does_not_hold(file_format: str, tmp_path: Path) -> None:
    made = exported(small(), file_format)
    done = write_export(made, tmp_path)
    assert done.problems == ()
    assert (tmp_path / "van.x").read_bytes().decode("utf-8") == made.files["van.x"]
    lines = export_lines(small(), made, done.value)
    assert lines[0].startswith(str(tmp_path / "van.x"))
    told = "\n".join(lines)
    for loss in made.losses:
        assert catalogue().say(f"export.what.{loss.kind}") in told
        assert loss.names[0] in told
    assert {one["kind"] for one in export_json(small(), made, done.value)["losses"]} == {  # type: ignore[attr-defined]
        loss.kind for loss in made.losses
    }


def test_every_kind_of_loss_has_its_words_and_only_those_that_are_used() -> None:
    said = {key.removeprefix("export.what.") for key in catalogue().sentences if key.startswith("export.what.")}
    assert said == {kind for kinds in NOT_HELD.values() for kind in kinds}
    assert set(NOT_HELD) == set(SUFFIXES)


def test_what_is_lost_is_told_by_name() -> None:
    losses = {loss.kind: loss.names for loss in exported(small(), "vec").losses}
    assert losses["behaviour"] == ("G1", "S4", "E7", "A2")
    assert losses["relays"] == ("K4",)
    assert losses["ratings"] == ("F1", "F13")
    assert losses["ranges"] == ("S4.2~W1",)
    assert losses["passes"] == ("B1.C/7~SP1",)
    assert losses["twists"] == losses["shields"] == ("C4",)
    assert losses["signs"] == ("G1",)
    assert losses["gauges"] == ("B1.C/7~SP1",)
    assert "unwired" not in losses
    assert losses["studs"] == ("W9", "W1", "W2")
    assert losses["places"] == ("box", "pivot")
    assert "classes" not in losses
    text = 'loombench 1\nvehicle "M" 12V\noption bar "a tow bar"\nbody chassis\nstud W1 on chassis\ncable C1\n'
    bare = {loss.kind: loss.names for loss in exported(load_text(text, "m.circuit", {}.get).value, "kbl").losses}
    assert bare == {"unwired": ("chassis", "W1", "C1"), "options": ("bar",)}
    marked = load_text('loombench 1\nvehicle "M" 12V\nlamp E7 55W class pyro\n', "m.circuit", {}.get).value
    assert next(loss for loss in exported(marked, "kbl").losses if loss.kind == "classes").names == ("E7",)
    assert [loss for loss in exported(small(), "spice").losses if loss.kind == "numbers"]


@pytest.mark.parametrize("name", ["library-van/vehicle.circuit", "telehandler-roof/vehicle.circuit"])
def test_the_folder_of_parts_holds_every_part_as_it_was(name: str, tmp_path: Path) -> None:
    vehicle = example(name)
    made = exported(vehicle, "kbl")
    assert write_export(made, tmp_path).problems == ()
    loaded = load_sources(tmp_path / made.folder).outcome
    assert loaded.usable
    assert list(loaded.value.parts) == list(vehicle.parts)
    for part in vehicle.parts.values():
        other = loaded.value.parts[part.id]
        plain = [replace(one, span=None, pins=() if one.kind == "stud" else one.pins, elements=(), module=None,
                         class_marks=()) for one in (part, other)]  # fmt: skip
        assert plain[0] == plain[1]
        assert [(one.kind, one.pins, dict(one.params)) for one in part.elements] == [
            (one.kind, one.pins, dict(one.params)) for one in other.elements
        ]
        assert sorted(part.class_marks) == sorted(other.class_marks)


def test_nothing_is_written_over_and_then_nothing_is_written(tmp_path: Path) -> None:
    made = exported(small(), "wires", "van.csv")
    assert {"van.csv", "van-fuses.csv", "van.parts/vehicle.circuit"} <= set(made.files)
    (tmp_path / "van-fuses.csv").write_text("mine", encoding="utf-8")
    done = write_export(made, tmp_path)
    assert [one.code for one in done.problems] == ["export-exists"]
    assert [path.name for path in tmp_path.iterdir()] == ["van-fuses.csv"]
    assert (tmp_path / "van-fuses.csv").read_text(encoding="utf-8") == "mine"


def test_a_state_with_a_rhythm_is_written_a_phase_at_a_time() -> None:
    vehicle = example("flatbed-indicators/vehicle.circuit")
    condition = read_condition(vehicle, ("S1=run", "S10=left"))
    assert condition.problems == ()
    sheets = [export(vehicle, "spice", "x.cir", condition.value, phase=phase).value for phase in (0, 1, 2)]
    texts = [sheet.files["x.cir"] for sheet in sheets if sheet is not None]
    assert len(texts) == 3
    assert texts[0] == texts[1] != texts[2]
    assert re.match(r"\* The state has a rhythm of \d phases; the sheet is of phase 1", texts[0].splitlines()[1])


def test_the_head_of_a_sheet_cannot_be_more_than_a_comment() -> None:
    vehicle = replace(example("cases/1-blower.circuit"), name="a\n.include /etc/passwd\n*")
    sheet = exported(vehicle, "spice").files["van.x"]
    assert not [line for line in sheet.splitlines() if line.lower().startswith(".include")]
