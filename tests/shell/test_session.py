"""A session as a program: killed at any moment it goes on with all it has acknowledged, and nothing twice."""

import io
import os
import random
import re
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from typer.testing import CliRunner

from loombench.app.cards import StepCard
from loombench.app.case import Case
from loombench.base.wording import Catalogue, catalogue
from loombench.evidence.events import ReadingTaken
from loombench.record.jsonl import JsonlStore
from loombench.shell import session
from loombench.shell.cli import application
from loombench.shell.saying import grey, harmless
from loombench.shell.waiting import WIPE, waiting

ROOT = Path(__file__).resolve().parents[2]
COMPLAINT = "E7 dead when S4=on"
SMALL = """\
loombench 1
vehicle "Lamp" 12V
colours IEC
body chassis
stud W1 on chassis
battery G1 70Ah
switch S4 off | on: 1=2
lamp E7 12V 21W
G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 1mm2 1m) S4.1
S4.2 (GY 1mm2 1m) E7 (BN 1mm2 1m) W1/b
"""
ANSWERS = 24
KILLS = 3
PATIENCE_S = 60.0
"""A program that says nothing more is ended after so long, and the test fails on what is missing."""


@pytest.fixture
def small(tmp_path: Path) -> str:
    file = tmp_path / "lamp.circuit"
    file.write_text(SMALL, encoding="utf-8")
    return str(file)


def find(file: str, folder: Path, *lines: str, words: tuple[str, ...] = ()) -> str:
    said = [word for line in lines for word in ("--say", line)]
    begun = ["find", file, "--complaint", COMPLAINT, "--case", "one", "--folder", str(folder), *words, *said]
    result = CliRunner().invoke(application, begun)
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result.output


def started(file: str, folder: Path) -> "subprocess.Popen[str]":
    words = [sys.executable, "-m", "loombench", "find", file, "--complaint", COMPLAINT]
    env = os.environ | {"PYTHONUTF8": "1", "PYTHONPATH": str(ROOT / "src")}
    return subprocess.Popen(
        [*words, "--case", "one", "--folder", str(folder)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, encoding="utf-8", env=env,
    )  # fmt: skip


def acknowledged(text: str) -> list[str]:
    return [f"{float(one):.2f}" for one in re.findall(r"kept \d+: voltmeter S4.1 to .*: (12\.\d+) V$", text, re.M)]


def rest(program: "subprocess.Popen[str]") -> str:
    """What the program still says until it ends; what `readline` has read ahead belongs to it."""
    assert program.stdin is not None
    assert program.stdout is not None
    said = program.stdout.read()
    program.wait()
    program.stdin.close()
    program.stdout.close()
    return said


def stored(folder: Path) -> list[str]:
    events = JsonlStore(folder).read("one").value
    return [f"{one.payload.value:.2f}" for one in events if isinstance(one.payload, ReadingTaken)]


def test_nothing_acknowledged_is_lost_or_doubled_when_the_program_is_killed(small: str, tmp_path: Path) -> None:
    """A stream of answers is written to the program without waiting; it is killed at random moments, and what is not
    among the entries it took up again is written to the next one."""
    drawn = random.Random(7)
    every = [f"12.{number:02d}" for number in range(1, ANSWERS + 1)]
    left, kept = every, list[str]()
    for kill in range(KILLS):
        program = started(small, tmp_path)
        assert program.stdin is not None
        assert program.stdout is not None
        program.stdin.write("\n".join(["" if kill else "none", *(f"S4.1 {one}V when S4=on" for one in left), ""]))
        program.stdin.flush()
        wanted, output = drawn.randrange(1, ANSWERS // KILLS), ""
        watchdog = threading.Timer(PATIENCE_S, program.kill)
        watchdog.start()
        while len(acknowledged(output)) < wanted and (line := program.stdout.readline()):
            output += line
        time.sleep(drawn.random() * 0.05)
        program.kill()
        watchdog.cancel()
        output += rest(program)
        seen, before, kept = acknowledged(output), kept, stored(tmp_path)
        assert len(seen) >= wanted
        assert kept[: len(before) + len(seen)] == before + seen
        assert len(kept) - len(before) - len(seen) <= 1
        left = [one for one in left if one not in kept]
    program = started(small, tmp_path)
    output = program.communicate("\n".join([*(f"S4.1 {one}V when S4=on" for one in left), "stop", ""]), PATIENCE_S)[0]
    assert f"Taken up again: {len(kept) + 3} entries" in output
    assert stored(tmp_path) == every
    events = JsonlStore(tmp_path).read("one")
    assert [event.number for event in events.value] == list(range(1, ANSWERS + 4))
    assert all(problem.code == "record-torn" for problem in events.problems)


def test_a_case_of_which_only_the_opening_was_kept_goes_on(small: str, tmp_path: Path) -> None:
    find(small, tmp_path, "stop")
    file = next(tmp_path.glob("case-*.jsonl"))
    whole = file.read_text(encoding="utf-8")
    file.write_text(whole.splitlines(keepends=True)[0], encoding="utf-8")
    find(small, tmp_path, "stop")
    kinds = [event.kind for event in JsonlStore(tmp_path).read("one").value]
    assert kinds == ["CaseOpened", "ComplaintGiven"]


def test_a_case_is_taken_up_without_its_complaint(small: str, tmp_path: Path) -> None:
    find(small, tmp_path, "none", "dead", "stop")
    again = CliRunner().invoke(
        application, ["find", small, "--case", "one", "--folder", str(tmp_path), "--say", "undo", "--say", "stop"]
    )
    assert "Taken up again: 4 entries" in again.output
    assert "taken back: E7, S4=on: does nothing" in again.output


def test_a_session_from_codes_to_closing(small: str, tmp_path: Path) -> None:
    hidden = ("--hidden", "open E7", "--by", "M. Holm")
    lines = ["dead", "E7.1 12.65V", "E7.2 0V", "part lamp 12V 55W", "because age", *[""] * 12, "yes"]
    output = find(small, tmp_path, *lines, words=hidden)
    assert "Proven: lamp E7" in output
    assert "Job card: " in output
    events = JsonlStore(tmp_path).read("one").value
    assert events[-1].kind == "CaseClosed"
    assert {event.author for event in events} == {"M. Holm"}


def test_a_record_that_cannot_be_written_is_said_in_a_sentence(small: str, tmp_path: Path) -> None:
    (tmp_path / "folder").write_text("a file stands where the folder should be", encoding="utf-8")
    output = find(small, tmp_path / "folder", "dead")
    assert "record-unwritable" in output
    assert "do:" in output


def test_the_next_steps_are_grey_only_for_a_person_at_a_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    assert grey("later") == "later"
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True, raising=False)
    assert grey("later") == "\x1b[90mlater\x1b[0m"
    monkeypatch.setenv("NO_COLOR", "1")
    assert grey("later") == "later"


def test_nothing_from_a_file_steers_the_terminal() -> None:
    assert harmless("lamp \x1b[2J\x07 E7\nnext") == "lamp ·[2J· E7\nnext"


def test_ctrl_c_leaves_with_all_that_was_entered(small: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = session.next_step
    cards = iter(range(9))

    def interrupted(case: Case, words: Catalogue) -> StepCard | None:
        if next(cards) == 2:
            raise KeyboardInterrupt
        return asked(case, words)

    monkeypatch.setattr(session, "next_step", interrupted)
    output = find(small, tmp_path, "none", "dead", "as believed", "E7.1 12.65V")
    assert "Case one is kept in" in output
    kinds = [event.kind for event in JsonlStore(tmp_path).read("one").value]
    assert kinds == ["CaseOpened", "ComplaintGiven", "CodesRead", "Observed", "Observed"]


class Terminal(io.StringIO):
    """A terminal that tells when something was written to it."""

    def __init__(self) -> None:
        super().__init__()
        self.written = threading.Event()

    def isatty(self) -> bool:
        return True

    def write(self, text: str) -> int:
        count = super().write(text)
        self.written.set()
        return count


def test_a_long_computation_is_said_at_a_terminal_and_wiped_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "xterm")
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    with waiting(catalogue(), 0.01):
        assert terminal.written.wait(PATIENCE_S)
    said = terminal.getvalue()
    assert "Ctrl-C" in said
    assert said.endswith(WIPE)


def test_nothing_is_said_where_nobody_looks(monkeypatch: pytest.MonkeyPatch) -> None:
    nobody = io.StringIO()
    monkeypatch.setattr(sys, "stderr", nobody)
    with waiting(catalogue(), 0.0):
        pass
    assert nobody.getvalue() == ""


def test_what_is_no_list_of_codes_is_not_kept_as_one(small: str, tmp_path: Path) -> None:
    find(small, tmp_path, "E7 dead", "stop")
    kinds = [event.kind for event in JsonlStore(tmp_path).read("one").value]
    assert kinds == ["CaseOpened", "ComplaintGiven", "Observed"]


def test_the_step_on_show_is_drawn_and_the_customer_gets_no_circuit(small: str, tmp_path: Path) -> None:
    told = find(small, tmp_path / "cases", "draw", "card")
    page = (tmp_path / "cases" / "one-step.html").read_text(encoding="utf-8")
    # The line is broken where the path is long.
    assert "one-step.html" in "".join(told.split())
    card, copy = ((tmp_path / "cases" / f"{name}.html").read_text(encoding="utf-8") for name in ("one", "one-customer"))
    assert ["<figure" in text for text in (page, card, copy)] == [True, True, False]
