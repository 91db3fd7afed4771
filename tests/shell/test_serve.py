"""`loombench serve` as the pages show it: its words are understood, and it says what a person needs."""

import re
import shlex
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest
from typer.testing import CliRunner

from loombench.base.outcome import Outcome
from loombench.base.problems import warning
from loombench.shell.cli import application
from loombench.shell.web import serving
from loombench.shell.web.settings import Settings

ROOT = Path(__file__).resolve().parents[2]
SHOWN = [
    line
    for block in re.findall(r"^```sh\n(.*?)^```", (ROOT / "docs/bench.md").read_text(encoding="utf-8"), re.S | re.M)
    for line in block.splitlines()
    if " serve" in line
]


@dataclass(frozen=True)
class Served:
    """Instead of a server: it is there at once, offers a code where it has a network, and ends."""

    settings: Settings

    def run(self, ready: Callable[[], None], coded: Callable[[str], None]) -> None:
        ready()
        if self.settings.lan:
            coded("12345678")


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> list[Settings]:
    """The settings that were asked for."""
    found = list[Settings]()

    def bench(settings: Settings) -> Outcome[Served | None]:
        found.append(settings)
        problems = (warning("serve-key", file="bench.key", reason="no room"),) if settings.port == 8201 else ()
        return Outcome(Served(settings), problems)

    monkeypatch.setattr(serving, "bench", bench)
    monkeypatch.setattr("loombench.shell.serve.show_page", found.append)
    monkeypatch.chdir(tmp_path)
    return found


def test_the_pages_show_the_command() -> None:
    assert len(SHOWN) > 4


@pytest.mark.parametrize("line", SHOWN)
def test_what_the_page_shows_serves(line: str, asked: list[Settings], tmp_path: Path) -> None:
    words = shlex.split(line)
    done = CliRunner().invoke(application, words[1:], catch_exceptions=False)
    assert done.exit_code == 0
    settings = asked[0]
    assert settings.folder == tmp_path / "FOLDER"
    assert settings.port == (8200 if "8200" in words else 8137)
    assert settings.lan == ("192.168.1.20" if "--lan" in words else "")
    assert f"http://127.0.0.1:{settings.port}/" in done.output
    assert ("1234 5678" in done.output) == ("--lan" in words)
    assert ("http://192.168.1.20:8137/" in done.output) == ("--lan" in words)
    assert (asked[1:] == [settings.address()]) == ("--show" in words)


def test_a_key_that_could_not_be_kept_is_said_and_the_bench_is_served(asked: list[Settings]) -> None:
    done = CliRunner().invoke(application, ["serve", "--port", "8201"], catch_exceptions=False)
    assert done.exit_code == 0
    assert "warning serve-key" in done.stderr
    assert "http://127.0.0.1:8201/" in done.stdout
    assert asked
