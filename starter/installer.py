"""Running pip for an environment: its own, one made by ensurepip, or the one of the Python that runs this."""

import os
import subprocess
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path

from starter.checkout import Checkout
from starter.trouble import Cause, SetupError, from_pip

# Settings of the user's own pip that would send the packages elsewhere than into the environment.
_ASTRAY = ("PIP_USER", "PIP_TARGET", "PIP_PREFIX", "PIP_ROOT", "PYTHONHOME", "PYTHONPATH")
_OPTIONS = (
    "install", "--require-hashes", "--only-binary=:all:", "--no-input", "--disable-pip-version-check", "--quiet",
    "--retries=2",
)  # fmt: skip


def environ() -> Mapping[str, str]:
    """The user's environment variables without those that would lead pip astray."""
    return {name: value for name, value in os.environ.items() if name not in _ASTRAY}


def find(checkout: Checkout) -> tuple[str, ...]:
    """The command that runs pip on the environment.

    Raises:
        SetupError: there is none, with the line that installs what is missing.
    """
    own = (str(checkout.python), "-m", "pip")
    if _works((*own, "--version")):
        return own
    if _works((str(checkout.python), "-m", "ensurepip", "--default-pip")) and _works((*own, "--version")):
        return own
    outer = (sys.executable, "-m", "pip", "--python", str(checkout.python))
    if _works((*outer, "--version")):
        return outer
    raise SetupError(Cause.OTHER, f"This Python has no pip and cannot make one: {_advice()}, then start again.")


def install(checkout: Checkout, pip: Sequence[str], locks: Sequence[str], python: str) -> None:
    """Install the lock files into the environment, all in one go.

    Raises:
        SetupError: pip did not succeed; the environment's log holds what it said.
    """
    files = [word for lock in locks for word in ("-r", str(checkout.root / lock))]
    done = subprocess.run(
        [*pip, *_OPTIONS, *files],
        check=False, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, stdin=subprocess.DEVNULL, env=environ(),
    )  # fmt: skip
    output = done.stdout.decode("utf-8", "replace")
    checkout.log.write_text(output, encoding="utf-8")
    if done.returncode != 0:
        raise from_pip(output, python, str(checkout.log))


def _works(command: Sequence[str]) -> bool:
    done = subprocess.run(
        command, check=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, stdin=subprocess.DEVNULL,
        env=environ(),
    )  # fmt: skip
    return done.returncode == 0


def _advice() -> str:
    if Path("/etc/debian_version").exists():
        return "run `sudo apt-get install python3-venv`"
    if sys.platform == "darwin":
        return "run `brew install python` or install Python from its maker's page"
    return "install Python with its option 'pip'"
