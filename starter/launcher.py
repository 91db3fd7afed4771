"""Make `loombench` importable and runnable in the environment without a build: a path file and a small program, and
the solver's machine code.

The path file names `src` relative to itself, so that it survives letters outside ASCII and a checkout that moves.
"""

import os
import subprocess
from pathlib import Path

from starter.checkout import Checkout
from starter.installer import environ

_POSIX = """#!/bin/sh
here=$(dirname -- "$(readlink -f -- "$0")")
exec "$here/python" -m loombench "$@"
"""
_WINDOWS = '@"%~dp0python.exe" -m loombench %*\r\n'


def install(checkout: Checkout, site_packages: Path) -> None:
    """Write the path file into `site_packages` and the program `loombench` beside the interpreter."""
    (site_packages / "loombench.pth").write_text(
        f"{os.path.relpath(checkout.source, site_packages)}\n", encoding="ascii"
    )
    if os.name == "nt":
        (checkout.scripts / "loombench.cmd").write_text(_WINDOWS, encoding="ascii", newline="")
        return
    program = checkout.scripts / "loombench"
    program.write_text(_POSIX, encoding="ascii")
    program.chmod(0o755)


def warm(checkout: Checkout) -> None:
    """Compile the solver's loops for this machine, where they can be: the first command that needs them would pay."""
    words = "from loombench.circuit.kernel import load_compiled; load_compiled()"
    # If it fails, that command compiles them, or does without.
    subprocess.run([str(checkout.python), "-c", words], check=False, stdin=subprocess.DEVNULL, env=environ())
