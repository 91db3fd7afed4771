"""A VEC file as a harness: the occurrences of its compositions, how they are contacted, what is plugged together."""

import gc
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from typing import BinaryIO

from loombench.base.problems import Level, Span
from loombench.exchange.colours import in_system, meaning, system_named
from loombench.exchange.harness import ColourText, Fitted, Harness, Mating, Wire
from loombench.exchange.report import Imported, Notes
from loombench.exchange.vec.circuit import nominal_v, read_circuit
from loombench.exchange.vec.conditions import read_conditions
from loombench.exchange.vec.contacting import read_contacts
from loombench.exchange.vec.content import Content, Thing, of
from loombench.exchange.vec.couplings import coupled_occurrences, fit, matings_of, read_pairs
from loombench.exchange.vec.devices import Fittable, add_device, fitted_kind
from loombench.exchange.vec.inside import connections_at
from loombench.exchange.vec.package import is_package, read_index
from loombench.exchange.vec.parts import Conductors, part_numbers
from loombench.exchange.vec.places import Places, add_connector
from loombench.exchange.vec.source import read_content
from loombench.exchange.vec.topology import node_places, read_runs, read_segments
from loombench.exchange.vec.wires import Wiring, read_wires, twists_of

FORMAT = "VEC"
_COMPOSITION = of("CompositionSpecification", "PartUsageSpecification")


@dataclass
class _Occurrences:
    """The occurrences that count, by what they are; `left_out` are ids of those that another one stands for."""

    connectors: list[tuple[Thing, Thing]] = field(default_factory=list)
    devices: list[tuple[Thing, Thing]] = field(default_factory=list)
    wires: list[tuple[Thing, Thing]] = field(default_factory=list)
    terminals: list[tuple[Thing, Thing]] = field(default_factory=list)
    left_out: set[str] = field(default_factory=set)


def read_vec(source: bytes | BinaryIO, file: str, colours: str = "") -> Imported:
    """The harness of a VEC file or package, versions 1.1.3 to 2.2; never raises on what the file says.

    `source` is the file's bytes, or the open file, which has to be seekable. `colours` is the system to read a colour
    in that the file's own does not have, where somebody knows it. Rows are the objects read, by kind. Where
    the file cannot be used the harness is None.
    """
    notes = Notes()
    rows: Counter[str] = Counter()
    head = source[:300] if isinstance(source, bytes) else source.read(300)
    if not isinstance(source, bytes):
        source.seek(0)
    found: list[Harness | None] = []

    def take(stream: bytes | BinaryIO, name: str) -> None:
        content = read_content(stream, name, notes)
        if content is not None:
            found.append(_harness(content, rows, colours))
            content.release()

    with _uncollected():
        if is_package(head):
            read_index(source, file, notes, take)
        else:
            take(source, file)
    return notes.imported(found[0] if found else None, rows)


@contextmanager
def _uncollected() -> Iterator[None]:
    """Let the collector of cycles rest while a great many objects are made of which none is garbage yet: it would look
    at all of them again and again, which takes a third of the time."""
    resting = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if resting:
            gc.enable()


def _harness(content: Content, rows: Counter[str], colours: str) -> Harness | None:
    found = _occurrences(content, rows)
    numbers = part_numbers(content)
    conditions = read_conditions(content, numbers, [occurrence for occurrence, _ in found.wires])
    places = Places(
        content,
        conditions,
        numbers,
        shared=_shared(content, found),
        nodes=node_places(content),
        at_port=connections_at(content),
    )
    wires, fitted, matings = _of_harness(places, found, rows)
    contacts = places.contacts
    if not wires and not contacts:
        rows["connection"] = 0
        drawn, more, links = read_circuit(places)
        rows["connection"] = len(drawn)
        if drawn:
            content.notes.add("vec-circuit", Level.NOTE, Span(content.file, 1), count=len(drawn))
        wires, fitted, matings = drawn, [*fitted, *more], [*matings, *links]
    if not wires and not places.holders:
        content.notes.add("vec-empty", Level.ERROR, Span(content.file, 1))
        return None
    wires = _in_systems(content, wires, colours)
    return Harness(
        name=_name(content),
        format=f"{FORMAT} {content.version}".strip(),
        holders=tuple(places.all_holders()),
        contacts=tuple(contacts),
        wires=tuple(wires),
        fitted=tuple(fitted),
        segments=tuple(places.segments.values()),
        matings=tuple(matings),
        options=tuple(conditions.options),
        voltage_v=nominal_v(content),
    )


def _of_harness(
    places: Places, found: _Occurrences, rows: Counter[str]
) -> tuple[list[Wire], list[Fitted], list[Mating]]:
    content = places.content
    for occurrence, role in found.connectors:
        add_connector(places, occurrence, role)
    fittables = _devices(places, found)
    for occurrence, role in found.terminals:
        places.loose[role.id] = occurrence
    conductors = Conductors(content)
    contacting = read_contacts(places, conductors, frozenset(found.left_out))
    rows["contact point"] = len(contacting.contacts)
    places.contacts.extend(contacting.contacts)
    pairs = read_pairs(places)
    fitted, left = fit(places, fittables, pairs, contacting.contacts)
    places.segments.update(read_segments(content))
    runs = read_runs(content, places.conditions, places.segments)
    wiring = Wiring(places, contacting, conductors, runs, twists_of(content))
    return read_wires(wiring, found.wires), fitted, [*matings_of(places, left), *contacting.bridges]


def _occurrences(content: Content, rows: Counter[str]) -> _Occurrences:
    found = _Occurrences()
    listed = [one for composition in content.all_of(_COMPOSITION) for one in composition.children
              if one.tag in ("Component", "PartUsage")]  # fmt: skip
    for occurrence in listed:
        for tag in ("InstanciatedOccurrence", "RealizedPartUsage", "InstanciatedUsage"):
            found.left_out.update(occurrence.refs(tag))
        if occurrence.truth("IsSecondaryAlternative"):
            found.left_out.add(occurrence.id)
            name = content.name(occurrence, "Identification")
            content.notes.add("vec-alternative", Level.NOTE, content.span(occurrence), name=name)
    for occurrence in listed:
        if occurrence.id in found.left_out:
            continue
        for role in occurrence.all("Role"):
            if role.kind == "ConnectorHousingRole":
                found.connectors.append((occurrence, role))
            elif role.kind == "WireRole":
                found.wires.append((occurrence, role))
            elif role.has("EEComponentSpecification"):
                found.devices.append((occurrence, role))
            elif role.kind.endswith("TerminalRole"):
                found.terminals.append((occurrence, role))
            else:
                continue
            rows[role.kind] += 1
    return found


def _devices(places: Places, found: _Occurrences) -> list[Fittable]:
    """All components with pins; what a fuse or relay is plugged into is a box, whatever its part says."""
    plugged: set[str] = set()
    for occurrence, role in found.devices:
        specification = places.content.ids.get(role.say("EEComponentSpecification").strip())
        if fitted_kind(places, occurrence, role, specification):
            plugged.add(occurrence.id)
    carriers = {
        other
        for pair in coupled_occurrences(places.content)
        for one, other in (pair, pair[::-1])
        if one in plugged and other not in plugged
    }
    return [
        fittable
        for occurrence, role in found.devices
        for fittable in add_device(places, occurrence, role, occurrence.id in carriers)
    ]


def _shared(content: Content, found: _Occurrences) -> frozenset[str]:
    """Names of holders that several compositions use."""
    looms: dict[str, set[int]] = {}
    for occurrence, _role in (*found.connectors, *found.devices, *found.terminals):
        looms.setdefault(content.name(occurrence, "Identification"), set()).add(id(occurrence.parent))
    return frozenset(name for name, parents in looms.items() if len(parents) > 1)


def _name(content: Content) -> str:
    """What the file calls its harness: the first composition's name, else the first document's number."""
    for specification in (*content.all_of(_COMPOSITION), *content.specifications):
        name = content.name(specification, "Identification")
        document = specification.parent
        if document is not None and document.say("DocumentType") != "PartMaster" and name:
            return name
    return ""


def _in_systems(content: Content, wires: list[Wire], colours: str) -> list[Wire]:
    """The wires, each colour that its own system does not have in the one that was told; said where neither has it."""
    known: dict[ColourText, ColourText] = {}
    for wire in wires:
        colour = wire.colour
        if colour.parts and colour not in known:
            told = in_system(colour.parts, colours)
            known[colour] = told if meaning(colour) is None and colours and meaning(told) is not None else colour
            if meaning(known[colour]) is None:
                level = Level.WARNING if system_named(colour.system) else Level.NOTE
                said, number = "/".join(colour.parts), wire.number or wire.id
                content.notes.add(
                    "vec-colour", level, wire.span, colour=said, system=colour.system or "?", wire=number
                )  # fmt: skip
    return [replace(wire, colour=known[wire.colour]) if known.get(wire.colour, wire.colour) != wire.colour else wire
            for wire in wires]  # fmt: skip
