"""The wires and cores of a VEC file: one `Wire` for each wire element that has ends.

The sheath of a cable has no ends and is no wire. Where one end is contacted at several places under conditions, each
way it can be is a wire of its own (`4`, `4~2`), with its condition.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product

from loombench.base.problems import Level
from loombench.exchange.harness import End, Wire
from loombench.exchange.vec.conditions import ALWAYS, both, written
from loombench.exchange.vec.contacting import Contacted, Contacting
from loombench.exchange.vec.content import Content, Thing, of
from loombench.exchange.vec.parts import Conductors, is_twist
from loombench.exchange.vec.places import Places, unused
from loombench.exchange.vec.values import length_m

# What is cut and crimped counts before what was drawn, and that before what was taken off a model in space.
_LENGTHS = ("production", "contract", "drawing", "dmu", "functional")
_MOST_WAYS = 16


@dataclass(frozen=True)
class Run:
    """The stretches a wire runs through, and their length together if each is known."""

    segments: tuple[str, ...]
    length_m: float | None


@dataclass(frozen=True)
class Wiring:
    """What is needed to make wires: where ends are contacted, the parts, the runs by the id of what is routed."""

    places: Places
    contacting: Contacting
    conductors: Conductors
    runs: Mapping[str, Run]
    twists: Mapping[str, str]


def read_wires(wiring: Wiring, wires: Sequence[tuple[Thing, Thing]]) -> list[Wire]:
    """The wires of occurrences with their wire roles, in the file's order."""
    taken: dict[str, int] = {}
    return [one for occurrence, role in wires for one in _of_role(wiring, occurrence, role, taken)]


def twists_of(content: Content) -> dict[str, str]:
    """Wires that are twisted together as they are laid, not as bought: the group's name by the wire element's id."""
    found: dict[str, str] = {}

    def gather(grouping: Thing) -> None:
        if is_twist(content, grouping):
            for ref in grouping.refs("RelatedWireElementReference"):
                found[ref] = content.name(grouping, "Identification")
        for inner in grouping.all("ContainedWireGroupings"):
            gather(inner)

    for specification in content.all_of(of("WireGroupingSpecification")):
        for grouping in specification.all("WireGrouping"):
            gather(grouping)
    return found


def _of_role(wiring: Wiring, occurrence: Thing, role: Thing, taken: dict[str, int]) -> Iterator[Wire]:
    places, content = wiring.places, wiring.places.content
    references = role.all("WireElementReference")
    part_number = places.part_number(occurrence)
    name = content.name(occurrence, "Identification") or occurrence.id[:80]
    sheath: Run | None = None
    for reference in references:
        element = content.follow(reference, "ReferencedWireElement", of("WireElement", "SubWireElement"))
        conductor = wiring.conductors.of(element)
        ends = reference.all("WireEnd")
        if element is not None and not element.tag.startswith("Sub"):
            sheath = wiring.runs.get(reference.id) or wiring.runs.get(role.id)
        contacted = any(end.id in wiring.contacting.ends for end in ends)
        if reference.truth("Unconnected") or not ends or not (conductor.conducts or contacted):
            continue
        number = content.name(reference, "Identification") if reference.has("Identification") else name
        signal, clamp = _signal(content, reference)
        run = wiring.runs.get(reference.id) or sheath or _routed_connection(wiring, reference)
        made = Wire(
            number or name, (), number=number, colour=conductor.colour, area_mm2=conductor.area_mm2,
            size_text=conductor.size_text, length_m=_length_m(content, reference, run), type=conductor.type,
            part_number=part_number, cable=name if conductor.inner or len(references) > 1 else "", core=conductor.core,
            twist=wiring.twists.get(reference.id) or (f"{name}.{conductor.twisted}" if conductor.twisted else ""),
            shield=conductor.shield, loom=places.loom(occurrence), segments=run.segments if run is not None else (),
            remark=places.description(occurrence), span=content.span(reference), signal=signal, clamp=clamp,
        )  # fmt: skip
        yield from _each_way(wiring, made, name, reference, ends, taken)


def _each_way(
    wiring: Wiring, made: Wire, name: str, reference: Thing, ends: Iterable[Thing], taken: dict[str, int]
) -> Iterator[Wire]:
    """The wire, once for each way its ends can be contacted."""
    where = [_places_of(wiring, end) for end in _in_order(ends)]
    content = wiring.places.content
    if sum(1 for ways in where if ways != [None]) < 2:
        content.notes.add("vec-open-end", Level.NOTE, content.span(reference), wire=made.number or made.id)
    wanted = made.id if made.id not in taken else f"{name}.{made.id}"
    for number, way in enumerate(product(*where)):
        if number == _MOST_WAYS:
            content.notes.add(
                "vec-many-ways", Level.WARNING, content.span(reference), wire=made.number or made.id, ways=_MOST_WAYS
            )
            return
        condition = wiring.places.conditions.of(reference)
        for one, ways in zip(way, where, strict=True):
            condition = both(condition, one.condition if one is not None and len(ways) > 1 else ALWAYS)
        found = tuple(End(one.spot, one.contact) if one is not None else End(None) for one in way)
        yield replace(made, id=unused(wanted, taken), ends=found, options=written(condition))


def _in_order(ends: Iterable[Thing]) -> list[Thing]:
    """Ends by their place on the wire, else in the file's order."""

    def position(end: Thing) -> float:
        try:
            return float(end.say("PositionOnWire"))
        except ValueError:
            return 0.0

    return sorted(ends, key=position)


def _places_of(wiring: Wiring, end: Thing) -> list[Contacted | None]:
    """Where an end is contacted: the one place, the variants, or None for an open end."""
    found = wiring.contacting.ends.get(end.id, [])
    if len(found) < 2 or all(one.condition for one in found):
        return list(found) or [None]
    content = wiring.places.content
    content.notes.add(
        "vec-end-twice", Level.WARNING, content.span(end), first=found[0].contact, second=found[1].contact
    )
    return [found[0]]


def _length_m(content: Content, reference: Thing, run: Run | None) -> float | None:
    """The length to work with: by how final its kind is; below zero is "not laid yet". Else what the run measures."""
    said: dict[str, Thing] = {}
    for length in reference.all("WireLength"):
        said.setdefault(length.say("LengthType").strip().lower(), length)
    for kind in (*_LENGTHS, *(kind for kind in said if kind not in _LENGTHS)):
        value = length_m(content, said[kind].first("LengthValue")) if kind in said else None
        if value is not None and value >= 0:
            return value
    return run.length_m if run is not None else None


def _routed_connection(wiring: Wiring, reference: Thing) -> Run | None:
    return next((wiring.runs[ref] for ref in reference.refs("Connection") if ref in wiring.runs), None)


def _signal(content: Content, reference: Thing) -> tuple[str, str]:
    """The signal of a wire, or else of the connection it realizes: its name and its terminal designation."""
    signal = content.follow(reference, "Signal", of("Signal"))
    if signal is None and reference.has("Connection"):
        connection = content.follow(reference, "Connection", of("Connection"))
        if connection is not None:
            signal = content.follow(connection, "Signal", of("Signal"))
            if signal is None:
                return content.name(connection, "Identification"), ""
    return signal_words(content, signal)


def signal_words(content: Content, signal: Thing | None) -> tuple[str, str]:
    """The name and terminal designation of a signal, empty where there is none."""
    if signal is None:
        return "", ""
    clamp = content.name(signal, "ClampName")
    return content.name(signal, "SignalName") or ("" if clamp else content.name(signal, "Identification")), clamp
