"""From a file of harness data to a vehicle that is searched: what a user does, in order."""

import csv
import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from loombench.app.importing import Import, Request, import_bytes, make_import, write_import
from loombench.app.importsaid import layout_of, options_of
from loombench.app.vehicles import open_vehicle
from loombench.exchange.answers import COLUMNS
from loombench.exchange.wirelist.layout import Layout
from loombench.shell.cli import application

SAMPLES = Path(__file__).parents[1] / "exchange" / "samples"
KBL, LIST = str(SAMPLES / "mini.kbl"), str(SAMPLES / "mini_wirelist.csv")
COUNTS = ("connections", "connectors", "splices", "rings", "carriers", "fuses", "segments", "nets", "largest_net")


def ask(*words: str) -> Result:
    result = CliRunner().invoke(application, list(words))
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def made(*files: str, **words: object) -> Import:
    outcome = make_import(Request(files, **words))  # type: ignore[arg-type]
    assert outcome.usable, outcome.problems
    assert outcome.value is not None
    return outcome.value


def filled(path: Path, **answers: str) -> None:
    """The table of a folder with answers in it, by `what_id`; rows without one get their proposal if it is for all."""
    rows = list(csv.DictReader(path.open(encoding="utf-8", newline="")))
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, COLUMNS)
        writer.writeheader()
        for row in rows:
            key = f"{row['what']}_{row['id']}"
            writer.writerow(row | ({"answer": answers[key]} if key in answers else {}))


def test_counts_of_a_sample_as_json() -> None:
    result = ask("import", KBL, "--json")
    said = json.loads(result.stdout)
    assert result.exit_code == 0
    assert [said[name] for name in COUNTS] == [4, 4, 1, 2, 1, 1, 1, 3, 3]
    assert (said["folder"], said["open"]) == (None, 6)
    assert {row["id"]: row["proposal"] for row in said["missing"]}["E12"] == "lamp ?W"


def test_a_file_is_imported_answered_and_searched(tmp_path: Path) -> None:
    first, second = tmp_path / "first", tmp_path / "second"
    assert ask("import", KBL, "-o", str(first)).exit_code == 0
    assert {path.name for path in first.iterdir()} == {"vehicle.circuit", "looms", "missing.csv", "renamed.csv"}
    assert not open_vehicle(str(first)).broken
    rows = {"ring_BAT+": "G1.+", "ring_G5": "stud G5 on chassis", "minus_G1": "chassis", "battery_G1": "battery 70Ah"}
    filled(first / "missing.csv", **rows, device_E12="lamp 55W")
    result = ask("import", KBL, "--answers", str(first / "missing.csv"), "-o", str(second))
    assert result.exit_code == 0, result.output
    assert ask("check", str(second)).exit_code == 0
    opened = open_vehicle(str(second))
    assert opened.vehicle.parts["E12"].params["rated_w"].nominal == 55.0
    readings = json.loads(ask("readings", str(second), "--part", "E12", "--json").stdout)
    assert 11.5 < next(pin for pin in readings["pins"] if pin["pin"] == "1")["volts"] < 12.7


@pytest.mark.parametrize(
    ("file", "codes", "hidden", "complaint"),
    [(KBL, None, "open S1~E12.1", "E12 dead"), (LIST, ("OPT-A",), "open E12.2~G5/a", "E12 dead")],
)
def test_the_hidden_fault_is_found_on_what_was_imported(
    file: str, codes: tuple[str, ...] | None, hidden: str, complaint: str, tmp_path: Path
) -> None:
    folder = tmp_path / "vehicle"
    answers = tmp_path / "answers.csv"
    answers.write_text("what;id;answer\ndevice;E12;lamp 55W\n", encoding="utf-8")
    vehicle = made(file, codes=codes, answers=str(answers), accept=True)
    assert write_import(vehicle, folder) == ()
    result = ask(
        "find", str(folder), "--complaint", complaint, "--hidden", hidden, "--auto", "--folder", str(tmp_path / "cards")
    )
    assert result.exit_code == 0, result.output
    assert "Proven: wire" in result.output
    assert f"Hidden was: {hidden}" in result.output


def test_variants_are_refused_with_their_codes_and_nothing_is_written(tmp_path: Path) -> None:
    result = ask("import", LIST, "-o", str(tmp_path / "v"), "--json")
    said = json.loads(result.stdout)
    assert result.exit_code == 1
    assert [one["code"] for one in said["problems"] if one["level"] == "error"] == ["import-variants"]
    assert [one["code"] for one in said["options"]] == ["OPT-A"]
    assert list(tmp_path.iterdir()) == []
    assert made(LIST, codes=()).counts.connections == 4
    assert made(LIST, codes=("OPT-A",)).counts.connections == 6


def test_a_folder_with_something_in_it_is_left_as_it_is(tmp_path: Path) -> None:
    folder = tmp_path / "v"
    folder.mkdir()
    assert ask("import", KBL, "-o", str(folder)).exit_code == 0
    before = (folder / "vehicle.circuit").read_text(encoding="utf-8")
    (folder / "vehicle.circuit").write_text(before + "# mine\n", encoding="utf-8")
    assert ask("import", KBL, "-o", str(folder), "--accept").exit_code == 1
    assert (folder / "vehicle.circuit").read_text(encoding="utf-8").endswith("# mine\n")
    assert [path.name for path in tmp_path.iterdir()] == ["v"]


def test_nothing_is_written_where_an_answer_cannot_be_taken(tmp_path: Path) -> None:
    answers = tmp_path / "answers.csv"
    answers.write_text("what,id,answer\ndevice,E12,lamp 5Ah\n", encoding="utf-8")
    result = ask("import", KBL, "--answers", str(answers), "-o", str(tmp_path / "v"))
    assert result.exit_code == 1
    assert "answer-unread" in result.output
    assert not (tmp_path / "v").exists()


def test_the_table_keeps_its_answers_and_can_be_given_again() -> None:
    first = made(KBL, accept=True)
    table = first.files["missing.csv"]
    again = import_bytes({"mini.kbl": Path(KBL).read_bytes()}, Request(()))
    assert again.value is not None
    assert again.value.files["missing.csv"] != table
    assert first.open == 0


def test_two_files_are_joined_where_it_is_said(tmp_path: Path) -> None:
    head = "harness,wire_no,signal,from_conn,from_cavity,to_conn,to_cavity,size,size_unit\n"
    front, rear = tmp_path / "front.csv", tmp_path / "rear.csv"
    front.write_text(head + "front,1,58,F1,1,X12-1,3,1,mm2\nfront,2,31,W3,1,X12-1,4,1,mm2\n", encoding="utf-8")
    rear.write_text(head + "rear,1,58,X12-2,3,E5,1,1,mm2\nrear,2,31,X12-2,4,E5,2,1,mm2\n", encoding="utf-8")
    apart = json.loads(ask("import", str(front), str(rear), "--json").stdout)
    assert (apart["connections"], apart["nets"]) == (4, 4)
    assert [row["proposal"] for row in apart["missing"] if row["what"] == "mating"] == ["X12-2"]
    joined = json.loads(ask("import", str(front), str(rear), "--join", "X12-1=X12-2", "--json").stdout)
    assert (joined["connections"], joined["nets"], joined["largest_net"]) == (4, 2, 4)


def test_companion_lists_go_with_the_list_of_wires(tmp_path: Path) -> None:
    wires, connectors = tmp_path / "wires.csv", tmp_path / "connectors.csv"
    wires.write_text("wire_no,from,to,size\n1,X1-1,E5-1,1.0 mm2\n2,X1-2,E5-2,1.0 mm2\n", encoding="utf-8")
    connectors.write_text("connector,description,location\nE5,Horn,front\n", encoding="utf-8")
    value = made(str(connectors), str(wires))
    assert {lack.id: lack.proposal for lack in value.lacks}["E5"] == "horn ?A"
    assert 'generic E5 1 2 at front "Horn"' in value.files["vehicle.circuit"]


@pytest.mark.parametrize("name", ["nowhere.kbl", ".", "/dev/null"])
def test_files_that_are_none(name: str) -> None:
    result = ask("import", name, "--json")
    assert result.exit_code == 1
    assert json.loads(result.stdout)["problems"]


def test_options_and_layouts_as_typed() -> None:
    assert options_of(None) is None
    assert options_of("none") == options_of("") == options_of("-") == ()
    assert options_of(" A1B, C2D;E ") == ("A1B", "C2D", "E")
    assert layout_of(()) == Layout()
    told = layout_of(("size-unit=awg", "column-3=signal", "header-line=2"))
    assert told == Layout(size_unit="awg", columns=((2, "signal"),), header_line=2)
    for wrong in ("size-unit", "column-0=signal", "column-2=nonsense", "sizes=awg", "header-line=x"):
        assert layout_of((wrong,)) == wrong
    assert ask("import", LIST, "--list", "sizes=awg").exit_code == 2
    assert ask("import", LIST, "--join", "X1").exit_code == 2
