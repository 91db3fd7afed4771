"""Wires that come back from another program, put to the parts that were kept beside the file they went out in.

So nothing has to be asked: what devices are and do stands in the folder of parts, and the file says where wires go.
"""

import re
from collections.abc import Collection, Sequence
from dataclasses import replace
from types import MappingProxyType

from loombench.app.importing import Import, Request, read_files, read_request
from loombench.app.vehicles import open_vehicle
from loombench.base.band import exactly
from loombench.base.outcome import Outcome, errors
from loombench.base.problems import Problem, error
from loombench.exchange.colours import meaning
from loombench.exchange.harness import Harness
from loombench.exchange.harness import Wire as HarnessWire
from loombench.exchange.joining import merged
from loombench.exchange.leaving import BAR, STRAP
from loombench.exchange.netcount import count
from loombench.exchange.returning import Return
from loombench.exchange.variants import chosen
from loombench.facts.colour import write_colour
from loombench.text.load import load_text
from loombench.text.sources import SUFFIX
from loombench.text.write import write_files
from loombench.vehicle.model import Colour, Vehicle, Wire
from loombench.vehicle.naming import UNNAMED, name_wires

MAIN = f"vehicle{SUFFIX}"
_NAME = re.compile(r"(?:[\w+-]+::)?[\w+-]+")
Files = MappingProxyType[str, str]


def rejoin_files(request: Request, folder: str) -> Outcome[Import | None]:
    """Read the files of a request and put their wires to the parts in a folder, writing nothing."""
    opened = open_vehicle(folder)
    if opened.broken:
        return Outcome(None, opened.problems)
    read = read_request(request)
    harnesses = [one.harness for _, one in read.value if one.harness is not None]
    if errors(read.problems) or not harnesses:
        return Outcome(None, read.problems)
    problems = list(read.problems)
    if request.codes is not None:
        filtered = [chosen(harness, request.codes) for harness in harnesses]
        problems += [problem for one in filtered for problem in one.problems]
        harnesses = [one.harness for one in filtered if one.harness is not None]
    if any(harness.variants for harness in harnesses):
        hanging = sum(1 for harness in harnesses for wire in harness.wires if wire.options)
        codes = ", ".join(option.code for harness in harnesses for option in harness.options)[:200]
        return Outcome(None, (*problems, error("import-variants", count=hanging, codes=codes)))
    made = rejoin(opened.vehicle, harnesses)
    problems += made.problems
    if made.value is None:
        return Outcome(None, tuple(problems))
    return Outcome(Import(count(merged(harnesses)), read_files(read.value), files=made.value), tuple(problems))


def rejoin(parts: Vehicle, harnesses: Sequence[Harness]) -> Outcome[Files | None]:
    """The files of a vehicle of these parts and the harnesses' wires; None where a wire ends at none of its parts.

    What the file does not know of a wire is `?` again. The text is loaded once before anybody gets it.
    """
    back = Return(parts)
    problems: list[Problem] = []
    wires: list[Wire] = []
    whole = {parts.name, *(harness.name for harness in harnesses)}
    for wire in (one for harness in harnesses for one in harness.wires if one.type not in (BAR, STRAP)):
        points = [back.point(end.spot) if end.spot is not None else None for end in wire.ends]
        if len(points) != 2 or points[0] is None or points[1] is None:
            lost = [str(end.spot or "?") for end, point in zip(wire.ends, points, strict=True) if point is None]
            problems.append(error("parts-unknown", wire.span, wire=wire.id[:80], points=", ".join(lost)[:120] or "?"))
            continue
        made = Wire(
            UNNAMED,
            points[0],
            points[1],
            _colour(wire, parts.colours),
            exactly(wire.area_mm2 or 0.0),
            exactly(wire.length_m or 0.0),
        )
        missing = [name for name, value in (("size", wire.area_mm2), ("length", wire.length_m)) if value is None]
        wires.append(
            replace(
                made,
                number=wire.number,
                loom=points[0].half or points[1].half or _loom(wire.loom, whole),
                cable=wire.cable if wire.cable in parts.parts else "",
                label=wire.remark,
                assumed=tuple(missing),
            )
        )
    if problems:
        return Outcome(None, tuple(problems))
    files = write_files(replace(parts, wires=name_wires(wires)), MAIN)
    loaded = load_text(files[MAIN], MAIN, files.get)
    return Outcome(MappingProxyType(dict(files)) if not errors(loaded.problems) else None, loaded.problems)


def _loom(name: str, whole: Collection[str]) -> str:
    """A loom's name; none where it only repeats the name of the whole, or is no name of the notation."""
    return name if name not in whole and _NAME.fullmatch(name) else ""


def _colour(wire: HarnessWire, system: str) -> Colour:
    said = meaning(wire.colour)
    if said is None:
        return Colour((), "/".join(wire.colour.parts))
    return Colour((said.main, *said.stripes), write_colour(system, said.main, said.stripes) or "")
