"""The run list: each load's way from the battery and back, point by point, as lines of text for a terminal."""

from dataclasses import dataclass

from loombench.app.spoken import kind_text
from loombench.base.band import Band
from loombench.base.quantity import print_quantity
from loombench.base.wording import Catalogue, catalogue
from loombench.vehicle.graph import Link
from loombench.vehicle.model import Part, Vehicle, Wire
from loombench.vehicle.points import Point
from loombench.vehicle.trace import Run, Step, runs

NUMBERS = (
    ("rated_v", "V"), ("rated_a", "A"), ("rated_w", "W"), ("capacity_ah", "Ah"), ("resistance_ohm", "ohm"),
    ("coil_ohm", "ohm"), ("output_v", "V"), ("set_v", "V"), ("limit_a", "A"),
)  # fmt: skip


@dataclass(frozen=True)
class RunLine:
    """One line: `mark` is point, wire or gap; `text` what it is; `remark` place and label."""

    mark: str
    text: str
    remark: str = ""


@dataclass(frozen=True)
class RunText:
    """A load's run as lines from source to return. `complete` is False where feed or return is missing."""

    load: str
    title: str
    lines: tuple[RunLine, ...]
    complete: bool


def run_list(vehicle: Vehicle, only: str = "", words: Catalogue | None = None) -> tuple[RunText, ...]:
    """The runs of all loads, or of those whose name or label holds `only`."""
    said = words or catalogue()
    texts = (_text(vehicle, run, said) for run in runs(vehicle))
    wanted = only.casefold()
    return tuple(text for text in texts if wanted in text.title.casefold())


def _text(vehicle: Vehicle, run: Run, words: Catalogue) -> RunText:
    load = run.load
    lines: list[RunLine] = []
    if run.feed:
        lines.append(_point(vehicle, run.feed[0].start, words))
        lines.extend(_steps(vehicle, run.feed, words))
    else:
        lines.append(RunLine("gap", words.say("runs.no-feed")))
    lines.append(RunLine("load", load.via, _what(vehicle, load, words)))
    if run.back:
        lines.extend(_steps(vehicle, run.back, words))
    else:
        lines.append(RunLine("gap", words.say("runs.no-return")))
    return RunText(load.via, f"{load.via} {_label(vehicle, load)}".strip(), tuple(lines), bool(run.feed and run.back))


def _steps(vehicle: Vehicle, steps: tuple[Step, ...], words: Catalogue) -> list[RunLine]:
    lines: list[RunLine] = []
    for step in steps:
        link = step.link
        if link.kind == "wire":
            lines.append(RunLine("wire", _wire(vehicle.wire_by_id[link.via], words)))
            lines.append(_point(vehicle, step.end, words))
        elif link.kind == "joint":
            if not step.end.ring and step.end != step.start:
                lines.append(_point(vehicle, step.end, words))
        else:
            lines.append(
                RunLine("through", words.say("runs.through", part=link.via, end=step.end), _what(vehicle, link, words))
            )
    return lines


def _wire(wire: Wire, words: Catalogue) -> str:
    number = f"#{wire.number} " if wire.number else ""
    size = wire.size_text or f"{_band(wire.area_mm2)} mm2"
    length = f"{_band(wire.length_m)} m"
    via = f" {words.say('runs.via', places=', '.join(wire.via))}" if wire.via else ""
    return f"{number}{wire.colour} {size} {length}{via}"


def _band(band: Band) -> str:
    return f"{band.nominal:g}" if band.known else "?"


def _point(vehicle: Vehicle, point: Point, words: Catalogue) -> RunLine:
    part = vehicle.parts.get(point.part)
    return RunLine("point", str(point), _remark(part, words) if part else "")


def _remark(part: Part, words: Catalogue) -> str:
    label = f'"{part.label}"' if part.label else ""
    place = words.say("runs.at", place=part.place) if part.place else ""
    return " ".join(word for word in (kind_text(part.kind, words), _numbers(part), label, place) if word)


def _what(vehicle: Vehicle, link: Link, words: Catalogue) -> str:
    part = vehicle.parts.get(link.a.part)
    if part is None:
        return ""
    name = link.via.removeprefix(part.id).lstrip(".")
    inner = next((element for element in part.elements if element.name == name), None)
    if inner is None or len(part.elements) == 1:
        return _remark(part, words)
    label = f'"{inner.label or part.label}"' if inner.label or part.label else ""
    place = words.say("runs.at", place=part.place) if part.place else ""
    return " ".join(word for word in (kind_text(inner.kind, words), label, place) if word)


def _label(vehicle: Vehicle, link: Link) -> str:
    part = vehicle.parts.get(link.a.part)
    if part is None:
        return ""
    name = link.via.removeprefix(part.id).lstrip(".")
    inner = next((element for element in part.elements if element.name == name), None)
    return " ".join(dict.fromkeys(text for text in (part.label, inner.label if inner else "") if text))


def _numbers(part: Part) -> str:
    params = {**part.params, **(part.elements[0].params if len(part.elements) == 1 else {})}
    shown = []
    for name, unit in NUMBERS:
        band = params.get(name)
        if band is not None:
            shown.append(print_quantity(band.nominal, unit) if band.known else f"? {unit}")
    return " ".join(shown)
