"""What is installed when: pip is played by a function that refuses what it is told to."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from starter import environment, installer, launcher
from starter.checkout import DEV, OPTIONAL, RUNTIME, Checkout
from starter.environment import Interpreter, absences, ensure
from starter.trouble import Cause, SetupError

DRAWING, PDF, FAST = (name for name, _ in OPTIONAL)


@dataclass
class Pip:
    """Notes what it is asked to install, and fails where a refused lock file is among it."""

    refused: dict[str, Cause] = field(default_factory=dict)
    asked: list[tuple[str, ...]] = field(default_factory=list)
    warmed: list[int] = field(default_factory=list)
    """How often something had been installed when the solver was compiled."""

    def install(self, checkout: Checkout, pip: Sequence[str], locks: Sequence[str], python: str) -> None:
        """As `installer.install`."""
        del checkout, pip, python
        self.asked.append(tuple(locks))
        for lock in locks:
            if lock in self.refused:
                raise SetupError(self.refused[lock], f"no {lock}")


@pytest.fixture
def pip(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Pip:
    """A checkout in `tmp_path` with an environment, and the pip that serves it."""
    player = Pip()
    for name in (RUNTIME, DEV, DRAWING, PDF, FAST):
        (tmp_path / name).write_text(f"{name}==1\n", encoding="utf-8")
    checkout = Checkout(tmp_path)
    checkout.scripts.mkdir(parents=True)
    found = Interpreter((3, 11), checkout.venv, "Python 3.11")
    monkeypatch.setattr(environment, "_interpreter", lambda _: found)
    monkeypatch.setattr(installer, "find", lambda _: ("pip",))
    monkeypatch.setattr(installer, "install", player.install)
    monkeypatch.setattr(launcher, "warm", lambda _: player.warmed.append(len(player.asked)))
    return player


def silent(text: str) -> None:
    """Say nothing."""
    del text


def test_the_second_start_installs_nothing(pip: Pip, tmp_path: Path) -> None:
    ensure(Checkout(tmp_path), silent)
    assert pip.asked == [(RUNTIME, DRAWING, PDF, FAST)]
    ensure(Checkout(tmp_path), silent)
    ensure(Checkout(tmp_path), silent, again=True)
    assert len(pip.asked) == 1
    assert pip.warmed == [1]


def test_the_tools_of_the_tests_come_with_the_tests(pip: Pip, tmp_path: Path) -> None:
    ensure(Checkout(tmp_path), silent)
    ensure(Checkout(tmp_path), silent, dev=True)
    ensure(Checkout(tmp_path), silent, dev=True)
    assert pip.asked[1:] == [(DEV,)]


@pytest.mark.parametrize("name", [RUNTIME, FAST])
def test_a_changed_lock_is_installed(pip: Pip, tmp_path: Path, name: str) -> None:
    ensure(Checkout(tmp_path), silent)
    (tmp_path / name).write_text(f"{name}==2\n", encoding="utf-8")
    ensure(Checkout(tmp_path), silent)
    assert pip.asked[1:] == [(name,)]


def test_an_optional_part_without_a_wheel_stops_nothing(pip: Pip, tmp_path: Path) -> None:
    pip.refused = {FAST: Cause.NO_WHEEL}
    said: list[str] = []
    stamp = ensure(Checkout(tmp_path), said.append)
    assert pip.asked == [(RUNTIME, DRAWING, PDF, FAST), (RUNTIME,), (DRAWING,), (PDF,), (FAST,)]
    assert said[-1] == f"no {FAST}"
    assert absences(stamp) == (
        "Not on this machine: the speed-up for large vehicles (the answers are the same, later).",
    )
    assert set(stamp.installed) == {RUNTIME, DRAWING, PDF}


def test_an_absent_part_is_tried_again_when_asked_or_when_its_lock_changed(pip: Pip, tmp_path: Path) -> None:
    pip.refused = {FAST: Cause.NO_WHEEL}
    ensure(Checkout(tmp_path), silent)
    pip.asked.clear()
    ensure(Checkout(tmp_path), silent)
    assert pip.asked == []
    ensure(Checkout(tmp_path), silent, again=True)
    assert (FAST,) in pip.asked
    pip.refused = {}
    (tmp_path / FAST).write_text("numba==2\n", encoding="utf-8")
    assert absences(ensure(Checkout(tmp_path), silent)) == ()


def test_an_absence_outlives_the_change_of_another_lock(pip: Pip, tmp_path: Path) -> None:
    pip.refused = {FAST: Cause.NO_WHEEL}
    ensure(Checkout(tmp_path), silent)
    (tmp_path / PDF).write_text("typst==2\n", encoding="utf-8")
    assert len(absences(ensure(Checkout(tmp_path), silent))) == 1


@pytest.mark.parametrize("cause", [Cause.NETWORK, Cause.DISK, Cause.PERMISSION])
def test_without_network_or_room_the_set_up_stops_and_is_not_stamped(pip: Pip, tmp_path: Path, cause: Cause) -> None:
    pip.refused = {RUNTIME: cause}
    with pytest.raises(SetupError):
        ensure(Checkout(tmp_path), silent)
    assert len(pip.asked) == 1
    pip.refused = {}
    ensure(Checkout(tmp_path), silent)
    assert pip.asked[1:] == [(RUNTIME, DRAWING, PDF, FAST)]


def test_a_required_package_without_a_wheel_stops_the_set_up(pip: Pip, tmp_path: Path) -> None:
    pip.refused = {RUNTIME: Cause.NO_WHEEL}
    with pytest.raises(SetupError, match=RUNTIME):
        ensure(Checkout(tmp_path), silent)
    assert not Checkout(tmp_path).stamp.exists()


def test_another_python_is_set_up_anew(pip: Pip, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    ensure(Checkout(tmp_path), silent)
    other = Interpreter((3, 12), Checkout(tmp_path).venv, "Python 3.12")
    monkeypatch.setattr(environment, "_interpreter", lambda _: other)
    ensure(Checkout(tmp_path), silent)
    assert pip.asked[1:] == [(RUNTIME, DRAWING, PDF, FAST)]


def test_the_program_can_be_imported_from_a_path_that_is_not_ascii(tmp_path: Path) -> None:
    root = tmp_path / "Lüneburg 12 V"
    checkout = Checkout(root)
    site = checkout.venv / "lib" / "site-packages"
    site.mkdir(parents=True)
    checkout.scripts.mkdir(exist_ok=True)
    checkout.source.mkdir()
    launcher.install(checkout, site)
    line = (site / "loombench.pth").read_text(encoding="ascii").strip()
    assert (site / line).resolve() == checkout.source.resolve()
