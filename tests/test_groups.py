"""The groups, in runs of their own: nothing is skipped silently, and a required group cannot be passed over."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
CONFTEST = """
import pytest
from tests.groups import Group, GroupPlugin, required

GROUPS = (
    Group("here", "nothing", "nothing to install", lambda: True),
    Group("gone", "a planet", "apt-get install planet", lambda: False),
)

def pytest_configure(config):
    config.pluginmanager.register(GroupPlugin(GROUPS, required()), "groups")
"""
TESTS = """
import pytest

def test_plain(): pass

@pytest.mark.here
def test_here(): pass

@pytest.mark.gone
def test_gone(): assert False

@pytest.mark.gone
def test_gone_too(): assert False
"""


def run(folder: Path, *words: str, tests: str = TESTS, require: str = "") -> tuple[int, str]:
    """Exit status and output of pytest on `tests` with the planted groups."""
    (folder / "conftest.py").write_text(CONFTEST, encoding="utf-8")
    (folder / "test_planted.py").write_text(tests, encoding="utf-8")
    (folder / "pytest.ini").write_text("[pytest]\naddopts = --strict-markers\n", encoding="utf-8")
    env = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST_")}
    env |= {"PYTHONPATH": str(ROOT), "LOOMBENCH_REQUIRE": require}
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-p", "no:cacheprovider", *words, str(folder)],
        cwd=folder, env=env, check=False, capture_output=True, text=True,
    )  # fmt: skip
    return done.returncode, done.stdout + done.stderr


@pytest.mark.parametrize("spread", [(), ("-n", "2")])
def test_a_missing_group_is_left_out_and_said(tmp_path: Path, spread: tuple[str, ...]) -> None:
    status, output = run(tmp_path, *spread)
    assert status == 0, output
    assert "group plain: 1 tests ran" in output
    assert "group here: 1 tests ran" in output
    assert "group gone: left out 2 tests; to run them: apt-get install planet" in output
    assert "skipped" not in output


def test_a_required_group_that_is_missing_is_an_error(tmp_path: Path) -> None:
    status, output = run(tmp_path, require="gone")
    assert status == pytest.ExitCode.USAGE_ERROR
    assert "group gone is required and missing: apt-get install planet" in output


def test_a_required_group_nobody_knows_is_an_error(tmp_path: Path) -> None:
    status, output = run(tmp_path, require="here,moon")
    assert status == pytest.ExitCode.USAGE_ERROR
    assert "LOOMBENCH_REQUIRE names 'moon'; there are here, gone" in output


@pytest.mark.parametrize("spread", [(), ("-n", "2")])
def test_a_required_group_of_which_no_test_ran_fails_the_run(tmp_path: Path, spread: tuple[str, ...]) -> None:
    status, output = run(tmp_path, *spread, tests="def test_plain(): pass\n", require="here")
    assert status == pytest.ExitCode.TESTS_FAILED
    assert "group here: REQUIRED, and none of its tests ran" in output


def test_a_required_group_that_ran_passes(tmp_path: Path) -> None:
    assert run(tmp_path, require="here")[0] == 0


def test_a_failing_test_counts_as_run(tmp_path: Path) -> None:
    status, output = run(tmp_path, tests="import pytest\n@pytest.mark.here\ndef test_bad(): assert False\n")
    assert status == pytest.ExitCode.TESTS_FAILED
    assert "group here: 1 tests ran" in output


def test_an_unknown_marker_is_refused(tmp_path: Path) -> None:
    status, output = run(tmp_path, tests="import pytest\n@pytest.mark.moon\ndef test_bad(): pass\n")
    assert status != 0
    assert "'moon' not found in `markers`" in output
