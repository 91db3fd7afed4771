"""Groups of tests that need something a machine may lack: left out where it is missing, and said so, never skipped.

A test joins a group by its marker, `@pytest.mark.ngspice`. Where what the group needs is missing its tests are not
collected into the run, and the closing summary names the group and the line that installs what is missing.
`LOOMBENCH_REQUIRE=ngspice,pdf` in the environment makes it an error if a group is missing or none of its tests ran.
"""

import ctypes
import importlib.util
import os
import shutil
import sys
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import pytest

PLAIN = "plain"
REQUIRE = "LOOMBENCH_REQUIRE"
_KEY = "loombench-group"
_SENT = "loombench-left-out"


@dataclass(frozen=True)
class Group:
    """A named group: what it needs in words, the line that installs it, and whether it is here."""

    name: str
    needs: str
    install: str
    present: Callable[[], bool]


def _ngspice() -> bool:
    for name in ("libngspice.so.0", "libngspice.dylib", "ngspice.dll"):
        try:
            ctypes.CDLL(name)
        except OSError:
            continue
        return True
    return False


def _chromium() -> bool:
    return any(shutil.which(name) for name in ("chromium", "chromium-browser")) and _module("playwright")


def _compiler() -> bool:
    return sys.platform == "linux" and shutil.which("cc") is not None


def _module(name: str) -> bool:
    return importlib.util.find_spec(name) is not None


GROUPS = (
    Group("ngspice", "the circuit simulator's library", "apt-get install libngspice0", _ngspice),
    Group("chromium", "the browser and its driver", "apt-get install chromium", _chromium),
    Group("pdf", "the package typst", "python3 start.py setup", lambda: _module("typst")),
    Group("compiler", "a C compiler on Linux", "apt-get install gcc libc6-dev", _compiler),
)


class GroupPlugin:
    """The hooks: mark, leave out, count over all workers, and say it at the end."""

    def __init__(self, groups: Sequence[Group], required: Sequence[str]) -> None:
        self.groups = {group.name: group for group in groups}
        self.required = tuple(required)
        self.missing = tuple(group for group in groups if not group.present())
        self.left_out: Counter[str] = Counter()
        self.ran: Counter[str] = Counter()
        self.unmet: tuple[str, ...] = ()

    @pytest.hookimpl
    def pytest_configure(self, config: pytest.Config) -> None:
        """Register the markers; refuse the run if a required group is unknown or missing."""
        for group in self.groups.values():
            config.addinivalue_line("markers", f"{group.name}: needs {group.needs} ({group.install})")
        for name in self.required:
            if name not in self.groups:
                raise pytest.UsageError(f"{REQUIRE} names '{name}'; there are {', '.join(self.groups)}")
        for group in self.missing:
            if group.name in self.required:
                raise pytest.UsageError(f"group {group.name} is required and missing: {group.install}")

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, config: pytest.Config, items: list[pytest.Item]) -> None:
        """Take out the tests of missing groups and note the group of the others."""
        gone = {group.name for group in self.missing}
        kept, out = [], []
        for item in items:
            own = [name for name in self.groups if item.get_closest_marker(name) is not None]
            lacking = [name for name in own if name in gone]
            if lacking:
                self.left_out.update(lacking)
                out.append(item)
                continue
            item.user_properties.extend((_KEY, name) for name in own or [PLAIN])
            kept.append(item)
        items[:] = kept
        if out:
            config.hook.pytest_deselected(items=out)

    @pytest.hookimpl
    def pytest_sessionfinish(self, session: pytest.Session) -> None:
        """Send a worker's count to the run; in the run itself fail if a required group had no test."""
        output = getattr(session.config, "workeroutput", None)
        if output is not None:
            output[_SENT] = dict(self.left_out)
            return
        if session.config.option.collectonly:
            return
        self.unmet = tuple(name for name in self.required if not self.ran[name])
        if self.unmet and session.exitstatus in {pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED}:
            session.exitstatus = pytest.ExitCode.TESTS_FAILED

    @pytest.hookimpl(optionalhook=True)
    def pytest_testnodedown(self, node: object) -> None:
        """Take a worker's count: every worker collects the same, so the largest is the true one."""
        for name, count in getattr(node, "workeroutput", {}).get(_SENT, {}).items():
            self.left_out[name] = max(self.left_out[name], count)

    @pytest.hookimpl
    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Count a test that was called, passed or failed."""
        if report.when == "call" and report.outcome != "skipped":
            self.ran.update(str(value) for key, value in report.user_properties if key == _KEY)

    @pytest.hookimpl
    def pytest_terminal_summary(self, terminalreporter: pytest.TerminalReporter) -> None:
        """One line for each group."""
        say = terminalreporter.write_line
        say("")
        say(f"group {PLAIN}: {self.ran[PLAIN]} tests ran")
        for group in self.groups.values():
            if group in self.missing:
                say(f"group {group.name}: left out {self.left_out[group.name]} tests; to run them: {group.install}")
            else:
                say(f"group {group.name}: {self.ran[group.name]} tests ran")
        for name in self.unmet:
            say(f"group {name}: REQUIRED, and none of its tests ran", red=True)


def required() -> tuple[str, ...]:
    """The groups that must run, from the environment."""
    return tuple(word.strip() for word in os.environ.get(REQUIRE, "").split(",") if word.strip())
