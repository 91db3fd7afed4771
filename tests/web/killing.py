"""Killing the served bench, with all its processes, under a stream of readings that a page posts.

The page sends one reading after the other, each with a name and a value of its own, and after the server is back the
one that was not answered again. What was answered must be there, nothing may be there twice.
"""

import http.client
import json
import os
import random
import re
import signal
import threading
import time
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from loombench.evidence.events import ReadingTaken
from loombench.record.sqlite import open_store
from tests.record.killing import Found
from tests.record.powercut import Call
from tests.web.server import ROOT, serving, shelf_of

COMPLAINT = "E7 dead when S4=on"
LONGEST_WAIT_S = 0.03
MOST_BEFORE_KILL = 20
CARELESS = ROOT / "tests/web/careless"
_KEPT = re.compile(rb'\{"kept":true,.*"number":(\d+)')
_FIRST_MV = 10_000


@dataclass
class Page:
    """A page of one job, over all rounds: the values sent (mV), the one that is not answered, those that are."""

    case: str = ""
    sent: list[int] = field(default_factory=list)
    pending: int | None = None
    answered: list[int] = field(default_factory=list)
    numbers: list[int] = field(default_factory=list)

    def post(self, address: str) -> None:
        """Send reading after reading until the server is gone."""
        wire = http.client.HTTPConnection(address.removeprefix("http://").strip("/"), timeout=60)
        try:
            headers = _session(wire)
            if not self.case:
                begun = _posted(wire, "/jobs", {"vehicle": "lamp", "complaint": COMPLAINT}, headers)
                self.case = str(begun["case"])
            while True:
                if self.pending is None:
                    self.pending = _FIRST_MV + len(self.sent)
                    self.sent.append(self.pending)
                line = f"S4.1 {self.pending / 1000:.3f} V when S4=on"
                done = _posted(wire, f"/job/{self.case}/entries", {"entry": f"e{self.pending}", "line": line}, headers)
                assert done["kept"] is True, done
                self.answered.append(self.pending)
                self.numbers.append(int(str(done["number"])))
                self.pending = None
        except (OSError, http.client.HTTPException, json.JSONDecodeError):
            return


def _session(wire: http.client.HTTPConnection) -> Mapping[str, str]:
    wire.request("GET", "/devices")
    answer = wire.getresponse()
    cookie = str(answer.getheader("set-cookie")).partition(";")[0]
    token = re.search(r'Token":"(\w+)"', answer.read().decode("utf-8"))
    assert token is not None
    return {"Cookie": cookie, "X-Loombench-Token": token[1], "Content-Type": "application/json"}


def _posted(
    wire: http.client.HTTPConnection, path: str, body: Mapping[str, object], headers: Mapping[str, str]
) -> Mapping[str, object]:
    wire.request("POST", path, json.dumps(body), dict(headers))
    answer = wire.getresponse()
    read: Mapping[str, object] = json.loads(answer.read())
    assert answer.status < 300, read
    return read


def watched_sends(environment: Mapping[str, str]) -> Mapping[str, str]:
    """The environment in which answers are written down too."""
    return {**environment, "SHIM_SENDS": "1"}


def careless(environment: Mapping[str, str]) -> Mapping[str, str]:
    """The environment of a server whose store does not sync."""
    return {**environment, "PYTHONPATH": str(CARELESS)}


def kill_served(
    place: Path, page: Page, draw: random.Random, environment: Mapping[str, str] | None = None, least: int = 0,
    most: int = MOST_BEFORE_KILL,
) -> None:  # fmt: skip
    """Serve, let the page post, and kill all processes at once: after a drawn number of answers, at a drawn moment."""
    before = len(page.answered)
    wanted, wait_s = draw.randint(least, most), draw.random() * LONGEST_WAIT_S
    with serving(
        shelf_of(place.parent.parent / "vehicles"), place, environment=environment or dict(os.environ)
    ) as server:
        thread = threading.Thread(target=page.post, args=(server.address,))
        thread.start()
        while (len(page.answered) < before + wanted or not page.case) and thread.is_alive():
            time.sleep(0.001)
        time.sleep(wait_s)
        os.killpg(server.process.pid, signal.SIGKILL)
        thread.join()
    assert len(page.answered) >= before + wanted


def said_over_http(call: Call) -> list[int]:
    """The numbers of the events that an answer says are kept."""
    found = _KEPT.match(call.data) if call.letter == "A" else None
    return [int(found[1])] if found else []


def look_served(place: Path, page: Page) -> Found:
    """Open the store that was left behind, and hold it against what the page was answered."""
    opened = open_store(place)
    if opened.value is None:
        return Found(len(page.answered), 0, 1, 0)
    read = opened.value.read(page.case)
    opened.value.close()
    values = Counter(round(one.payload.value * 1000) for one in read.value if isinstance(one.payload, ReadingTaken))
    lost = sum(one not in values for one in page.answered)
    doubled = sum(count - 1 for count in values.values()) + sum(one not in page.sent for one in values)
    numbers = [one.number for one in read.value]
    doubled += sum(after != before + 1 for before, after in zip([0, *numbers], numbers, strict=False))
    return Found(lost, doubled, int(bool(opened.problems or read.problems)), values.total())


def look_numbers(place: Path, page: Page, acknowledged: Sequence[int]) -> Found:
    """The same of a disk after a power cut, by the numbers that were acknowledged until then."""
    opened = open_store(place)
    if opened.value is None:
        return Found(len(acknowledged), 0, 1, 0)
    read = opened.value.read(page.case) if page.case else None
    opened.value.close()
    numbers = [one.number for one in read.value] if read is not None else []
    gaps = sum(after != before + 1 for before, after in zip([0, *numbers], numbers, strict=False))
    clean = not opened.problems and not (read is not None and read.problems)
    return Found(len(set(acknowledged) - set(numbers)), gaps, int(not clean), len(numbers))
