"""Examples of what a desk or a server says: `ask` is a line of what happens."""

import socket
import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from loombench.app.desk.asking import Asked
from loombench.app.desk.circuit import read_operations
from loombench.app.desk.desk import Desk, DeskPlace
from loombench.app.desk.devices import MOST, Devices
from loombench.app.desk.entering import Shown, reply_to
from loombench.app.desk.practice import task_of
from loombench.app.desk.record import payload_of
from loombench.app.desk.secret import server_key
from loombench.app.desk.shelf import shelf
from loombench.app.drawing import Drawings
from loombench.app.finding import open_case
from loombench.app.lookup import look_up
from loombench.app.notation import save_file
from loombench.app.vehicles import open_vehicle
from loombench.base.problems import Problem
from loombench.base.wording import catalogue
from loombench.evidence.complaint import Complaint
from loombench.record.memory import MemoryStore
from loombench.shell.web.serving import bench
from loombench.shell.web.settings import Settings
from loombench.text.load import load_text
from loombench.vehicle.condition import Condition, Operation
from tests.web.server import LAMP


def desk_problems(ask: str) -> Sequence[Problem]:
    """What is said when `ask` happens: `vehicle NAME`, `folder gone`, `key unkept`, `port taken`, `notation FILE`,
    `operations COUNT ONE`, `practice LEVEL`,
    `entry LINE`, `record KIND`, `lan ADDRESS`, `devices unread`, `devices unkept`, `devices many`."""
    happens: Mapping[str, Callable[[Path, str], Sequence[Problem]]] = {
        "vehicle": _vehicle, "folder": _folder, "key": _key, "port": _port,
        "practice": _practice,
        "operations": _operations, "notation": _notation, "look-up": _look_up, "entry": _entry, "record": _record,
        "lan": _lan, "devices": _devices,
    }  # fmt: skip
    verb, _, rest = ask.partition(" ")
    with tempfile.TemporaryDirectory() as folder:
        found = happens[verb](Path(folder), rest)
        return tuple(
            replace(one, facts=tuple((name, _plain(catalogue().text(fact), folder)) for name, fact in one.facts))
            for one in found
        )


def _plain(text: str, folder: str) -> str:
    return text.replace(f"{folder}/", "")


def _vehicle(folder: Path, name: str) -> Sequence[Problem]:
    return Desk(DeskPlace(folder, folder / "jobs.sqlite")).vehicle(name).problems


def _practice(folder: Path, level: str) -> Sequence[Problem]:
    (folder / "empty.circuit").write_text('loombench 1\nvehicle "Empty" 12V\n', encoding="utf-8")
    here = Desk(DeskPlace(folder, folder / "jobs.sqlite")).vehicle("empty").value
    assert here is not None
    return task_of(here, Asked(), level, 1).problems


def _operations(_folder: Path, rest: str) -> Sequence[Problem]:
    count, _, operation = rest.partition(" ")
    return read_operations(load_text(LAMP).value, (operation,) * int(count)).problems


def _entry(_folder: Path, line: str) -> Sequence[Problem]:
    complaint = Complaint("E7", "dead", Condition((Operation("set", "S4", "on"),)), "E7 dead")
    case = open_case(load_text(LAMP).value, "0" * 64, complaint, MemoryStore(), "7", "2026-03-02T14:00+01:00")
    reply = reply_to(case, None, line, Shown("see E7 when S4=on", None, "", 1), catalogue())
    assert isinstance(reply, Problem)
    return (reply,)


def _record(_folder: Path, kind: str) -> Sequence[Problem]:
    found = payload_of(kind, {})
    assert isinstance(found, Problem)
    return (found,)


def _folder(folder: Path, _rest: str) -> Sequence[Problem]:
    return shelf(folder / "vehicles").problems


def _key(folder: Path, _rest: str) -> Sequence[Problem]:
    (folder / "file").write_text("", encoding="utf-8")
    return server_key(folder / "file" / "store").problems


def _notation(folder: Path, name: str) -> Sequence[Problem]:
    main = folder / "example.circuit"
    main.write_text('loombench 1\nvehicle "Example" 12V\n', encoding="utf-8")
    return save_file(folder, open_vehicle(str(main)), main, name, "", "").problems


def _look_up(_folder: Path, text: str) -> Sequence[Problem]:
    vehicle = load_text('loombench 1\nvehicle "Example" 12V\nlamp E7 12V 55W "work lamp"\n').value
    return look_up(vehicle, Drawings(vehicle), text, catalogue()).problems


def _port(folder: Path, _rest: str) -> Sequence[Problem]:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = int(taken.getsockname()[1])
        found = bench(Settings(folder, folder / "jobs.sqlite", port=port)).problems
    return tuple(
        replace(one, facts=tuple((n, catalogue().text(t).replace(str(port), "8137")) for n, t in one.facts))
        for one in found
    )


def _lan(folder: Path, address: str) -> Sequence[Problem]:
    return bench(Settings(folder, folder / "jobs.sqlite", port=0, lan=address)).problems


def _devices(folder: Path, how: str) -> Sequence[Problem]:
    if how == "unread":
        (folder / "devices.json").write_text('{"format": 1, "devices": [{"name"', encoding="utf-8")
        return Devices(folder).problems
    if how == "unkept":
        (folder / "file").write_text("", encoding="utf-8")
        return Devices(folder / "file" / "store").add("Tablet", "2026-03-02T14:00+01:00").problems
    full = Devices(folder)
    return tuple(problem for _ in range(MOST + 1) for problem in full.add("Tablet", "2026-03-02T14:00+01:00").problems)
