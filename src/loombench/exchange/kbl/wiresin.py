"""The wires of a KBL file: each connection with its conductor, and where its ends are."""

import re
from collections import Counter
from collections.abc import Sequence

from loombench.base.problems import Level
from loombench.exchange.harness import ColourText, End, Spot, Wire
from loombench.exchange.kbl.coloursin import BARE, Colours
from loombench.exchange.kbl.contactsin import CONDUCTING, Contacts
from loombench.exchange.kbl.holdersin import Draft
from loombench.exchange.kbl.measures import area_mm2, wire_length_m
from loombench.exchange.kbl.modulesin import Modules
from loombench.exchange.kbl.naming import Names
from loombench.exchange.kbl.raw import ConnectionUse, Raw, WireKind, WireUse
from loombench.exchange.kbl.topology import Topology

SHIELD_PIN = "shield"
# What is no wire and has no length to speak of, though it leads from one holder to another.
_RIGID = frozenset({"bar", "busbar", "jumper", "link", "bridge"})
_NO_USE = WireUse("", "", (), "", (), "", 0)
_NO_KIND = WireKind("", "", "", None, (), "", 0)
_SHIELD = re.compile(r"screen|shield|schirm|braid|drain|beilauf", re.IGNORECASE)
_TWIST = re.compile(r"twist|verdrill|\butp\b|\bstp\b|\btwp\b", re.IGNORECASE)


class WireReader:
    """Makes the wires of one file."""

    def __init__(self, raw: Raw, contacts: Contacts, modules: Modules, topology: Topology, colours: Colours) -> None:
        self.raw, self.contacts, self.modules, self.colours = raw, contacts, modules, colours
        self.topology = topology
        self.groups = self._groups()
        self.ids = Names()
        self.used: Counter[str] = Counter()
        self.by_name: dict[str, Draft] = {draft.id: draft for draft in contacts.places.drafts.values()}
        self.kinds: dict[str, tuple[ColourText, bool, float | None, str]] = {}

    def _groups(self) -> dict[str, str]:
        groups: dict[str, str] = {}
        for index, (name, kind, wires, line) in enumerate(self.raw.groups, 1):
            if not kind or _TWIST.search(kind):
                for ref in wires:
                    if ref not in self.raw.wires:
                        self.raw.missing(line, name, "Assigned_wire", ref)
                    groups.setdefault(ref, name or f"group{index}")
        return groups

    def wires(self, loom: str) -> tuple[Wire, ...]:
        """All wires, in the order of their connections."""
        made = (self._wire(key, use, loom) for key, use in self.raw.connections.items())
        found = tuple(wire for wire in made if wire is not None)
        for key, wire in self.raw.wires.items():
            if not wire.cores and not self.used[key]:
                self.raw.notes.add(
                    "wire-unconnected", Level.NOTE, self.raw.span(wire.line), wire=wire.number or key
                )  # fmt: skip
        return found

    def _wire(self, key: str, use: ConnectionUse, loom: str) -> Wire | None:
        if not use.wire and all(not ref for _position, ref in use.ends):
            self.raw.notes.add("connection-empty", Level.WARNING, self.raw.span(use.line), connection=use.name or key)
            return None
        wire_key, wire = self._conductor(key, use)
        kind = self._kind(wire)
        cable = self.raw.wires.get(wire.cable, _NO_USE)
        colour, shield, area, type_ = self._said(wire.part, kind)
        ends, bare_end = self._ends(use)
        if self.modules.options and not self.modules.listed(key, wire_key, wire.cable):
            self.raw.notes.add("module-none", Level.NOTE, self.raw.span(use.line), wire=use.name or wire.number or key)
        length = self._length(key, wire, cable, [end for _draft, end in ends], type_)
        twist = self.groups.get(wire_key, "")
        if not twist and wire.cable and _TWIST.search(f"{type_} {self._kind(cable).type}"):
            twist = cable.number or wire.cable
        in_cable = bool(wire.cable)
        return Wire(
            id=self.ids.free(wire.number or use.name or self.raw.own(key, use.line)),
            ends=tuple(end for _draft, end in ends),
            number=wire.number,
            signal=use.signal,
            colour=colour,
            area_mm2=area,
            size_text=kind.area.number if kind.area is not None else "",
            length_m=length,
            type=type_,
            part_number=kind.part_number,
            cable=(cable.number or wire.cable) if in_cable else "",
            core=kind.name,
            twist=twist,
            shield=shield or (in_cable and (bare_end or colour.parts == (BARE,))),
            loom=wire.loom or cable.loom or loom,
            options=self.modules.of_both((key,), (wire_key, wire.cable), use.line),
            segments=self.topology.path(key, wire_key),
            remark=use.words,
            span=self.raw.span(use.line),
        )

    def _conductor(self, key: str, use: ConnectionUse) -> tuple[str, WireUse]:
        """The wire or core of a connection; of a cable with one core that core; nothing known where there is none."""
        ref = use.wire
        wire = self.raw.wires.get(ref)
        if wire is None and self.raw.stand_ins.get(ref):
            self.raw.notes.add("stand-in", Level.NOTE, self.raw.span(use.line), ref=ref[:60], owner=use.name or key)
            ref = self.raw.stand_ins[ref]
            wire = self.raw.wires.get(ref)
        if wire is not None and len(wire.cores) == 1:
            self.raw.notes.add("core-taken", Level.NOTE, self.raw.span(use.line), ref=ref[:60], owner=use.name or key)
            ref, wire = wire.cores[0], self.raw.wires[wire.cores[0]]
        if wire is None or wire.cores:
            self.raw.missing(use.line, use.name or key, "Wire", ref)
            cable = ref if wire is not None else ""
            return ref, _NO_USE._replace(cable=cable, line=use.line)
        self.used[ref] += 1
        if self.used[ref] == 2:
            self.raw.notes.add("wire-shared", Level.NOTE, self.raw.span(use.line), wire=wire.number or ref)
        return ref, wire

    def _kind(self, wire: WireUse) -> WireKind:
        if not wire.part:
            return _NO_KIND
        first, second = self.raw.wire_kinds, self.raw.core_kinds
        kind = (second.get(wire.part) or first.get(wire.part)) if wire.cable else first.get(wire.part)
        if kind is None:
            self.raw.missing(wire.line, wire.number, "Part", wire.part)
            return second.get(wire.part, _NO_KIND)
        return kind

    def _said(self, part: str, kind: WireKind) -> tuple[ColourText, bool, float | None, str]:
        """Colour, whether it is a shield, cross-section and type: once for each wire type, not for each wire."""
        found = self.kinds.get(part)
        if found is None:
            colour, screen = self.colours.of(kind)
            area = area_mm2(self.raw, kind.area) if kind.area is not None else None
            cable = self.raw.wire_kinds.get(kind.cable, _NO_KIND)
            screen = screen or (bool(kind.cable) and bool(_SHIELD.search(f"{kind.name} {kind.type}")))
            found = self.kinds[part] = (colour, screen, area, kind.type or cable.type)
        return found

    def _ends(self, use: ConnectionUse) -> tuple[list[tuple[Draft | None, End]], bool]:
        ordered = self._along(use.ends) if len(use.ends) > 2 else use.ends
        ends: list[tuple[Draft | None, End]] = []
        bare = False
        for _position, ref in ordered:
            draft, end, shield = self._end(use, ref)
            bare = bare or shield
            ends.append((draft, end))
        if sum(1 for draft, _end in ends if draft is not None) < 2:
            count = sum(1 for draft, _end in ends if draft is not None)
            self.raw.notes.add("wire-end-open", Level.WARNING, self.raw.span(use.line), wire=use.name, count=count)
        ends.extend([(None, End(None))] * (2 - len(ends)))
        return ends, bare

    def _along(self, ends: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
        """More than two ends in their order along the wire, the file's order where positions are no numbers."""
        try:
            return sorted(ends, key=lambda end: float(end[0].replace(",", ".")))
        except ValueError:
            return list(ends)

    def _end(self, use: ConnectionUse, ref: str) -> tuple[Draft | None, End, bool]:
        """An end, its holder, and whether it leads to a connector as such, as a shield does."""
        raw, places = self.raw, self.contacts.places
        kind = raw.kinds.get(ref, "")
        if ref not in self.contacts.found and kind in CONDUCTING and ref in self.contacts.by_part:
            raw.missing(use.line, use.name, "Contact_point", ref)
            ref = self.contacts.by_part[ref]
        found = self.contacts.found.get(ref)
        if found is not None:
            draft, contact = found
            return draft, End(Spot(draft.id, contact.cavities[0]), ref), False
        raw.missing(use.line, use.name, "Contact_point", ref)
        if ref in places.cavities:
            draft, cavity = places.cavities[ref]
            return draft, End(Spot(draft.id, cavity)), False
        holder = places.drafts.get(ref) or places.drafts.get(raw.stand_ins.get(ref, ""))
        if holder is None and kind in CONDUCTING:
            holder = self.by_name.get(raw.part_uses[ref].name)
        if holder is None:
            return None, End(None), False
        if len(holder.cavities) == 1:
            return holder, End(Spot(holder.id, next(iter(holder.cavities)))), False
        holder.cavities[SHIELD_PIN] = None
        return holder, End(Spot(holder.id, SHIELD_PIN)), True

    def _length(self, key: str, wire: WireUse, cable: WireUse, ends: Sequence[End], type_: str) -> float | None:
        length = wire_length_m(self.raw, wire.lengths) if wire.lengths else None
        if length is None and cable.lengths:
            length = wire_length_m(self.raw, cable.lengths)
        spots = {end.spot.holder for end in ends if end.spot is not None}
        if length == 0 and len(spots) > 1 and type_.casefold() not in _RIGID:
            self.raw.notes.add("length-zero", Level.NOTE, self.raw.span(wire.line or cable.line), wire=wire.number)
            length = None
        if length is None:
            length = self.topology.length_m(key)
            if length is not None:
                self.raw.notes.add("length-summed", Level.NOTE, self.raw.span(wire.line), wire=wire.number)
        return length
