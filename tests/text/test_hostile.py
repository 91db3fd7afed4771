"""Bad input: broken, huge, hostile. Each gets a clear message and nothing else happens.

Where the work could run away, it is counted and not timed: how many statements, files and comparisons there were.
"""

import os
from pathlib import Path

import pytest

from loombench.base.report import render_all
from loombench.text.draft import MOST_COMPARED, Draft
from loombench.text.limits import LIMITS, Limits
from loombench.text.load import load_file, load_sources, load_text
from tests.text.circuits import HEAD, LAMP, codes, wrong


def file_codes(path: Path) -> list[str]:
    return codes(load_file(path).problems)


@pytest.mark.parametrize("text", ["", "\n\n", "# only a remark\n", "\ufeff", "   \n\t\n"])
def test_an_empty_file(text: str, tmp_path: Path) -> None:
    assert codes(load_text(text).problems) == ["file-empty"]
    (tmp_path / "x.circuit").write_text(text, encoding="utf-8")
    assert file_codes(tmp_path / "x.circuit") == ["file-empty"]


def test_a_missing_file_and_names_that_are_none(tmp_path: Path) -> None:
    assert file_codes(tmp_path / "none.circuit") == ["file-missing"]
    assert file_codes(tmp_path / "a\0b") == ["file-missing"] or file_codes(tmp_path / "a\0b") == ["file-unreadable"]
    assert file_codes(tmp_path / ("x" * 5000)) == ["file-unreadable"]


def test_a_pipe_is_not_opened(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.circuit")
    assert file_codes(tmp_path / "pipe.circuit") == ["file-missing"]


@pytest.mark.parametrize(
    "data", [b"\x89PNG\r\n\x1a\n\0\0", bytes(range(256)), b"loombench 1\nlamp \xfc\n", b"\xff\xfe\x00\xd8"]
)
def test_a_binary_file(data: bytes, tmp_path: Path) -> None:
    (tmp_path / "x.circuit").write_bytes(data)
    assert file_codes(tmp_path / "x.circuit") == ["file-not-text"]


def test_a_file_in_utf_16_with_its_mark_is_read(tmp_path: Path) -> None:
    (tmp_path / "x.circuit").write_bytes(LAMP.encode("utf-16"))
    assert file_codes(tmp_path / "x.circuit") == []


def test_a_line_of_ten_megabytes(tmp_path: Path) -> None:
    text = LAMP + 'lamp E9 "' + "x" * 10_000_000 + '"\n'
    outcome = load_text(text)
    assert codes(outcome.problems) == ["line-too-long"]
    assert "E7" in outcome.value.parts
    assert len(render_all(outcome.problems, {"vehicle.circuit": text})) < 1000
    (tmp_path / "x.circuit").write_text(text, encoding="utf-8")
    assert file_codes(tmp_path / "x.circuit") == ["file-too-large"]


def test_a_hundred_thousand_parts_are_refused_as_a_whole() -> None:
    outcome = load_text(HEAD + "".join(f"lamp E{n} 5W\n" for n in range(100_000)))
    assert codes(outcome.problems) == ["too-many-lines"]
    assert len(outcome.value.parts) == 0


def test_more_wires_than_any_vehicle_has() -> None:
    text = f"{HEAD}lamp E1 5W\n" + ("E1.1 " + "(GN 1mm2 2m) E1.2 " * 50 + "\n") * 1100
    assert codes(load_text(text).problems) == ["too-many-lines"]


def test_more_words_than_any_vehicle_has() -> None:
    text = HEAD + ("lamp E1 " + "x " * 9000 + "\n") * 200
    assert codes(load_text(text).problems) == ["too-many-lines"]


def test_more_rows_or_pins_than_any_part_has() -> None:
    assert wrong("unit E1\n" + "  1-2 lamp 5W\n" * 1001) == ["too-many-lines"]
    positions = " | ".join(f"p{n}: {2 * n}={2 * n + 1}" for n in range(1001))
    assert wrong(f"switch S1 {positions}\n") == ["number-range"]
    assert wrong("connector X1 100000way a | b\n") == ["number-range"]
    assert wrong("module A1\n  plugs X1 999999way\n") == ["number-range"]
    assert wrong("module A1\n  plugs X1 99999999999way\n") == ["word-missing"]


def test_indentation_ten_thousand_deep() -> None:
    outcome = load_text(HEAD + "unit E1\n" + "".join(" " * depth + "1-2 lamp 5W\n" for depth in range(1, 10_001)))
    assert codes(outcome.problems) == ["too-many-lines"]


@pytest.mark.parametrize("rule", ["not " * 3000 + "3", "(" * 3000 + "3" + ")" * 3000, "(" * 9000])
def test_brackets_in_a_rule_thousands_deep(rule: str) -> None:
    found = wrong(f"module A1\n  supply 1\n  ground 2\n  in 3 high\n  out 4 high-side\n  when {rule}: 4\n")
    assert found == ["too-deep"]


def test_brackets_in_a_wire_thousands_deep() -> None:
    assert wrong("E1.1 " + "(" * 9000 + "\n") == ["bracket-open"]


def test_messages_end_somewhere() -> None:
    outcome = load_text(HEAD + "".join(f"lmap{n} E{n} 5W\n" for n in range(20_000)))
    assert len(outcome.problems) == LIMITS.most_problems + 1
    assert outcome.problems[-1].code == "more-problems"


def test_the_search_for_near_names_ends_somewhere() -> None:
    draft = Draft()
    names = [f"part{n}" for n in range(1000)]
    answers = [draft.near("patr7", names) for _ in range(MOST_COMPARED // 1000 + 5)]
    assert answers[0] != "none"
    assert answers[-1] == "none"


@pytest.mark.parametrize(
    "line",
    ["battery G1 1e99V 70Ah", "battery G1 12V 1e400Ah", "fuse F1 -5A", "lamp E1 0W", "resistor R1 1e12ohm",
     "lamp E1 " + "9" * 400 + "W", "cutout F1 -300C"],
)  # fmt: skip
def test_numbers_that_are_not_possible(line: str) -> None:
    found = wrong(line + "\n")
    assert set(found) <= {"number-range", "number-unit"}
    assert found


@pytest.mark.parametrize(
    "line", ["lamp E1 12parsec", "fuse F1 5W", "battery G1 12", "lamp E1 12VV", "lamp E1 0x12V", "lamp E1 1e5"]
)
def test_units_that_are_not_possible(line: str) -> None:
    assert wrong(line + "\n")[0] in ("number-unit", "number-bare")


def test_the_first_line() -> None:
    assert codes(load_text('vehicle "Test" 12V\nlamp E1 5W\n').problems) == ["first-line-missing"]
    newer = load_text('loombench 2\nvehicle "Test" 12V\nlamp E1 5W\n')
    assert (codes(newer.problems), len(newer.value.parts)) == (["version-unknown"], 0)
    assert codes(load_text("loombench\n" + LAMP.partition("\n")[2]).problems) == ["version-unknown"]


def test_a_second_declaration_shows_both_places() -> None:
    (problem,) = load_text(f"{HEAD}lamp E7 5W\nfuse F1 5A\nfuse E7 5A\n").problems
    assert (problem.code, [span.line for span in problem.spans]) == ("name-twice", [6, 4])


@pytest.mark.parametrize(
    "name",
    ["../x.circuit", "/etc/passwd", "a/../../x.circuit", "C:\\x", "..\\x.circuit", "~/x", "", "http://x/y", "x" * 999],
)
def test_an_include_that_leads_outside(name: str) -> None:
    asked: list[str] = []

    def read(wanted: str) -> str | None:
        asked.append(wanted)
        return "loombench 1\n"

    assert codes(load_text(f'{HEAD}include "{name}"\n', read_include=read).problems) == ["include-outside"]
    assert asked == []


def test_a_link_that_leads_outside_is_not_followed(tmp_path: Path) -> None:
    folder = tmp_path / "vehicle"
    folder.mkdir()
    (tmp_path / "secret.circuit").write_text("loombench 1\nlamp E1 5W\n", encoding="utf-8")
    (folder / "roof.circuit").symlink_to(tmp_path / "secret.circuit")
    (folder / "vehicle.circuit").write_text(HEAD + 'include "roof.circuit"\n', encoding="utf-8")
    outcome = load_file(folder)
    assert (codes(outcome.problems), len(outcome.value.parts)) == (["include-outside"], 0)


def test_includes_in_folders_below_and_in_a_circle() -> None:
    files = {
        "roof/roof.circuit": 'loombench 1\nlamp E1 5W\ninclude "more.circuit"\n',
        "roof/more.circuit": 'loombench 1\nlamp E2 5W\ninclude "again/more.circuit"\n',
        "roof/again/more.circuit": "loombench 1\nlamp E3 5W\n",
    }
    outcome = load_text(f'{HEAD}include "roof/roof.circuit"\n', "demo/lorry.circuit", files.get)
    assert (outcome.problems, list(outcome.value.parts)) == ((), ["E1", "E2", "E3"])
    assert outcome.value.files == (
        "demo/lorry.circuit", "demo/roof/roof.circuit", "demo/roof/more.circuit", "demo/roof/again/more.circuit",
    )  # fmt: skip
    circle = {"a.circuit": 'loombench 1\ninclude "b.circuit"\n', "b.circuit": 'loombench 1\ninclude "a.circuit"\n'}
    assert codes(load_text(f'{HEAD}include "a.circuit"\n', read_include=circle.get).problems) == ["include-cycle"]


def test_an_endless_chain_of_includes_ends() -> None:
    asked: list[str] = []

    def read(name: str) -> str:
        asked.append(name)
        return f'loombench 1\ninclude "x{len(asked)}.circuit"\n'

    found = codes(load_text(f'{HEAD}include "x0.circuit"\n', read_include=read).problems)
    assert found == ["too-many-files"]
    assert len(asked) == LIMITS.include_depth


def test_a_file_that_includes_very_many() -> None:
    text = HEAD + "".join(f'include "x{n}.circuit"\n' for n in range(300))
    outcome = load_text(text, read_include=lambda name: f"loombench 1\nlamp E{name[1:-8]} 5W\n")
    assert set(codes(outcome.problems)) == {"too-many-files"}
    assert len(outcome.value.files) == LIMITS.most_files


def test_a_folder_is_its_vehicle_file_or_the_only_one(tmp_path: Path) -> None:
    (tmp_path / "roof.circuit").write_text("loombench 1\nlamp E1 5W\n", encoding="utf-8")
    assert file_codes(tmp_path) == ["folder-without-vehicle"]
    (tmp_path / "lorry.circuit").write_text(HEAD + 'include "roof.circuit"\n', encoding="utf-8")
    loaded = load_sources(tmp_path)
    assert loaded.outcome.problems == ()
    assert sorted(Path(name).name for name in loaded.sources) == ["lorry.circuit", "roof.circuit"]
    (tmp_path / "van.circuit").write_text(HEAD, encoding="utf-8")
    assert file_codes(tmp_path) == ["folder-without-vehicle"]
    (tmp_path / "vehicle.circuit").write_text(HEAD, encoding="utf-8")
    assert file_codes(tmp_path) == []


def test_limits_can_be_set() -> None:
    assert codes(load_text(LAMP, limits=Limits(most_statements=5)).problems) == ["too-many-lines"]
