"""What is left of a store of jobs when the program that writes it is killed, and when the power is cut.

The writing process is killed (SIGKILL) at drawn moments, again and again on one store, under a stream of events. Where
there is a C compiler it is watched while it writes: each write, sync and acknowledgement is written down. From that it
is counted how many acknowledgements came while something was not synced, and the disk is made as a power cut at drawn
places would have left it: once with everything gone that was not synced, once with a drawn part of its sectors. The
figures that begin with `careless_` are of the same store without syncs, to see that the judge can find something.

The figures that begin with `served_` are of the bench: the server and its workers are killed together while a page
posts one reading after the other over HTTP, and sends again what was not answered. An acknowledgement is there the
answer's bytes going out on the socket.

    python benchmarks/killing.py [--quick] [--json]
"""

import argparse
import json
import os
import random
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from tests.record.killing import cut_power, kill, look, unsynced
from tests.record.powercut import Disk, build_shim, calls, watched
from tests.web.killing import Page, careless, kill_served, look_numbers, look_served, said_over_http, watched_sends

SEED = 20260302
KILLS, QUICK_KILLS = 100, 10
CUTS, QUICK_CUTS = 4, 3
CARELESS_KILLS = 3
QUICK_SERVED_KILLS = 4
KILLS_OF_A_JOB = 10
"""After so many a new job is begun, so that a job stays as long as a real one."""
CARELESS = ("kills", "acknowledged_unsynced", "power_cuts", "power_lost")


MEMORY = Path("/dev/shm")
"""Where the disks after a power cut are laid, if it is there: nothing on them has to last."""


def measure(kills: int, cuts: int, folder: Path, shim: Path | None, mode: str = "append") -> Counter[str]:
    """Kill so many times, and cut the power at so many places of each run besides its end."""
    draw = random.Random(SEED)
    place, log = folder / mode / "jobs.sqlite", folder / "log"
    place.parent.mkdir()
    with tempfile.TemporaryDirectory(dir=MEMORY if MEMORY.is_dir() else None) as name:
        return _measured(kills, cuts, place, log, shim, mode, draw, Path(name) / "cut")


def _measured(
    kills: int, cuts: int, place: Path, log: Path, shim: Path | None, mode: str, draw: random.Random, target: Path
) -> Counter[str]:
    counts: Counter[str] = Counter(kills=kills)
    said: list[int] = []
    for _ in range(kills):
        log.unlink(missing_ok=True)
        before, disk = list(said), Disk(place.parent)
        said += kill(place, draw, watched(shim, place.parent, log) if shim else None, mode, int(mode != "append"))
        if shim and log.exists():
            acknowledged, early = unsynced(list(calls(log.read_bytes())))
            counts.update(acknowledged_watched=acknowledged, acknowledged_unsynced=early)
            for cut in cut_power(disk, log, before, draw, cuts, target):
                counts.update(
                    power_cuts=1, power_lost=cut.found.lost, power_doubled=cut.found.doubled,
                    power_unclean=cut.found.unclean,
                )  # fmt: skip
        found = look(place, said)
        counts.update(lost=found.lost, doubled=found.doubled + len(said) - len(set(said)), unclean=found.unclean)
        counts["unacknowledged_kept"] = found.events - len(set(said))
    counts["acknowledged"] = len(said)
    return counts


def measure_served(kills: int, cuts: int, folder: Path, shim: Path | None, plain: bool = True) -> Counter[str]:
    """The same of the served bench; not `plain`, its store does not sync."""
    draw = random.Random(SEED)
    place, log = folder / ("served" if plain else "careless-served") / "store" / "jobs.sqlite", folder / "log"
    place.parent.mkdir(parents=True)
    counts: Counter[str] = Counter(kills=kills)
    pages = [Page()]
    with tempfile.TemporaryDirectory(dir=MEMORY if MEMORY.is_dir() else None) as name:
        for number in range(kills):
            if number and number % KILLS_OF_A_JOB == 0:
                pages.append(Page())
            _served_round(place, log, shim, plain, draw, pages[-1], cuts, Path(name) / "cut", counts)
    for page in pages:
        found = look_served(place, page)
        counts.update(
            lost=found.lost, doubled=found.doubled, unclean=found.unclean, acknowledged=len(page.answered),
            unacknowledged_kept=found.events - len(page.answered),
        )  # fmt: skip
    return counts


def _served_round(
    place: Path, log: Path, shim: Path | None, plain: bool, draw: random.Random, page: Page, cuts: int, target: Path,
    counts: Counter[str],
) -> None:  # fmt: skip
    log.unlink(missing_ok=True)
    environment = watched_sends(watched(shim, place.parent, log)) if shim else dict(os.environ)
    before, disk = list(page.numbers), Disk(place.parent)
    kill_served(place, page, draw, environment if plain else careless(environment), int(not plain))
    found = look_served(place, page)
    counts.update(lost=found.lost, doubled=found.doubled, unclean=found.unclean)
    if shim:
        acknowledged, early = unsynced(list(calls(log.read_bytes())), said_over_http)
        counts.update(acknowledged_watched=acknowledged, acknowledged_unsynced=early)
        made = cut_power(
            disk, log, before, draw, cuts, target, said_over_http, lambda left, said: look_numbers(left, page, said)
        )
        for cut in made:
            counts.update(
                power_cuts=1, power_lost=cut.found.lost, power_doubled=cut.found.doubled,
                power_unclean=cut.found.unclean,
            )  # fmt: skip


def main() -> int:
    """Measure, print, and say by the exit status whether anything was lost."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--json", action="store_true")
    options = parser.parse_args()
    kills, cuts = (QUICK_KILLS, QUICK_CUTS) if options.quick else (KILLS, CUTS)
    served_kills = QUICK_SERVED_KILLS if options.quick else KILLS
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name).resolve()
        try:
            shim = build_shim(folder) if shutil.which("cc") else None
        except subprocess.CalledProcessError:
            shim = None
        counts = measure(kills, cuts, folder, shim)
        bare = measure(CARELESS_KILLS, cuts, folder, shim, "careless") if shim else Counter[str]()
        counts.update({f"careless_{key}": bare[key] for key in CARELESS if key in bare})
        served = measure_served(served_kills, cuts, folder, shim)
        counts.update({f"served_{key}": value for key, value in served.items()})
        bare = measure_served(CARELESS_KILLS, cuts, folder, shim, plain=False) if shim else Counter[str]()
        counts.update({f"careless_served_{key}": bare[key] for key in CARELESS if key in bare})
    if options.json:
        figures = {**counts, "watched": int(shim is not None)}
        print(json.dumps({"benchmark": "killing", "figures": figures, "cases": []}))
    else:
        if shim is None:
            print("No C compiler: the syncs were not watched and the power was not cut.")
        for key, value in counts.items():
            print(f"{key:<36}{value:>8}")
    bad = ("lost", "doubled", "unclean", "power_lost", "power_doubled", "power_unclean", "acknowledged_unsynced")
    return int(any(counts[key] or counts[f"served_{key}"] for key in bad))


if __name__ == "__main__":
    sys.exit(main())
