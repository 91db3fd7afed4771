"""What a KBL file says, element by element, before anything is resolved: tuples, as small as can be.

A file of 50 MB has some hundred thousand objects, and what they refer to may stand anywhere in it. So they are kept as
short tuples of their texts, and the elements are forgotten. A reference is the text of an id; ids of part masters and
of occurrences are told apart by the table they are looked for in.
"""

from dataclasses import dataclass, field
from typing import NamedTuple

from loombench.base.problems import Level, Span
from loombench.exchange.kbl.naming import Listed
from loombench.exchange.report import Notes
from loombench.exchange.texts import Texts

Refs = tuple[str, ...]


class Value(NamedTuple):
    """A number and the id of its unit, as written."""

    number: str
    unit: str
    line: int


class UnitKind(NamedTuple):
    """A unit: a free name, or SI by name, prefix and dimension."""

    name: str
    si_name: str
    prefix: str
    dimension: str


class WireKind(NamedTuple):
    """A wire type, or a core of one: then `name` is its id within the cable and `cable` the type of that."""

    name: str
    part_number: str
    type: str
    area: Value | None
    colours: tuple[tuple[str, str], ...]
    cable: str
    line: int


class SlotKind(NamedTuple):
    """A slot of a housing, or a connector or component slot of a box, with the ids of its cavities."""

    id: str
    name: str
    type: str
    cavities: Refs


class HousingKind(NamedTuple):
    """A connector housing (no `sockets`, no `bars`), or a component box, whose slots take fuses and relays."""

    part_number: str
    words: str
    type: str
    slots: tuple[SlotKind, ...]
    sockets: tuple[SlotKind, ...]
    bars: tuple[Refs, ...]
    line: int


class ComponentKind(NamedTuple):
    """A fuse, relay or what else can be put into a slot."""

    fuse: bool
    part_number: str
    words: str
    current: Value | None


class TerminalKind(NamedTuple):
    """A terminal."""

    part_number: str
    type: str
    plating: str


class ContactUse(NamedTuple):
    """A contact point: parts crimped on, cavities it is in."""

    id: str
    parts: Refs
    cavities: Refs
    line: int


class CavityUse(NamedTuple):
    """A cavity of a holder."""

    id: str
    part: str
    mated: Refs


class SlotUse(NamedTuple):
    """A slot of a holder."""

    id: str
    part: str
    cavities: tuple[CavityUse, ...]
    mated: Refs


class HolderUse(NamedTuple):
    """A connector (no `sockets`) or a box; `extras` are its installation instructions, kind and value."""

    id: str
    box: bool
    name: str
    words: str
    usage: str
    part: str
    contacts: tuple[ContactUse, ...]
    slots: tuple[SlotUse, ...]
    sockets: tuple[SlotUse, ...]
    extras: tuple[tuple[str, str], ...]
    line: int


class ComponentUse(NamedTuple):
    """Something fitted; `pins` are its pin names with the cavity of each, `order` pin names in the mounting's order."""

    name: str
    words: str
    part: str
    mounting: Refs
    pins: tuple[tuple[str, str], ...]
    order: Refs
    fuse: bool
    line: int


class PartUse(NamedTuple):
    """A terminal or seal; `special` tells a ring terminal from one in a cavity."""

    special: bool
    name: str
    words: str
    part: str


class WireUse(NamedTuple):
    """A wire, a cable (it has `cores`) or a core (it has a `cable`)."""

    number: str
    part: str
    lengths: tuple[tuple[str, Value], ...]
    cable: str
    cores: Refs
    loom: str
    line: int


class ConnectionUse(NamedTuple):
    """An electrical link: the wire and where it ends, each end with its position on the wire."""

    name: str
    words: str
    signal: str
    voltage: str
    wire: str
    ends: tuple[tuple[str, str], ...]
    line: int


class ModuleUse(NamedTuple):
    """A module, or a configuration made of `modules`; a free module configuration has no part number."""

    part_number: str
    words: str
    condition: str
    modules: Refs
    line: int


class SegmentUse(NamedTuple):
    """A stretch between two nodes."""

    name: str
    start: str
    end: str
    lengths: tuple[Value, ...]
    protections: Refs
    line: int


@dataclass
class Raw:
    """Everything kept of one file while it is read, by id; local to that read."""

    file: str
    notes: Notes
    texts: Texts
    name: str = ""
    colours: str = ""
    units: dict[str, UnitKind] = field(default_factory=dict)
    wire_kinds: dict[str, WireKind] = field(default_factory=dict)
    core_kinds: dict[str, WireKind] = field(default_factory=dict)
    housings: dict[str, HousingKind] = field(default_factory=dict)
    boxes: dict[str, HousingKind] = field(default_factory=dict)
    cavity_numbers: dict[str, str] = field(default_factory=dict)
    components: dict[str, ComponentKind] = field(default_factory=dict)
    terminals: dict[str, TerminalKind] = field(default_factory=dict)
    seals: dict[str, str] = field(default_factory=dict)
    coverings: dict[str, str] = field(default_factory=dict)
    assemblies: dict[str, int] = field(default_factory=dict)
    holders: dict[str, HolderUse] = field(default_factory=dict)
    component_uses: dict[str, ComponentUse] = field(default_factory=dict)
    part_uses: dict[str, PartUse] = field(default_factory=dict)
    wires: dict[str, WireUse] = field(default_factory=dict)
    connections: dict[str, ConnectionUse] = field(default_factory=dict)
    covering_uses: dict[str, str] = field(default_factory=dict)
    assembly_uses: dict[str, tuple[str, str, int]] = field(default_factory=dict)
    groups: list[tuple[str, str, Refs, int]] = field(default_factory=list)
    modules: dict[str, ModuleUse] = field(default_factory=dict)
    listed: Listed = field(default_factory=Listed)
    nodes: dict[str, tuple[str, Refs]] = field(default_factory=dict)
    segments: dict[str, SegmentUse] = field(default_factory=dict)
    routes: list[tuple[str, Refs, int]] = field(default_factory=list)
    stand_ins: dict[str, str] = field(default_factory=dict)
    related: set[str] = field(default_factory=set)
    kinds: dict[str, str] = field(default_factory=dict)
    same: dict[object, object] = field(default_factory=dict)

    def key(self, id_: str, kind: str, line: int) -> str:
        """The key an object is kept under: its id, or one of its own where that is missing or was met before."""
        if not id_:
            self.notes.add("id-missing", Level.WARNING, self.span(line), kind=kind)
            id_ = f"?{len(self.kinds)}"
        elif id_ in self.kinds:
            self.notes.add("id-twice", Level.WARNING, self.span(line), id=id_[:60], kind=kind, first=self.kinds[id_])
            id_ = f"{id_}#{len(self.kinds)}"
        self.kinds[id_] = kind
        return id_

    def missing(self, line: int, owner: str, field_: str, ref: str) -> None:
        """Say that a reference leads to nothing, or to what it cannot be."""
        facts = {"owner": owner[:60], "field": field_, "ref": ref[:60]}
        kind = self.kinds.get(ref)
        if kind is None:
            self.notes.add("reference-missing", Level.WARNING, self.span(line), **facts)
        else:
            self.notes.add("reference-kind", Level.WARNING, self.span(line), kind=kind, **facts)

    def span(self, line: int) -> Span:
        """A line of the file."""
        return Span(self.file, line)

    def own(self, key: str, line: int) -> str:
        """A name for what has none: its id, as short as a name."""
        return self.texts.name(key, line) or "?"

    def one(self, text: str) -> str:
        """The same text, kept only once however often it is met."""
        return str(self.same.setdefault(text, text))
