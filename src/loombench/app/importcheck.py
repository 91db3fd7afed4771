"""Whether what was put together can be loaded; only answers can be at fault, so they are named with their place."""

from collections.abc import Iterator, Mapping, Sequence

from loombench.app.importtext import MAIN, head, part_lines
from loombench.base.outcome import errors
from loombench.base.problems import Problem, Span, error
from loombench.base.wording import catalogue, phrase
from loombench.exchange.assembly.sheet import Sheet
from loombench.text.limits import LIMITS, Limits
from loombench.text.load import load_text
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point


def doubts(sheet: Sheet, limits: Limits = LIMITS) -> Iterator[Problem]:
    """What the notation does not take of a sheet: its parts are loaded, its wires looked at for pins that are none.

    Only answers can be at fault, since all else is made here; so they are named with their place.
    """
    size = len(sheet.wires) + sum(1 + len(part.rows) for part in sheet.parts)
    if size > limits.most_statements:
        yield error("import-too-large", count=size, limit=limits.most_statements)
        return
    lines = [*head(sheet, (), None, catalogue()), *part_lines(sheet, catalogue())]
    loaded = load_text("\n".join(lines), MAIN)
    answered = {part.id: part.answered for part in sheet.parts if part.answered is not None}
    failed: set[str] = set()
    for problem in errors(loaded.problems):
        line, own = _statement(lines, problem)
        failed.add(own)
        if own in answered:
            why = phrase(f"problem.{problem.code}.seen", **dict(problem.facts))
            yield error("answer-unread", answered[own], name=own, line=line[:120], why=why)
        else:
            yield problem
    yield from _lost_pins(sheet, loaded.value, answered, failed)


def _statement(lines: Sequence[str], problem: Problem) -> tuple[str, str]:
    """The line of a problem and the name of the part that it belongs to."""
    at = (problem.spans[0].line if problem.spans else 1) - 1
    head = at
    while head > 0 and lines[head].startswith(" "):
        head -= 1
    words = lines[head].split()
    return lines[at].strip(), words[1] if len(words) > 1 else ""


def _lost_pins(
    sheet: Sheet, vehicle: Vehicle, answered: Mapping[str, Span | None], failed: set[str]
) -> Iterator[Problem]:
    said: set[Point] = set()
    for point in (end for wire in sheet.wires for end in (wire.a, wire.b)):
        part = vehicle.parts.get(point.part)
        if part is None or point in said or point.part in failed or point.ring or not point.pin:
            continue
        if point.pin not in part.pins:
            said.add(point)
            pins = " ".join(part.pins[:24]) or "-"
            yield error(
                "answer-pin", answered.get(point.part), part=part.id, kind=part.kind, pin=point.pin, allowed=pins
            )
