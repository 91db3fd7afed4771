"""Examples of what a desk or a server says: `ask` is a line of what happens."""

import socket
import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from loombench.app.desk.circuit import read_operations
from loombench.app.desk.desk import Desk, DeskPlace
from loombench.app.desk.secret import server_key
from loombench.app.desk.shelf import shelf
from loombench.base.problems import Problem
from loombench.shell.web.serving import serve
from loombench.shell.web.settings import Settings
from loombench.text.load import load_text
from tests.web.server import LAMP


def desk_problems(ask: str) -> Sequence[Problem]:
    """What is said when `ask` happens: `vehicle NAME`, `folder gone`, `key unkept`, `port taken`."""
    happens: Mapping[str, Callable[[Path, str], Sequence[Problem]]] = {
        "vehicle": _vehicle, "folder": _folder, "key": _key, "port": _port,
        "operations": _operations,
    }  # fmt: skip
    verb, _, rest = ask.partition(" ")
    with tempfile.TemporaryDirectory() as folder:
        found = happens[verb](Path(folder), rest)
        return tuple(
            replace(one, facts=tuple((name, _plain(text, folder)) for name, text in one.facts)) for one in found
        )


def _plain(text: str, folder: str) -> str:
    return text.replace(f"{folder}/", "")


def _vehicle(folder: Path, name: str) -> Sequence[Problem]:
    return Desk(DeskPlace(folder, folder / "jobs.sqlite")).vehicle(name).problems


def _operations(_folder: Path, rest: str) -> Sequence[Problem]:
    count, _, operation = rest.partition(" ")
    return read_operations(load_text(LAMP).value, (operation,) * int(count)).problems


def _folder(folder: Path, _rest: str) -> Sequence[Problem]:
    return shelf(folder / "vehicles").problems


def _key(folder: Path, _rest: str) -> Sequence[Problem]:
    (folder / "file").write_text("", encoding="utf-8")
    return server_key(folder / "file" / "store").problems


def _port(folder: Path, _rest: str) -> Sequence[Problem]:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = int(taken.getsockname()[1])
        found = serve(Settings(folder, folder / "jobs.sqlite", port=port), lambda _address: None, show=False).problems
    return tuple(replace(one, facts=tuple((n, t.replace(str(port), "8137")) for n, t in one.facts)) for one in found)
