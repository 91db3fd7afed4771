"""What goes wrong around the bench: it says so on the page, keeps what was kept, and goes on when it can."""

import json
import os
import re
import resource
import socket
import threading
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from typer.testing import CliRunner

from loombench.evidence.events import ReadingTaken
from loombench.record.sqlite import open_store
from loombench.shell.cli import application as cli
from loombench.shell.web import application as module
from loombench.shell.web.pool import Pool
from tests.record.storeexamples import alter
from tests.web.idlework import idle_work, let_go
from tests.web.killing import COMPLAINT
from tests.web.server import ROOT, asked, serving, shelf_of, writing

BACKWARDS, BARRED = ROOT / "tests/web/backwards", ROOT / "tests/web/barred"


def begun(client: TestClient) -> tuple[str, dict[str, str]]:
    """A job with one reading in it."""
    headers = writing(client)
    case = client.post("/jobs", json={"vehicle": "lamp", "complaint": COMPLAINT}, headers=headers).json()["case"]
    assert entered(client, case, headers, "e0", 12.0)["kept"] is True
    return case, headers


def entered(client: TestClient, case: str, headers: dict[str, str], name: str, volts: float) -> dict[str, object]:
    """What became of a reading."""
    sent = {"entry": name, "line": f"S4.1 {volts:.1f} V when S4=on"}
    answer = client.post(f"/job/{case}/entries", json=sent, headers=headers)
    assert answer.status_code == 200
    found: dict[str, object] = answer.json()
    return found


def readings(store: Path, case: str) -> list[float]:
    """What the store has."""
    opened = open_store(store)
    assert opened.value is not None
    found = opened.value.read(case)
    opened.value.close()
    return [one.payload.value for one in found.value if isinstance(one.payload, ReadingTaken)]


def titles(found: dict[str, object]) -> str:
    problems = found["problems"]
    assert isinstance(problems, list)
    return " ".join(f"{one['title']} {one['fix']}" for one in problems)


class Wire:
    """A page's session with a server that is a program of its own."""

    def __init__(self, address: str) -> None:
        self._address = address
        with urllib.request.urlopen(f"{address}devices", timeout=60) as answer:
            cookie = str(answer.headers["set-cookie"]).partition(";")[0]
            token = re.search(r'Token":"(\w+)"', answer.read().decode("utf-8"))
        assert token is not None
        self._headers = {"Cookie": cookie, "X-Loombench-Token": token[1], "Content-Type": "application/json"}

    def post(self, path: str, body: dict[str, object]) -> dict[str, object]:
        """The answer to something posted."""
        request = urllib.request.Request(self._address + path, json.dumps(body).encode(), self._headers)
        with urllib.request.urlopen(request, timeout=60) as answer:
            found: dict[str, object] = json.loads(answer.read())
            return found


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[TestClient]:
    with asked(shelf_of(tmp_path / "vehicles"), tmp_path / "store" / "jobs.sqlite") as client:
        yield client


def workers(client: TestClient) -> list[int]:
    """The workers of the application in this process."""
    lanes = client.app.app.state.pool._lanes()  # type: ignore[attr-defined]
    return [one._process.pid for lane in lanes for one in lane.workers if one._process is not None]


def test_a_full_disk_is_said_and_goes_on_when_there_is_room(bench: TestClient, tmp_path: Path) -> None:
    """No file may grow any more: what that does to SQLite is what a full disk does."""
    case, headers = begun(bench)
    free = (resource.RLIM_INFINITY, resource.RLIM_INFINITY)
    for one in workers(bench):
        resource.prlimit(one, resource.RLIMIT_FSIZE, (0, resource.RLIM_INFINITY))
    full = entered(bench, case, headers, "e1", 11.0)
    assert full["kept"] is False
    assert titles(full)
    assert bench.get("/").status_code == 200
    assert bench.get(f"/job/{case}").status_code == 200
    for one in workers(bench):
        resource.prlimit(one, resource.RLIMIT_FSIZE, free)
    assert entered(bench, case, headers, "e1", 11.0)["kept"] is True
    assert entered(bench, case, headers, "e1", 11.0)["kept"] is True
    assert readings(tmp_path / "store" / "jobs.sqlite", case) == [12.0, 11.0]


def test_a_store_that_is_damaged_while_served_is_said_and_what_can_be_read_is_there(
    bench: TestClient, tmp_path: Path
) -> None:
    case, headers = begun(bench)
    store = tmp_path / "store" / "jobs.sqlite"
    # Close what is open, so that the damage is in the file and not in front of it in the log.
    for one in workers(bench):
        os.kill(one, 9)
    opened = open_store(store)
    assert opened.value is not None
    opened.value.close()
    data = store.read_bytes()
    store.write_bytes(data[:4096] + b"\xa5" * (len(data) - 4096))
    for _ in range(3):
        answer = bench.post(f"/job/{case}/entries", json={"entry": "e1", "line": "S4.1 11 V"}, headers=headers)
        if answer.status_code == 200:
            break
    assert answer.json()["kept"] is False
    assert "damaged" in titles(answer.json())
    page = bench.get("/")
    assert page.status_code == 200
    assert "damaged" in page.text
    assert "Lamp" in page.text


def test_another_programs_file_in_its_place_is_left_alone(tmp_path: Path) -> None:
    store = tmp_path / "jobs.sqlite"
    store.write_bytes(b"no data base at all" * 100)
    with asked(shelf_of(tmp_path / "vehicles"), store) as client:
        page = client.get("/")
        assert page.status_code == 200
        assert 'class="problem error"' in page.text
        assert "Lamp" in page.text
        answer = client.post("/jobs", json={"vehicle": "lamp", "complaint": COMPLAINT}, headers=writing(client))
        assert answer.status_code == 422
    assert store.read_bytes() == b"no data base at all" * 100


def test_the_store_of_a_newer_version_is_only_read(bench: TestClient, tmp_path: Path) -> None:
    case, headers = begun(bench)
    store = tmp_path / "store" / "jobs.sqlite"
    alter(store, "update alembic_version set version_num = '9999'")
    with asked(tmp_path / "vehicles", store) as later:
        page = later.get("/")
        assert case in page.text
        assert "newer" in page.text
        refused = entered(later, case, writing(later), "e1", 11.0)
        assert refused["kept"] is False
        assert "newer" in titles(refused)
    assert headers


def test_a_folder_that_may_not_be_written_is_said(tmp_path: Path) -> None:
    shelf, store = shelf_of(tmp_path / "vehicles"), tmp_path / "store" / "jobs.sqlite"
    with asked(shelf, store) as client:
        case, _ = begun(client)
    environment = {**os.environ, "PYTHONPATH": str(BARRED)}
    with serving(shelf, store, environment=environment) as server:
        with urllib.request.urlopen(server.address, timeout=60) as answer:
            text = answer.read().decode("utf-8")
        refused = Wire(server.address).post(f"job/{case}/entries", {"entry": "e1", "line": "S4.1 11 V"})
    assert refused["kept"] is False
    assert "written" in titles(refused)
    assert case in text
    assert "Lamp" in text
    assert 'class="problem warning"' in text
    assert readings(store, case) == [12.0]


def test_a_clock_that_goes_back_loses_nothing(tmp_path: Path) -> None:
    store = tmp_path / "store" / "jobs.sqlite"
    environment = {**os.environ, "PYTHONPATH": str(BACKWARDS)}
    with serving(shelf_of(tmp_path / "vehicles"), store, environment=environment) as server:
        post = Wire(server.address).post
        case = str(post("jobs", {"vehicle": "lamp", "complaint": COMPLAINT})["case"])
        for number in range(4):
            line = f"S4.1 {10 + number}.0 V when S4=on"
            assert post(f"job/{case}/entries", {"entry": f"e{number}", "line": line})["kept"] is True
    opened = open_store(store)
    assert opened.value is not None
    read = opened.value.read(case)
    times = [one.time for one in read.value]
    opened.value.close()
    assert times != sorted(times)
    assert "record-clock" in {one.code for one in read.problems}
    assert readings(store, case) == [10.0, 11.0, 12.0, 13.0]


def test_a_port_in_use_is_said(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        words = ["serve", str(tmp_path), "--store", str(tmp_path / "s"), "--port", str(taken.getsockname()[1])]
        done = CliRunner().invoke(cli, words, catch_exceptions=False)
    assert done.exit_code == 1
    assert "error serve-port" in done.stderr
    assert "--port" in done.stderr
    assert "Traceback" not in done.stderr


def below(process: int) -> set[int]:
    """The processes that came from one, by the system's own table."""
    parents = {}
    for entry in Path("/proc").iterdir():
        try:
            parents[int(entry.name)] = int((entry / "stat").read_text(encoding="utf-8").rpartition(")")[2].split()[1])
        except (ValueError, OSError):
            continue  # no process, or one that has just ended
    found = {process}
    while more := {one for one, parent in parents.items() if parent in found} - found:
        found |= more
    return found - {process}


def test_no_worker_outlives_the_server(tmp_path: Path) -> None:
    with serving(shelf_of(tmp_path / "vehicles"), tmp_path / "jobs.sqlite") as server:
        with urllib.request.urlopen(server.address, timeout=60) as answer:
            assert answer.status == 200
        left = below(server.process.pid)
        assert len(left) >= 3
        os.kill(server.process.pid, 9)
        server.process.wait(20)
        while any(Path(f"/proc/{one}").exists() and "zombie" not in state(one) for one in left):
            pass


def state(process: int) -> str:
    try:
        return Path(f"/proc/{process}/status").read_text(encoding="utf-8")
    except OSError:
        return "zombie"


@contextmanager
def idle(monkeypatch: pytest.MonkeyPatch, folder: Path) -> Iterator[TestClient]:
    monkeypatch.setattr(module, "Pool", partial(Pool, work=idle_work))
    with asked(shelf_of(folder), folder / "store" / "jobs.sqlite") as client:
        yield client


def aside(act: Callable[[], object]) -> threading.Thread:
    thread = threading.Thread(target=act)
    thread.start()
    return thread


def test_the_look_of_a_page_is_there_while_all_workers_are_busy(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    with idle(monkeypatch, tmp_path) as client:
        answers = list[int]()
        thread = aside(lambda: answers.append(client.get("/").status_code))
        while not (tmp_path / "first.begun").exists():
            assert client.get("/static/bench.css").status_code == 200
        assert client.get("/devices").status_code == 200
        assert answers == []
        let_go(tmp_path, "first")
        thread.join()
        # The idle worker's answer is none that the page can be made of: that is a mistake, and is said as one.
        assert answers == [500]


def test_a_worker_that_dies_is_said_and_the_next_question_is_answered(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    with idle(monkeypatch, tmp_path) as client:
        answer = client.get("/vehicle/lamp/find", headers={"Accept-Language": "en"})
        assert answer.status_code == 500
        assert "Nothing that was confirmed is lost." in answer.text
        assert "Traceback" not in answer.text
        assert "content-security-policy" in answer.headers
        let_go(tmp_path, "first")
        assert client.get("/").status_code == 500
        assert client.get("/static/bench.css").status_code == 200
