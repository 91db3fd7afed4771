"""How long the served bench takes from a click to the changed value, with many tablets at once.

Each client is a page of its own on the library van with a live circuit: it opens a function, and then taps on parts,
one after the other, as a person would: each tap is one operation more, asked for over HTTP as the page asks for it, and
timed until the whole answer is there. After some taps it goes to another function. First all clients tap with a pause
between two taps (`p50_ms`, `p95_ms`); then again without any pause (`saturated_`), which is no work of people but shows
the reserve. Opening a function's page is timed apart (`open_`). An answer that is none, or that shows no drawing, is an
error.

`ready_s` is from the start of the program to the first page in hand, the median of some starts.

    python benchmarks/bench_load.py [--quick] [--json] [--clients N] [--think S]
"""

import argparse
import http.client
import json
import random
import re
import statistics
import sys
import tempfile
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from tests.web.server import Server, serving, shelf_of

VEHICLE = "library-van"
SEED = 20261126
CLIENTS, THINK_S = 10, 1.0
TAPS_OF_A_FUNCTION = 8
PACED_S, SATURATED_S, STARTS = 40.0, 15.0, 5
QUICK_PACED_S, QUICK_SATURATED_S, QUICK_STARTS = 12.0, 5.0, 2
_FUNCTION = re.compile(rf'href="(/vehicle/{VEHICLE}/circuit/[^"?#]+)"')


@dataclass
class Times:
    """What one client saw, in milliseconds; an error is a text."""

    taps_ms: list[float] = field(default_factory=list)
    opens_ms: list[float] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)


class Client:
    """One page after the other, on one connection that stays."""

    def __init__(self, address: str, number: int) -> None:
        self._wire = http.client.HTTPConnection(address.removeprefix("http://").strip("/"), timeout=120)
        self._draw = random.Random(SEED + number)
        self._headers = {"X-Loombench-Page": f"page-{number}", "Accept-Language": "en"}
        _, text = self._got(f"/vehicle/{VEHICLE}/circuit", "text/html")
        self._functions = sorted(set(_FUNCTION.findall(text)))
        assert self._functions

    def _got(self, path: str, kind: str, **headers: str) -> tuple[int, str]:
        self._wire.request("GET", path, headers={**self._headers, "Accept": kind, **headers})
        answer = self._wire.getresponse()
        cookie = answer.getheader("set-cookie")
        if cookie:
            self._headers["Cookie"] = cookie.partition(";")[0]
        return answer.status, answer.read().decode("utf-8")

    def play(self, times: Times, think_s: float, ended: threading.Event) -> None:
        """Open, tap and go elsewhere, until it is over."""
        while not ended.is_set():
            path = self._draw.choice(self._functions)
            begun = time.perf_counter()
            status, _ = self._got(path, "text/html")
            times.opens_ms.append(1000 * (time.perf_counter() - begun))
            if status != 200:
                times.errors.append(f"{path}: {status}")
            done, have, taps = list[str](), "", dict[str, str]()
            for number in range(TAPS_OF_A_FUNCTION + 1):
                if ended.wait(think_s * self._draw.uniform(0.5, 1.5)):
                    return
                if number:
                    done.append(self._draw.choice(sorted(one for one in taps.values() if one)))
                asked = f"{path}?{urlencode([('do', one) for one in done])}"
                begun = time.perf_counter()
                status, text = self._got(asked, "application/json", **{"X-Loombench-Have": have})
                took_ms = 1000 * (time.perf_counter() - begun)
                wrong = _wrong(status, text, asked)
                if wrong:
                    times.errors.append(f"{asked}: {wrong}")
                    break
                if number:
                    times.taps_ms.append(took_ms)
                found = json.loads(text)
                have = ",".join(one["key"] for one in found["pages"])
                taps = found["taps"]
                if not any(taps.values()):
                    break


def _wrong(status: int, text: str, asked: str) -> str:
    """What is wrong with an answer: it has to be of the state asked for, with the drawing and the meter in it."""
    if status != 200:
        return f"status {status}"
    found = json.loads(text)
    if found["address"].partition("?")[2] != asked.partition("?")[2]:
        return "another state"
    drawn = found["pages"] and all(one["live"] is not None and one["over"] is not None for one in found["pages"])
    return "" if drawn and found["pieces"]["meter"] else "no drawing"


def measure(server: Server, clients: int, think_s: float, seconds: float) -> Times:
    """All clients at once for some seconds."""
    ended, every = threading.Event(), [Times() for _ in range(clients)]
    playing = [
        threading.Thread(target=Client(server.address, number).play, args=(times, think_s, ended))
        for number, times in enumerate(every)
    ]
    for thread in playing:
        thread.start()
    time.sleep(seconds)
    ended.set()
    for thread in playing:
        thread.join()
    return Times(
        [one for times in every for one in times.taps_ms],
        [one for times in every for one in times.opens_ms],
        [one for times in every for one in times.errors],
    )


def warm(server: Server) -> int:
    """Open every function once on each of the workers, so that its drawing is there; how many functions there are."""
    client = Client(server.address, 0)
    for path in client._functions:
        client._got(path, "text/html")
    return len(client._functions)


def first_page_s(folder: Path) -> float:
    """From the start of the program to the first page."""
    begun = time.perf_counter()
    with serving(folder / "vehicles", folder / "jobs.sqlite") as server:
        wire = http.client.HTTPConnection(server.address.removeprefix("http://").strip("/"), timeout=120)
        wire.request("GET", "/")
        answer = wire.getresponse()
        assert answer.status == 200
        answer.read()
        return time.perf_counter() - begun


def percentile(values: list[float], part: float) -> float:
    """The value below which so much of them lies."""
    found = sorted(values)
    return found[min(len(found) - 1, int(part * len(found)))] if found else float("nan")


def main() -> int:
    """Measure, print, and say by the exit status whether there were errors."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--clients", type=int, default=CLIENTS)
    parser.add_argument("--think", type=float, default=THINK_S)
    options = parser.parse_args()
    paced_s, saturated_s, starts = (
        (QUICK_PACED_S, QUICK_SATURATED_S, QUICK_STARTS) if options.quick else (PACED_S, SATURATED_S, STARTS)
    )
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name).resolve()
        shelf_of(folder / "vehicles", VEHICLE)
        ready_s = [first_page_s(folder) for _ in range(starts)]
        with serving(folder / "vehicles", folder / "jobs.sqlite") as server:
            functions = warm(server)
            paced = measure(server, options.clients, options.think, paced_s)
            saturated = measure(server, options.clients, 0.0, saturated_s)
    figures = {
        "clients": options.clients,
        "think_s": options.think,
        "functions": functions,
        "taps": len(paced.taps_ms),
        "p50_ms": round(percentile(paced.taps_ms, 0.5), 1),
        "p95_ms": round(percentile(paced.taps_ms, 0.95), 1),
        "worst_ms": round(max(paced.taps_ms, default=float("nan")), 1),
        "open_p50_ms": round(percentile(paced.opens_ms, 0.5), 1),
        "open_p95_ms": round(percentile(paced.opens_ms, 0.95), 1),
        "errors": len(paced.errors) + len(saturated.errors),
        "saturated_taps_per_s": round(len(saturated.taps_ms) / saturated_s, 1),
        "saturated_p50_ms": round(percentile(saturated.taps_ms, 0.5), 1),
        "saturated_p95_ms": round(percentile(saturated.taps_ms, 0.95), 1),
        "ready_s": round(statistics.median(ready_s), 2),
        "ready_worst_s": round(max(ready_s), 2),
    }
    errors = [*paced.errors, *saturated.errors]
    if options.json:
        print(json.dumps({"benchmark": "bench_load", "figures": figures, "cases": errors[:20]}))
    else:
        for key, value in figures.items():
            print(f"{key:<24}{value:>10}")
        for one in errors[:20]:
            print(one)
    return int(bool(errors))


if __name__ == "__main__":
    sys.exit(main())
