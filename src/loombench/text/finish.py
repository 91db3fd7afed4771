"""The last steps of loading: carriers, wires, classes and changes once all names are known; then the frozen vehicle."""

from collections.abc import Sequence
from types import MappingProxyType

from loombench.base.problems import Problem, note
from loombench.text.changes import apply_lines
from loombench.text.draft import Draft
from loombench.text.fill import lengths
from loombench.text.limits import Limits
from loombench.text.resolve import say_unknown
from loombench.text.statements.carrier import join_carriers
from loombench.text.statements.face import read_faces
from loombench.text.statements.head import typical_reach_s
from loombench.text.statements.metal import check_metal
from loombench.text.statements.netclass import mark_classes, run_cables
from loombench.text.statements.wires import read_wires
from loombench.vehicle.model import Place, Vehicle
from loombench.vehicle.naming import name_wires

EMPTY = Vehicle("", 12.0, "IEC", MappingProxyType({}), (), MappingProxyType({}))
"""The vehicle of a file that could not be read."""


def finish(draft: Draft, others: Sequence[Vehicle], files: tuple[str, ...], stem: str) -> Vehicle:
    """The vehicle of a draft, with the second vehicles that are plugged in."""
    check_metal(draft)
    join_carriers(draft)
    system = draft.system
    for line, loom, its_system in draft.wire_lines:
        if draft.hopeless:
            break
        draft.system = its_system
        read_wires(draft, line, loom)
    draft.system = system
    mark_classes(draft)
    run_cables(draft)
    read_faces(draft)
    say_unknown(draft)
    _places(draft)
    _rings(draft)
    _matings(draft, others)
    parts, places, faces = dict(draft.parts), dict(draft.places), dict(draft.faces)
    wires = list(lengths(draft.wires, draft.parts))
    looms = [*draft.looms]
    for other in others:
        parts.update(other.parts)
        places.update(other.places)
        faces.update(other.faces)
        wires.extend(other.wires)
        looms.extend(other.looms)
    vehicle = Vehicle(
        name=draft.name or stem,
        nominal_v=draft.nominal_v,
        colours=draft.system,
        parts=MappingProxyType(parts),
        wires=name_wires(wires),
        places=MappingProxyType(places),
        looms=tuple(looms),
        matings=tuple(draft.matings),
        options=tuple(dict.fromkeys(name for name in draft.chosen if name in draft.offers)),
        files=files,
        offers=tuple(draft.offers),
        faces=MappingProxyType(faces),
        form=draft.form,
    )
    return apply_lines(draft, vehicle)


def _places(draft: Draft) -> None:
    """Places that are used but not declared: said once each, and taken with a typical time to reach."""
    for name, span in draft.wanted_places:
        if name not in draft.places:
            draft.doubtful("place-unknown", span, name=name[:60], nearest=draft.near(name, draft.places))
            draft.places[name] = Place(name, typical_reach_s(), span=span)


def _rings(draft: Draft) -> None:
    """A stud's pins are the rings that wires end at."""
    rings: dict[str, dict[str, None]] = {}
    for wire in draft.wires:
        for point in (wire.a, wire.b):
            if point.ring:
                rings.setdefault(point.part, {})[point.pin] = None
    for part, pins in rings.items():
        draft.amend(part, pins=tuple(pins))


def _matings(draft: Draft, others: Sequence[Vehicle]) -> None:
    """A trailer's plug that fits in a socket of ours."""
    plugs = {part.id: part for other in others for part in other.parts.values()}
    kept = []
    for mating in draft.matings:
        socket, plug = draft.parts.get(mating.socket), plugs.get(mating.plug)
        if socket is None or socket.kind != "socket":
            sockets = [part.id for part in draft.parts.values() if part.kind == "socket"]
            near = draft.near(mating.socket, sockets)
            draft.wrong("socket-missing", mating.span, name=mating.socket[:40], nearest=near)
        elif plug is None:
            if any(name.startswith(f"{mating.vehicle}::") for name in plugs):
                known = [name for name, part in plugs.items() if part.kind == "plug"]
                near = draft.near(mating.plug, known)
                draft.wrong("socket-missing", mating.span, name=mating.plug[:60], nearest=near)
        elif socket.words != plug.words:
            one, two = " ".join(socket.words), " ".join(plug.words)
            draft.wrong("socket-differs", mating.span, socket.span, plug.span, one=one, two=two)
        else:
            kept.append(mating)
    draft.matings[:] = kept


def tidy(problems: Sequence[Problem], files: tuple[str, ...], limits: Limits) -> tuple[Problem, ...]:
    """Problems in the order of the text; where there are too many, the first ones and how many more."""
    order = {file: index for index, file in enumerate(files)}

    def place(item: Problem) -> tuple[int, int, int]:
        if not item.spans:
            return -1, 0, 0
        span = item.spans[0]
        return order.get(span.file, len(order)), span.line, span.column

    ordered = sorted(dict.fromkeys(problems), key=place)
    if len(ordered) <= limits.most_problems:
        return tuple(ordered)
    left = len(ordered) - limits.most_problems
    return (*ordered[: limits.most_problems], note("more-problems", count=left, limit=limits.most_problems))
