"""`loombench procedure`: the tree on the terminal and as a file, and what it says where there is none."""

import signal
from pathlib import Path

import pytest

from loombench.shell.stopping import stoppable
from tests.diagnose.vehicles import LAMP
from tests.shell.test_commands import ask

SHORT = ("--depth", "2", "--least", "10")


@pytest.fixture
def file(tmp_path: Path) -> str:
    path = tmp_path / "rig.circuit"
    path.write_text(LAMP, encoding="utf-8")
    return str(path)


def test_the_tree_is_printed_or_written(file: str, tmp_path: Path) -> None:
    told = ask("procedure", file, "--complaint", "E7 dead when S4=on", *SHORT)
    assert told.exit_code == 0
    assert "Step 1 " in told.output
    assert "-> step 2" in told.output
    page = tmp_path / "page.html"
    made = ask("procedure", file, "--complaint", "E7 dead when S4=on", *SHORT, "-o", str(page))
    assert made.exit_code == 0
    assert str(page) in made.output.replace("\n", "")
    assert "go to" in page.read_text(encoding="utf-8")


def test_what_cannot_be_planned_is_said(file: str, tmp_path: Path) -> None:
    assert ask("procedure", file, "--complaint", "E99 dead").exit_code == 1
    assert ask("procedure", str(tmp_path / "none.circuit"), "--complaint", "E7 dead").exit_code == 1
    nowhere = str(tmp_path / "none" / "page.html")
    unwritten = ask("procedure", file, "--complaint", "E7 dead when S4=on", *SHORT, "-o", nowhere)
    assert unwritten.exit_code == 1
    assert "paper-unwritten" in unwritten.output


def test_learned_rates_say_how_many_vehicles_go_which_way(file: str, tmp_path: Path) -> None:
    learned = tmp_path / "rates.csv"
    learned.write_text("vehicle,what,mode,surroundings,found,expected\n,lamp,open,,4000,1\n", encoding="utf-8")
    usual = ask("procedure", file, "--complaint", "E7 dead when S4=on", *SHORT)
    known = ask("procedure", file, "--complaint", "E7 dead when S4=on", *SHORT, "--rates", str(learned))
    assert known.exit_code == 0
    assert known.output != usual.output
    learned.write_text("nothing like it\n", encoding="utf-8")
    broken = ask("procedure", file, "--complaint", "E7 dead when S4=on", *SHORT, "--rates", str(learned))
    assert "rates" in broken.output
    assert usual.output in broken.output


def test_the_first_interrupt_stops_and_the_second_gets_through() -> None:
    # A job started in the background is born deaf to it.
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        with stoppable() as stopped:
            assert not stopped()
            signal.raise_signal(signal.SIGINT)
            assert stopped()
            with pytest.raises(KeyboardInterrupt):
                signal.raise_signal(signal.SIGINT)
        assert signal.getsignal(signal.SIGINT) is signal.default_int_handler
    finally:
        signal.signal(signal.SIGINT, before)
