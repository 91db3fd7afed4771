"""Giving a vehicle out in another program's format: the files as texts, what they do not hold, and writing them.

Beside KBL, VEC and wire lists, which know nothing of devices, goes a folder of the vehicle's parts in the notation,
without its wires: so nothing is lost that can be said of a part.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path, PurePath
from types import MappingProxyType

from loombench.app.spicesheet import spice_sheet
from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, error
from loombench.base.wording import Catalogue, catalogue
from loombench.circuit.fault import Fault
from loombench.exchange.dot import write_dot
from loombench.exchange.graph import graph_of
from loombench.exchange.graphml import write_graphml
from loombench.exchange.kbl.write import write_kbl
from loombench.exchange.labels import write_labels
from loombench.exchange.leaving import leave
from loombench.exchange.lost import Loss, lost
from loombench.exchange.vec.write import write_vec
from loombench.exchange.wirelist.write import write_lists, write_wirelist
from loombench.text.write import write_files
from loombench.vehicle.condition import Condition
from loombench.vehicle.model import Vehicle

SUFFIXES: Mapping[str, str] = MappingProxyType(
    {"kbl": ".kbl", "vec": ".vec", "wires": ".csv", "labels": ".csv", "spice": ".cir", "graphml": ".graphml",
     "dot": ".dot"}
)  # fmt: skip
"""The formats, and how their files usually end."""
SPICE = "spice"
_WITH_PARTS = ("kbl", "vec", "wires")
_SHOWN_NAMES = 12
_WRITERS: Mapping[str, Callable[[Vehicle], str]] = MappingProxyType(
    {
        "kbl": lambda vehicle: write_kbl(leave(vehicle)),
        "vec": lambda vehicle: write_vec(leave(vehicle)),
        "wires": lambda vehicle: write_wirelist(leave(vehicle)),
        "labels": lambda vehicle: write_labels(leave(vehicle)),
        "graphml": lambda vehicle: write_graphml(graph_of(vehicle)),
        "dot": lambda vehicle: write_dot(graph_of(vehicle)),
    }
)


@dataclass(frozen=True)
class Exported:
    """The files of an export by name, the one asked for first; names may lead into the folder of parts.

    `folder` is that folder's name, empty where there is none; `losses` is what the files of the format do not hold.
    """

    file: str
    files: Mapping[str, str]
    folder: str
    losses: tuple[Loss, ...]


def export(
    vehicle: Vehicle,
    file_format: str,
    name: str,
    condition: Condition | None = None,
    faults: tuple[Fault, ...] = (),
    phase: int = 0,
    words: Catalogue | None = None,
) -> Outcome[Exported | None]:
    """The files of a vehicle in one of the formats of `SUFFIXES`, the main one called `name`.

    A condition, faults and a phase matter for SPICE alone, which is the vehicle in one state.
    """
    problems: tuple[Problem, ...] = ()
    if file_format not in SUFFIXES:
        return Outcome(None, (error("export-format", name=file_format[:40] or "?", allowed=", ".join(SUFFIXES)),))
    if file_format == SPICE:
        sheet = spice_sheet(vehicle, condition or Condition(), faults, phase, words)
        if sheet.value is None:
            return Outcome(None, sheet.problems)
        main, problems = sheet.value, sheet.problems
    else:
        main = _WRITERS[file_format](vehicle)
    stem = PurePath(name).stem
    files = {name: main}
    if file_format == "wires":
        lists = write_lists(leave(vehicle))
        files |= {f"{stem}-{kind}{PurePath(name).suffix}": text for kind, text in lists.items()}
    losses = lost(vehicle, file_format)
    folder = f"{stem}.parts" if file_format in _WITH_PARTS and any(loss.kept for loss in losses) else ""
    if folder:
        parts = write_files(replace(vehicle, wires=()))
        files |= {f"{folder}/{file}": text for file, text in parts.items()}
    return Outcome(Exported(name, MappingProxyType(files), folder, losses), problems)


def write_export(exported: Exported, folder: Path) -> Outcome[tuple[Path, ...]]:
    """Write the files into a folder, all or none: nothing that is there already is written over."""
    tops = dict.fromkeys(PurePath(name).parts[0] for name in exported.files)
    for name in tops:
        if (folder / name).exists():
            return Outcome((), (error("export-exists", file=folder / name),))
    written: list[Path] = []
    for name, text in exported.files.items():
        path = folder / name
        try:
            if len(PurePath(name).parts) > 1:
                path.parent.mkdir(exist_ok=True)
            with path.open("x", encoding="utf-8", newline="") as file:
                file.write(text)
        except OSError as failure:
            problem = error("export-unwritten", file=path, reason=failure.strerror or type(failure).__name__)
            return Outcome(tuple(written), (problem,))
        written.append(path)
    return Outcome(tuple(written))


def export_lines(
    vehicle: Vehicle, exported: Exported, written: tuple[Path, ...], words: Catalogue | None = None
) -> tuple[str, ...]:
    """What was written and what it does not hold, as lines."""
    words = words or catalogue()
    say = words.say
    lines = [say("export.written", file=written[0], vehicle=vehicle.name, wires=len(vehicle.wires))]
    lines += [say("export.also", file=path) for path in written[1:] if path.parent.name != exported.folder]
    kept = [loss for loss in exported.losses if loss.kept and exported.folder]
    gone = [loss for loss in exported.losses if loss not in kept]
    if kept:
        place = written[0].parent / exported.folder
        lines += [say("export.kept", folder=place), *(_loss(loss, words) for loss in kept)]
    if gone:
        lines += [say("export.lost"), *(_loss(loss, words) for loss in gone)]
    return tuple(lines)


def _loss(loss: Loss, words: Catalogue) -> str:
    say = words.say
    shown = ", ".join(loss.names[:_SHOWN_NAMES])
    if len(loss.names) > _SHOWN_NAMES:
        shown = f"{shown} {say('export.more', count=len(loss.names) - _SHOWN_NAMES)}"
    return say("export.loss", what=say(f"export.what.{loss.kind}"), count=len(loss.names), names=shown)


def export_json(vehicle: Vehicle, exported: Exported, written: tuple[Path, ...]) -> dict[str, object]:
    """The same for machines, with all names."""
    return {
        "vehicle": vehicle.name,
        "files": [str(path) for path in written],
        "kept_in": exported.folder,
        "losses": [
            {"kind": loss.kind, "kept": loss.kept and bool(exported.folder), "names": list(loss.names)}
            for loss in exported.losses
        ],
    }
