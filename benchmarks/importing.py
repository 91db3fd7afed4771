"""How long harness files take to import and how much memory: a KBL file of 50 MB, and 6,000 wires in three formats.

    python benchmarks/importing.py [--quick] [--json]

The files are made up by `harnessfiles.py` with a seed. Each is imported by the program as a user runs it, into a folder
and in a process of its own, whose peak is the largest resident memory that the system counted; the counts it prints
must be those of the plan. `import_s` is the import itself in a running program: reading, putting together, checking and
writing. It is in seconds of the processor, the shortest of several runs; it depends on the machine and is not judged.
"""

import argparse
import json
import os
import sys
import tempfile
import time
from pathlib import Path
from subprocess import DEVNULL, PIPE, Popen, run

from harnessfiles import FORMATS, OPTIONS

LARGE_WIRES, MANY_WIRES, FEW_WIRES = 30_000, 6_000, 600
LEAST_LARGE_MB = 50
LARGEST_MIB = 400
MAKER = Path(__file__).with_name("harnessfiles.py")


def as_command(file: Path, folder: Path, codes: tuple[str, ...]) -> tuple[dict[str, object], float]:
    """What the program prints, and its peak in MiB."""
    command = [sys.executable, "-m", "loombench", "import", str(file), "-o", str(folder), "--json"]
    command += ["--options", ",".join(codes)] if codes else []
    with Popen(command, stdout=PIPE, stderr=DEVNULL) as process:
        assert process.stdout is not None
        printed = process.stdout.read()
        _, status, usage = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise RuntimeError(f"{' '.join(command)} ended with {process.returncode}")
    return json.loads(printed), usage.ru_maxrss / 1024


def import_s(file: Path, folder: Path, codes: tuple[str, ...]) -> float:
    """Seconds of one import in this process."""
    from loombench.app.importing import Request, make_import, write_import  # noqa: PLC0415  (it would count in the peaks)

    start = time.process_time()
    made = make_import(Request((str(file),), codes or None))
    assert made.value is not None
    problems = write_import(made.value, folder)
    seconds = time.process_time() - start
    assert not problems
    return seconds


def wrong(counts: dict[str, object], wanted: dict[str, int], name: str) -> list[str]:
    """What the program counted otherwise than the plan has it; a wire list and VEC say nothing of boxes."""
    names = wanted if name == "kbl" else ("connections", "nets", "largest_net")
    return [f"{name}: {key} {counts.get(key)}, not {wanted[key]}" for key in names if counts.get(key) != wanted[key]]


def main() -> int:
    """Measure and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--json", action="store_true")
    options = parser.parse_args()
    figures: dict[str, float] = {}
    bad: list[str] = []
    cases = [(name, FEW_WIRES if options.quick else MANY_WIRES) for name in FORMATS]
    cases += [] if options.quick else [("kbl", LARGE_WIRES)]
    with tempfile.TemporaryDirectory() as place:
        for name, wires in cases:
            file = Path(place, f"{wires}.{name}")
            # In another process, and before anything is imported here: what this process holds counts in the peaks.
            made = run([sys.executable, MAKER, name, str(wires), file], stdout=PIPE, check=True)
            counts, peak_mib = as_command(file, Path(place, f"{name}-{wires}"), codes(name))
            bad += wrong(counts, json.loads(made.stdout), name)
            figures[f"{name}_{wires}_mb"] = round(file.stat().st_size / 1e6, 1)
            figures[f"{name}_{wires}_peak_mib"] = round(peak_mib, 1)
            if peak_mib > LARGEST_MIB:
                bad.append(f"{name}: {wires} wires took {peak_mib:.0f} MiB, more than {LARGEST_MIB}")
        for name, wires in cases:
            runs = 1 if options.quick or wires == LARGE_WIRES else 5
            folders = [Path(place, f"{name}-{wires}-{n}") for n in range(runs)]
            seconds = min(import_s(Path(place, f"{wires}.{name}"), folder, codes(name)) for folder in folders)
            figures[f"{name}_{wires}_import_s"] = round(seconds, 2)
    if not options.quick and figures[f"kbl_{LARGE_WIRES}_mb"] < LEAST_LARGE_MB:
        bad.append(f"the large file has less than {LEAST_LARGE_MB} MB")
    if options.json:
        listed = [{"name": name, "wires": wires} for name, wires in cases]
        print(json.dumps({"benchmark": "importing", "figures": figures, "cases": listed, "wrong": bad}))
    else:
        for figure, value in figures.items():
            print(f"{figure:24} {value}")
        print(*bad, sep="\n")
    return 1 if bad else 0


def codes(name: str) -> tuple[str, ...]:
    """The options that bring in all of a file; only KBL has any."""
    return OPTIONS if name == "kbl" else ()


if __name__ == "__main__":
    sys.exit(main())
