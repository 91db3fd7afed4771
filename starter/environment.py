"""The environment `.venv` of a checkout: made, filled from the lock files, and left alone when it is right."""

import json
import os
import subprocess
import venv
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType

from starter import installer, launcher
from starter.checkout import DEV, OPTIONAL, RUNTIME, Checkout
from starter.stamp import Stamp, fingerprint, read, write
from starter.trouble import Cause, SetupError

Say = Callable[[str], None]
OLDEST = (3, 11)
_PROBE = (
    "import json, platform, sys, sysconfig;"
    "print(json.dumps([list(sys.version_info[:2]), sysconfig.get_path('purelib'),"
    " f'Python {platform.python_version()} on {sysconfig.get_platform()}']))"
)


@dataclass(frozen=True)
class Interpreter:
    """What the environment's own Python says of itself."""

    version: tuple[int, int]
    site_packages: Path
    label: str

    @property
    def short(self) -> str:
        """The version as the stamp keeps it, such as '3.11': a patch release changes no package."""
        return f"{self.version[0]}.{self.version[1]}"


def ensure(checkout: Checkout, say: Say, *, dev: bool = False, again: bool = False) -> Stamp:
    """Make the environment right: made if missing, installed if the locks changed, else untouched.

    Args:
        checkout: the copy to set up.
        say: told each thing that takes time or is missing.
        dev: the tools of the tests as well.
        again: try optional parts again that could not be had the last time.

    Raises:
        SetupError: in one sentence why it cannot be.
        OSError: the folder cannot be written.
    """
    interpreter = _interpreter(checkout)
    if interpreter is None:
        interpreter = _make(checkout, say)
    stamp = read(checkout.stamp)
    if stamp.python != interpreter.short:
        stamp = Stamp(interpreter.short)
    locks = {name: fingerprint(checkout.root / name) for name in (RUNTIME, DEV, *(name for name, _ in OPTIONAL))}
    required = [name for name in (RUNTIME, DEV) if (dev or name != DEV) and stamp.installed.get(name) != locks[name]]
    optional = [
        name
        for name, _ in OPTIONAL
        if stamp.installed.get(name) != locks[name] and (again or stamp.absent.get(name) != locks[name])
    ]
    if not required and not optional:
        return stamp
    say("Installing the locked packages into .venv (once; needs the network) ...")
    failed = _install(checkout, interpreter, required, optional, say)
    launcher.install(checkout, interpreter.site_packages)
    launcher.warm(checkout)
    # What was tried now is told anew; the rest stays as it was.
    installed = {name: value for name, value in stamp.installed.items() if name not in failed}
    absent = {name: value for name, value in stamp.absent.items() if name not in optional}
    installed |= {name: locks[name] for name in (*required, *optional) if name not in failed}
    absent |= {name: locks[name] for name in failed}
    stamp = replace(stamp, installed=MappingProxyType(installed), absent=MappingProxyType(absent))
    write(checkout.stamp, stamp)
    return stamp


def absences(stamp: Stamp) -> tuple[str, ...]:
    """One line for each optional part that this machine does without."""
    return tuple(f"Not on this machine: {loses}." for name, loses in OPTIONAL if name in stamp.absent)


def _install(
    checkout: Checkout, interpreter: Interpreter, required: Sequence[str], optional: Sequence[str], say: Say
) -> list[str]:
    """Install all in one go; if that fails the required ones alone, then each optional one. Gives the absent ones."""
    pip = installer.find(checkout)
    try:
        installer.install(checkout, pip, [*required, *optional], interpreter.label)
    except SetupError as trouble:
        if not optional or (required and trouble.cause in {Cause.NETWORK, Cause.DISK, Cause.PERMISSION}):
            raise
    else:
        return []
    if required:
        installer.install(checkout, pip, required, interpreter.label)
    absent = []
    for name in optional:
        try:
            installer.install(checkout, pip, [name], interpreter.label)
        except SetupError as trouble:
            say(trouble.sentence)
            absent.append(name)
    return absent


def _interpreter(checkout: Checkout) -> Interpreter | None:
    """What the environment's Python says, or None where there is none that runs."""
    if not checkout.python.exists():
        return None
    done = subprocess.run([str(checkout.python), "-c", _PROBE], check=False, capture_output=True, text=True)
    try:
        version, site_packages, label = json.loads(done.stdout)
        found = Interpreter((int(version[0]), int(version[1])), Path(site_packages), str(label))
    except (ValueError, TypeError):
        return None
    # After an upgrade of the system's Python its folder of packages is another one, which does not exist yet.
    return found if found.version >= OLDEST and found.site_packages.is_dir() else None


def _make(checkout: Checkout, say: Say) -> Interpreter:
    there = os.path.lexists(checkout.venv)
    folder = checkout.venv.is_dir()
    if there and not (folder and ((checkout.venv / "pyvenv.cfg").exists() or not any(checkout.venv.iterdir()))):
        raise SetupError(
            Cause.OTHER, f"{checkout.venv} is there but is no Python environment: move it away, start again."
        )
    say("The Python of .venv does not run any more: making it anew ..." if there else "Making .venv ...")
    venv.EnvBuilder(clear=there, symlinks=os.name != "nt", with_pip=False).create(checkout.venv)
    made = _interpreter(checkout)
    if made is None:
        raise SetupError(
            Cause.OTHER, f"The Python made in {checkout.venv} does not run: reinstall Python, start again."
        )
    return made
