"""`loombench changed`: what it prints, for a person and for machines, and its exit status."""

import json
from pathlib import Path

from tests.shell.test_commands import ask

SAMPLES = Path(__file__).parents[1] / "exchange" / "samples"
ONE, TWO = (str(SAMPLES / f"VEC-Change-Example-{number}.xml") for number in ("I", "II"))


def test_changes_are_printed() -> None:
    result = ask("changed", ONE, TWO)
    assert result.exit_code == 0
    assert "  length: 1063 mm -> 1077 mm\n" in result.output
    assert "8 changes" in result.output


def test_changes_for_machines() -> None:
    said = json.loads(ask("changed", ONE, TWO, "--json", "--colours", "DIN").output)
    assert {one["field"] for one in said["differences"]} == {"part_number", "area", "colour", "length"}
    # B/K and B/RD are no German letters.
    assert [one["facts"]["colour"] for one in said["problems"]] == ["B/K", "B/RD"]


def test_a_file_that_cannot_be_read() -> None:
    result = ask("changed", ONE, "nowhere.vec")
    assert result.exit_code == 1
    assert "file-missing" in result.output
