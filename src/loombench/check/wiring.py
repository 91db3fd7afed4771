"""Rules about wires and terminals: what ends nowhere, sits twice in a terminal, changes colour, is never used."""

from collections.abc import Iterator

from loombench.base.problems import Problem, note, warning
from loombench.base.wording import phrase
from loombench.check.view import View, some, spans
from loombench.vehicle.graph import merged
from loombench.vehicle.model import Part, Wire
from loombench.vehicle.points import Point

OPEN_KINDS = (
    "module",
    "socket",
    "plug",
    "cable",
    "generic",
    "sensor",
    "connector",
    "stud",
    "body",
    "flasher",
    "alternator",
)
"""Kinds of which the file need not say what is behind a pin, and those with a rule of their own."""
SHARED_KINDS = (
    "splice",
    "stud",
    "body",
    "battery",
    "alternator",
    "fuselink",
    "strap",
    "carrier",
    "bus-node",
    "terminator",
)
"""Kinds at whose points several wires are bolted or joined as a matter of course."""


def dead_ends(view: View) -> Iterator[Problem]:
    """A wire that ends where nothing goes on: a splice or a pin with that one wire and nothing inside."""
    for point, at in view.table.items():
        part = view.part(point)
        if part is None or part.kind in OPEN_KINDS or len(at) != 1 or at[0].kind != "wire":
            continue
        wire = view.vehicle.wire_by_id[at[0].via]
        yield warning("dead-end", *spans((wire, part)), wire=wire.id, point=point, kind=phrase(f"kind.{part.kind}"))


def used_twice(view: View) -> Iterator[Problem]:
    """Two wires in one crimped terminal: a warning in a connector, where it is mostly a slip, elsewhere a note."""
    doubled: list[tuple[Point, tuple[Wire, ...]]] = []
    for point, wires in view.vehicle.wires_at.items():
        part = view.part(point)
        if part is None or len(wires) < 2 or part.kind in SHARED_KINDS:
            continue
        if part.kind == "connector":
            names = some(wire.id for wire in wires)
            yield warning("cavity-twice", *spans(wires), point=point, wires=names, count=len(wires))
        elif not point.ring:
            doubled.append((point, wires))
    if doubled:
        first = [wires[1] for _, wires in doubled]
        yield note("terminal-shared", *spans(first), points=some(point for point, _ in doubled), count=len(doubled))


def one_sided(view: View) -> Iterator[Problem]:
    """Cavities of a connector with a wire in one half only; where a whole half is not drawn, that as a note."""
    for part in view.vehicle.parts.values():
        if part.kind != "connector" or len(part.halves) != 2:
            continue
        sides = _sides(view, part)
        lone = {pin: halves for pin, halves in sides.items() if len(halves) == 1}
        if not lone:
            continue
        drawn = {half for halves in sides.values() for half in halves}
        if len(drawn) == 1:
            missing = next(half for half in part.halves if half not in drawn)
            yield note("half-not-drawn", part.span, part=part.id, half=missing, count=len(lone))
            continue
        for pin, halves in lone.items():
            (half,) = halves
            other = next(name for name in part.halves if name != half)
            wire = view.vehicle.wires_at[Point(part.id, pin, half)][0]
            yield warning(
                "cavity-one-sided",
                *spans((wire, part)),
                cavity=f"{part.id}.{pin}",
                half=half,
                other=other,
                wire=wire.id,
            )


def _sides(view: View, part: Part) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for pin in part.pins:
        halves = {half for half in part.halves if Point(part.id, pin, half) in view.vehicle.wires_at}
        if halves:
            found[pin] = halves
    return found


def colour_changes(view: View) -> Iterator[Problem]:
    """Points where a run goes on in another colour: common at a connector, and easy to lose one's way at."""
    changes: dict[str, tuple[Wire, Wire]] = {}
    runs: dict[Point, list[Wire]] = {}
    for point, wires in view.vehicle.wires_at.items():
        part = view.part(point)
        if part is not None and part.kind in ("splice", "connector"):
            runs.setdefault(merged(point), []).extend(wires)
    for point, ending in runs.items():
        known = [wire for wire in ending if wire.colour.words]
        other = next((wire for wire in known if wire.colour.words != known[0].colour.words), None)
        if other is not None:
            changes[f"{point} ({known[0].colour}, {other.colour})"] = (known[0], other)
    if changes:
        yield note(
            "colour-change", *spans(pair[1] for pair in changes.values()), points=some(changes), count=len(changes)
        )


def unused_controls(view: View) -> Iterator[Problem]:
    """A control that can join nothing: in every position one of the two pins has no wire and no bar."""
    for control in view.vehicle.controls.values():
        part = view.vehicle.parts[control.part]
        inner = {pin for element in part.elements for pin in element.pins}
        pairs = [pair for position in control.positions for pair in position.pairs]

        def leads_on(pin: str, part: Part = part, inner: set[str] = inner) -> bool:
            return pin in inner or view.wired(Point(part.id, pin))

        if pairs and not any(leads_on(one) and leads_on(two) for one, two in pairs):
            yield warning("control-unused", part.span, control=control.id, pins=some(f"{a}={b}" for a, b in pairs))
