"""Every circuit page of every example vehicle and of imported harness samples, judged as a browser shows it.

    python benchmarks/drawing.py [--quick] [--json] [--files FILE ...] [--keep FOLDER]

The netlist of a function is rebuilt from the lines of its pages alone (`drawnnets`) and held against the vehicle's
wires (`drawncompare`); what must be on the pages is searched in the vehicle's graph (`drawnwanted`). What lies on what
is measured by headless Chromium (`drawnlooks`). Crossings and bends stand beside those of the layout engine left alone
with the same parts and wires (`drawnplain`). The times are those of a function of about 60 parts: cold in a fresh
process, with the engine still to be started; drawn again in it; and in a process that finds the arrangement kept.

`--files` takes vehicles or harness data instead; `--keep` writes the pages there, with a picture of each of the worst.
"""

import argparse
import json
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, fields, replace
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from benchmarks.drawncompare import lacking, mismatches
from benchmarks.drawnlooks import looks, seen_in, symbols
from benchmarks.drawnnets import bends, crossings, rebuilt
from benchmarks.drawnpage import Page, read_page, whole
from benchmarks.drawnpages import Pages, all_pages, times
from benchmarks.drawnplain import plain
from benchmarks.drawnsafe import unsafe
from benchmarks.drawntrue import UNLABELLED, wrong_colours, wrong_labels
from benchmarks.drawnwanted import wanted
from benchmarks.fleet import write
from loombench.app.importing import Request, make_import, write_import
from loombench.app.vehicles import open_vehicle
from loombench.draw.engine.engines import load_engine
from loombench.vehicle.model import Vehicle
from tests.browser import browser_page

ROOT = Path(__file__).resolve().parents[1]
SAMPLES = ROOT / "tests" / "exchange" / "samples"
HARNESS_DATA = ROOT / "examples" / "harness-data"
HARNESSES: tuple[tuple[Path, ...], ...] = (
    tuple(HARNESS_DATA / name for name in ("cab.csv", "rear.csv", "connectors.csv")),
    *((SAMPLES / name,) for name in ("mini.kbl", "mini.vec", "mini_fuse.vec", "mini_wirelist.csv")),
    *((SAMPLES / name,) for name in ("ARENA-VWS4LS-DEMO.vec", "VEC-Change-Example-I.xml")),
)
MADE_UP = ((300, 7), (700, 8))
"""Wires and seed of vehicles that nobody has looked at while drawing was written."""
QUICK = ("telehandler-roof", "tipper-tarpaulin", "touring-coach", "mini.kbl")
COLD_S, CACHED_S = 1.0, 0.05
WORST = 10
MUST_BE_NOUGHT = (
    "overlaps", "labels_on_symbols", "text_below_2_5_mm", "cut_off", "netlist_mismatches", "drawing_faults", "missing",
    "wrong_labels", "wrong_colours", "unsafe", "unreadable",
)  # fmt: skip


@dataclass
class Case:
    """One function of one vehicle, with a line for everything that is wrong with its pages."""

    vehicle: str
    function: str
    pages: int = 0
    parts: int = 0
    wires: int = 0
    crossings: int = 0
    bends: int = 0
    plain_crossings: int = 0
    plain_bends: int = 0
    area_dm2: float = 0.0
    overlaps: list[str] = field(default_factory=list)
    labels_on_symbols: list[str] = field(default_factory=list)
    text_below_2_5_mm: list[str] = field(default_factory=list)
    cut_off: list[str] = field(default_factory=list)
    netlist_mismatches: list[str] = field(default_factory=list)
    drawing_faults: list[str] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)
    wrong_labels: list[str] = field(default_factory=list)
    wrong_colours: list[str] = field(default_factory=list)
    unlabelled: list[str] = field(default_factory=list)
    unsafe: list[str] = field(default_factory=list)
    unreadable: list[str] = field(default_factory=list)


def vehicles(files: Sequence[str], quick: bool, folder: Path) -> Iterator[tuple[str, Vehicle]]:
    """The vehicles by name: those of the files, or the examples and the imported samples.

    Raises:
        ValueError: nothing could be imported from a file.
    """
    if files:
        for name in files:
            plain_vehicle = Path(name).is_dir() or name.endswith(".circuit")
            yield (name, open_vehicle(name).vehicle) if plain_vehicle else (name, imported((Path(name),), folder))
        return
    examples = sorted((ROOT / "examples").glob("*/vehicle.circuit"))
    for path in (*examples, *sorted((ROOT / "examples" / "cases").glob("*.circuit"))):
        name = path.parent.name if path.name == "vehicle.circuit" else f"cases/{path.stem}"
        if not quick or name in QUICK:
            yield name, open_vehicle(str(path)).vehicle
    for paths in HARNESSES:
        if not quick or paths[0].name in QUICK:
            yield paths[0].name, imported(paths, folder)
    for wires, seed in () if quick else MADE_UP:
        place = folder / f"made-up {wires}"
        yield f"made up, {wires} wires", open_vehicle(str(write(wires, seed, place))).vehicle


def imported(paths: tuple[Path, ...], folder: Path) -> Vehicle:
    """The vehicle that harness data gives, with all its options, its answers beside it, and what is proposed."""
    answers = paths[0].with_name("answers.csv")
    asked = Request(tuple(str(path) for path in paths), answers=str(answers) if answers.is_file() else "", accept=True)
    made = make_import(asked)
    if made.value is not None and not made.value.files:
        made = make_import(replace(asked, codes=tuple(option.code for option in made.value.options)))
    if made.value is None or not made.value.files:
        raise ValueError(f"{paths[0]}: {[problem.code for problem in made.problems]}")
    place = folder / paths[0].name
    write_import(made.value, place)
    return open_vehicle(str(place)).vehicle


def judged(name: str, vehicle: Vehicle, drawn: Pages, tab: Any, lay: Any) -> Case:
    """One function held against the vehicle, and its pages as the browser shows them."""
    case = Case(name, drawn.name, pages=len(drawn.svgs), unreadable=list(drawn.problems))
    pages: list[Page] = []
    holders = holders_of(vehicle)
    for number, svg in enumerate(drawn.svgs):
        try:
            page = read_page(svg)
        except (ValueError, SyntaxError) as wrong:
            case.unreadable.append(f"page {number + 1}: {wrong}")
            continue
        pages.append(page)
        tab.set_content(f'<body style="margin:0">{svg}</body>')
        seen = seen_in(tab)
        found = looks(seen, whole(page), holders)
        said: dict[str, Sequence[str]] = {
            "overlaps": found.overlaps,
            "labels_on_symbols": found.labels_on_symbols,
            "cut_off": found.cut_off,
        }
        said["text_below_2_5_mm"] = found.small_texts
        labels = list(wrong_labels(vehicle, page, seen))
        said |= {"unlabelled": [line for line in labels if line.endswith(UNLABELLED)], "unsafe": unsafe(svg)}
        said["wrong_labels"] = [line for line in labels if not line.endswith(UNLABELLED)]
        said["wrong_colours"] = list(wrong_colours(vehicle, page, seen))
        for figure, lines in said.items():
            getattr(case, figure).extend(f"page {number + 1}: {line}" for line in lines)
        case.crossings += crossings(whole(page))
        case.bends += bends(whole(page))
        case.wires += len(page.wires)
        case.parts += len({part for part, _ in page.parts})
        case.area_dm2 = max(case.area_dm2, round(page.width_mm * page.height_mm / 1e4, 2))
        alone = plain(whole(page), symbols(seen["shapes"]), lay)
        case.plain_crossings += alone[0]
        case.plain_bends += alone[1]
    built = rebuilt([whole(page) for page in pages])
    must = wanted(vehicle, drawn.loads)
    case.drawing_faults = list(built.faults)
    case.netlist_mismatches = list(mismatches(vehicle, pages))
    wires = tuple({**must.carrying, **must.controlling}.values())
    case.missing = list(lacking(wires, (*must.parts, *must.control_parts), pages, built))
    return case


def holders_of(vehicle: Vehicle) -> dict[str, set[str]]:
    """The boxes each part sits in, or hangs in by a bar."""
    held: dict[str, set[str]] = {}
    for part in vehicle.parts.values():
        if part.holder:
            held.setdefault(part.id, set()).add(part.holder)
        for link in part.links:
            for end in link:
                held.setdefault(end.part, set()).add(part.id)
    return held


def figures(cases: Sequence[Case]) -> dict[str, float]:
    """The figures over all cases."""
    made: dict[str, float] = {"vehicles": len({case.vehicle for case in cases}), "functions": len(cases)}
    for one in fields(Case):
        if one.name in ("vehicle", "function", "area_dm2"):
            continue
        values = [getattr(case, one.name) for case in cases]
        made[one.name] = sum(len(value) if isinstance(value, list) else value for value in values)
    for kind in ("", "plain_"):
        for what in ("crossings", "bends"):
            made[f"{kind}{what}_per_wire"] = round(made[f"{kind}{what}"] / max(1, made["wires"]), 3)
    return made


def timed() -> dict[str, float]:
    """The times of drawing a function of about 60 parts, in processes of their own; in the second from kept files."""
    with tempfile.TemporaryDirectory() as place:
        first, second = (_timed("--time"), [_timed("--time", place) for _ in range(2)][-1])
    return first | {"seconds_kept_60_parts": second["seconds_cold_60_parts"]}


def _timed(*options: str) -> dict[str, float]:
    made = subprocess.run([sys.executable, __file__, *options], stdout=subprocess.PIPE, check=True, timeout=300)
    found: dict[str, float] = json.loads(made.stdout)
    return found


def keep(folder: Path, kept: Sequence[tuple[Case, Pages]]) -> None:
    """Write all pages, and a picture of each page of the worst functions, by crossings and by area."""
    folder.mkdir(parents=True, exist_ok=True)
    for case, drawn in kept:
        for number, svg in enumerate(drawn.svgs):
            (folder / f"{_stem(case)}-{number + 1}.svg").write_text(svg, encoding="utf-8")
    worst = sorted(kept, key=lambda pair: -pair[0].crossings)[:WORST]
    worst += sorted(kept, key=lambda pair: (-pair[0].area_dm2, -pair[0].wires))[:WORST]
    with browser_page(1600, 1100) as tab:
        for case, drawn in worst:
            for number, svg in enumerate(drawn.svgs):
                tab.set_content(f'<body style="margin:0">{svg}</body>')
                tab.locator("svg").screenshot(path=str(folder / f"{_stem(case)}-{number + 1}.png"))


def _stem(case: Case) -> str:
    return "".join(sign if sign.isalnum() or sign in "-." else "_" for sign in f"{case.vehicle}-{case.function}")[:80]


def table(cases: Sequence[Case]) -> Iterator[str]:
    """A line a function, and below it what is wrong."""
    heads = ("pages", "parts", "wires", "cross", "alone", "bends", "alone")
    yield f"{'function':52} {' '.join(f'{head:>5}' for head in heads)}  wrong"
    for case in cases:
        wrong = {name: getattr(case, name) for name in MUST_BE_NOUGHT if getattr(case, name)}
        row = (case.pages, case.parts, case.wires, case.crossings, case.plain_crossings, case.bends, case.plain_bends)
        said = ", ".join(f"{name} {len(lines)}" for name, lines in wrong.items())
        yield f"{case.vehicle + ': ' + case.function:52.52} {' '.join(f'{one:5}' for one in row)}  {said}"
        yield from (f"    {name}: {line}" for name, lines in wrong.items() for line in lines)


def run(options: argparse.Namespace) -> tuple[list[Case], dict[str, float]]:
    """Judge all that is asked for."""
    engine = load_engine().value
    if engine is None:
        raise SystemExit("no layout engine is installed")
    lay = engine.lay
    kept: list[tuple[Case, Pages]] = []
    with tempfile.TemporaryDirectory() as place:
        drawn = [
            (name, vehicle, list(all_pages(vehicle)))
            for name, vehicle in vehicles(options.files, options.quick, Path(place))
        ]
    # The browser's driver runs a loop of its own in this thread, in which the engine does not take a time limit.
    with ThreadPoolExecutor(1) as beside, browser_page(1600, 1100) as tab:
        for name, vehicle, functions in drawn:
            for one in functions:
                kept.append((judged(name, vehicle, one, tab, lambda graph: beside.submit(lay, graph).result()), one))
            print(f"{name}: {len(functions)} functions", file=sys.stderr)
    if options.keep:
        keep(Path(options.keep), kept)
    cases = [case for case, _ in kept]
    return cases, figures(cases)


def main() -> int:
    """Judge and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--files", nargs="+", default=())
    parser.add_argument("--keep", default="")
    parser.add_argument("--time", nargs="?", const="", help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.time is not None:
        print(json.dumps(times(Path(options.time) if options.time else None)))
        return 0
    cases, found = run(options)
    found |= {} if options.files else timed()
    bad = [f"{name}: {found[name]:g}" for name in MUST_BE_NOUGHT if found[name]]
    bad += [] if found["pages"] else ["no page was drawn"]
    limits: Mapping[str, float] = {"seconds_cold_60_parts": COLD_S, "seconds_cached_60_parts": CACHED_S}
    slow = [(name, most) for name, most in limits.items() if found.get(name, 0) >= most]
    bad += [f"{name}: {found[name]:g}, not below {most:g}" for name, most in slow]
    if options.json:
        listed = [{one.name: getattr(case, one.name) for one in fields(Case)} for case in cases]
        print(json.dumps({"benchmark": "drawing", "figures": found, "cases": listed, "wrong": bad}))
    else:
        print(*table(cases), "", sep="\n")
        print(*(f"{name:28} {value:g}" for name, value in found.items()), *bad, sep="\n")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
