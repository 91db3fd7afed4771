"""What is left of a store of jobs when the program that writes it is killed, and when the power is cut.

The writing process is killed (SIGKILL) at drawn moments, again and again on one store, under a stream of events. Where
there is a C compiler it is watched while it writes: each write, sync and acknowledgement is written down. From that it
is counted how many acknowledgements came while something was not synced, and the disk is made as a power cut at drawn
places would have left it: once with everything gone that was not synced, once with a drawn part of its sectors. The
figures that begin with `careless_` are of the same store without syncs, to see that the judge can find something.

    python benchmarks/killing.py [--quick] [--json]
"""

import argparse
import json
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

SEED = 20260302
KILLS, QUICK_KILLS = 100, 10
CUTS, QUICK_CUTS = 4, 3
CARELESS_KILLS = 3
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


def main() -> int:
    """Measure, print, and say by the exit status whether anything was lost."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--json", action="store_true")
    options = parser.parse_args()
    kills, cuts = (QUICK_KILLS, QUICK_CUTS) if options.quick else (KILLS, CUTS)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name).resolve()
        try:
            shim = build_shim(folder) if shutil.which("cc") else None
        except subprocess.CalledProcessError:
            shim = None
        counts = measure(kills, cuts, folder, shim)
        careless = measure(CARELESS_KILLS, cuts, folder, shim, "careless") if shim else Counter[str]()
        counts.update({f"careless_{key}": careless[key] for key in CARELESS if key in careless})
    if options.json:
        figures = {**counts, "watched": int(shim is not None)}
        print(json.dumps({"benchmark": "killing", "figures": figures, "cases": []}))
    else:
        if shim is None:
            print("No C compiler: the syncs were not watched and the power was not cut.")
        for key, value in counts.items():
            print(f"{key:<24}{value:>8}")
    bad = ("lost", "doubled", "unclean", "power_lost", "power_doubled", "power_unclean", "acknowledged_unsynced")
    return int(any(counts[key] for key in bad))


if __name__ == "__main__":
    sys.exit(main())
