"""A worker with questions of the tests: each holds for as long as a file is missing, errs, dies or answers."""

import os
import time
from collections.abc import Mapping
from ctypes import c_longlong
from multiprocessing.connection import Connection
from pathlib import Path

from loombench.app.desk.asking import Asked
from loombench.app.desk.desk import Desk, DeskPlace, Task
from loombench.shell.web import worker

TURN_S = 0.005


def echo(_desk: Desk, asked: Asked, text: str = "") -> tuple[str, str, int]:
    """The language asked in, the text, and who answers."""
    return asked.language, text, os.getpid()


def hold(desk: Desk, asked: Asked, name: str, heedless: bool = False) -> str:
    """Make the file `NAME.begun`, and go on until there is a file `NAME.go`."""
    count = desk.place.folder / f"{name}.begun"
    count.write_text(count.read_text() + "x" if count.exists() else "x")
    asked.tell(f"{name} begun")
    while not (desk.place.folder / f"{name}.go").exists():
        if not heedless:
            asked.go_on()
        time.sleep(TURN_S)
    return name


def err(_desk: Desk, _asked: Asked) -> None:
    """A mistake of the program."""
    raise ZeroDivisionError("secret words")


def die(_desk: Desk, _asked: Asked) -> None:
    """What the system does to a process without memory."""
    os._exit(9)


def first(desk: Desk, asked: Asked) -> str:
    """Instead of the first screen."""
    return hold(desk, asked, "first")


def picking(desk: Desk, asked: Asked, vehicle: str) -> None:
    """Instead of a page: death."""
    assert vehicle
    die(desk, asked)


TASKS: Mapping[str, Task] = {
    "echo": echo, "hold": hold, "err": err, "die": die, "first.screen": first, "finding.picking": picking,
}  # fmt: skip


def idle_work(pipe: Connection, taken_back: c_longlong, place: DeskPlace) -> None:
    """The worker's own loop over those questions."""
    worker.TASKS = TASKS
    worker.work(pipe, taken_back, place)


def dead_work(_pipe: Connection, _taken_back: c_longlong, _place: DeskPlace) -> None:
    """What does not even start."""
    os._exit(9)


def let_go(folder: Path, name: str) -> None:
    """Let `hold` go on."""
    (folder / f"{name}.go").touch()
