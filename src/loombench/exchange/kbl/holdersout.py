"""Connectors, splices, rings and boxes as KBL: the part, its use with cavities and contact points."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from loombench.exchange.crimps import Crimps, cavities_of
from loombench.exchange.harness import BOX, CONNECTOR, OPEN_END, RING, SPLICE, Contact, End, Harness, Holder, Slot, Spot
from loombench.exchange.kbl.sheet import AMPERE, Sheet
from loombench.exchange.xmlout import Tag, each, optional, plain, tag

USAGE: Mapping[str, str] = MappingProxyType({SPLICE: "splice", RING: "ring terminal", OPEN_END: "no end"})


@dataclass
class Holders:
    """Ids of what wires and fuses refer to: cavities, contact points by contact, slots and their cavities."""

    sheet: Sheet
    harness: Harness
    crimped: Crimps
    cavities: dict[Spot, str] = field(default_factory=dict)
    points: dict[str, str] = field(default_factory=dict)
    slots: dict[tuple[str, str], str] = field(default_factory=dict)
    seats: dict[Spot, str] = field(default_factory=dict)

    def write(self) -> None:
        """All holders, in the harness's order."""
        mated = self._mated()
        for holder in self.harness.holders:
            for cavity in self._all_cavities(holder):
                self.cavities[Spot(holder.id, cavity)] = self.sheet.names.new("cav")
        for holder in self.harness.holders:
            points = [self._point(holder, contact) for contact in self.crimped.of_holder[holder.id]]
            if holder.kind == BOX:
                self._box(holder, points)
            else:
                self._connector(holder, points, mated)

    def point(self, end: End) -> str:
        """The contact point of a wire's end, empty for an open one."""
        return self.points.get(self.crimped.contact(end), "")

    def loose_end(self, name: str) -> str:
        """The contact point of a wire's end that goes nowhere."""
        holder = Holder(name, OPEN_END, cavities=("1",))
        self.cavities[Spot(name, "1")] = self.sheet.names.new("cav")
        point = self._point(holder, Contact(name, name, ("1",)))
        self._connector(holder, [point], {})
        return point.attributes["id"]

    def _all_cavities(self, holder: Holder) -> tuple[str, ...]:
        """The cavities that wires can reach; of a slot only those that one does."""
        if holder.kind != BOX:
            return cavities_of(holder)
        in_slots = {cavity for slot in holder.slots for cavity in slot.cavities}
        wired = {cavity for contact in self.crimped.of_holder.get(holder.id, ()) for cavity in contact.cavities}
        return tuple(cavity for cavity in holder.cavities if cavity not in in_slots or cavity in wired)

    def _point(self, holder: Holder, contact: Contact) -> Tag:
        places = [self.cavities[Spot(holder.id, cavity)] for cavity in contact.cavities]
        parts = self._terminals(contact)
        if holder.kind == RING:
            parts.insert(0, self._ring(holder))
        inside = (tag("Id", contact.id), each("Associated_parts", parts) if parts else None,
                  each("Contacted_cavity", places))  # fmt: skip
        made = tag("Contact_points", *inside, id=self.sheet.names.new("cp"))
        self.points[contact.id] = made.attributes["id"]
        return made

    def _ring(self, holder: Holder) -> str:
        described = optional("Description", holder.description)
        use = tag("Special_terminal_occurrence", tag("Id", holder.name or holder.id), described,
                  tag("Part", self.sheet.terminal(holder.part_number)), id=self.sheet.names.new("rt"))  # fmt: skip
        return self.sheet.use(use, holder.options)

    def _terminals(self, contact: Contact) -> list[str]:
        found = []
        if contact.terminal or contact.plating:
            part = tag("Part", self.sheet.terminal(contact.terminal, contact.plating))
            found.append(
                self.sheet.use(tag("Terminal_occurrence", part, id=self.sheet.names.new("t")), contact.options)
            )
        if contact.seal:
            key = ("seal", contact.seal)
            if key not in self.sheet.known:
                self.sheet.known[key] = self.sheet.master(self.sheet.part("Cavity_seal", "partS", contact.seal))
            use = tag("Cavity_seal_occurrence", tag("Part", self.sheet.known[key]), id=self.sheet.names.new("s"))
            found.append(self.sheet.use(use, contact.options))
        return found

    def _mated(self) -> dict[Spot, list[Spot]]:
        found: dict[Spot, list[Spot]] = {}
        for mating in self.harness.matings:
            for one, other in mating.pairs:
                a, b = Spot(mating.a, one), Spot(mating.b, other)
                found.setdefault(a, []).append(b)
                found.setdefault(b, []).append(a)
        return found

    def _connector(self, holder: Holder, points: list[Tag], mated: Mapping[Spot, list[Spot]]) -> None:
        cavities = self._all_cavities(holder)
        slot_part, cavity_parts, housing = self._housing(holder, cavities)
        uses = []
        for cavity in cavities:
            spot = Spot(holder.id, cavity)
            others = [self.cavities[other] for other in mated.get(spot, ()) if other in self.cavities]
            uses.append(tag("Cavities", each("Mated_cavities", others) if others else None,
                            tag("Part", cavity_parts[cavity]), id=self.cavities[spot]))  # fmt: skip
        slots = tag("Slots", tag("Part", slot_part), *uses, id=self.sheet.names.new("slot"))
        made = tag(
            "Connector_occurrence",
            tag("Id", holder.name or holder.id),
            optional("Description", holder.description),
            optional("Usage", USAGE.get(holder.kind, "")),
            tag("Part", housing),
            *points,
            *self.sheet.told(place=holder.place, stud=holder.stud, body=holder.body, loom=" ".join(holder.looms)),
            slots,
            id=self.sheet.names.new("co"),
        )
        self.sheet.use(made, holder.options)

    def _housing(self, holder: Holder, cavities: tuple[str, ...]) -> tuple[str, dict[str, str], str]:
        number = "" if holder.kind == RING else holder.part_number
        key = ("housing", number, holder.housing, cavities, *(f"cavity {one}" for one in cavities))
        names = self.sheet.names
        slot_key, part_key = ("slot of", key), ("part of", key)
        if part_key not in self.sheet.known:
            made = [tag("Cavities", tag("Cavity_number", one), id=names.new("hc")) for one in cavities]
            self.sheet.known.update({("cavity of", key, one): two.attributes["id"]
                                     for one, two in zip(cavities, made, strict=True)})  # fmt: skip
            slot = tag("Slots", tag("Number_of_cavities", str(len(cavities))), *made, id=names.new("hs"))
            self.sheet.known[slot_key] = slot.attributes["id"]
            kind = optional("Housing_type", holder.housing)
            self.sheet.known[part_key] = self.sheet.master(
                self.sheet.part("Connector_housing", "partH", number, _words(holder), kind, slot)
            )
        places = {one: self.sheet.known["cavity of", key, one] for one in cavities}
        return self.sheet.known[slot_key], places, self.sheet.known[part_key]

    def _box(self, holder: Holder, points: list[Tag]) -> None:
        names, sheet = self.sheet.names, self.sheet
        reach = self._all_cavities(holder)
        parts = {cavity: names.new("bc") for cavity in reach}
        seats = {cavity: names.new("bs") for slot in holder.slots for cavity in slot.cavities}
        cavities = [tag("Cavities", tag("Cavity_number", cavity), id=parts[cavity]) for cavity in reach]
        connector, slot_id, use = names.new("bcon"), names.new("bslot"), names.new("box")
        integrated = tag("Integrated_slots", tag("Number_of_cavities", str(len(reach))), *cavities,
                         xsi_type="kbl:Slot", id=slot_id)  # fmt: skip
        masters = [tag("Component_box_connectors", tag("Id", "A"), integrated if cavities else None, id=connector)]
        slots = {slot.id: names.new("bsl") for slot in holder.slots}
        masters += [_slot(slot, slots[slot.id], seats) for slot in holder.slots]
        groups = list(holder.joined)
        grouped = {cavity for group in groups for cavity in group}
        groups += [(cavity,) for cavity in seats if cavity in parts and cavity not in grouped]
        for number, group in enumerate(groups, 1):
            outside = [parts[cavity] for cavity in group if cavity in parts]
            within = [seats[cavity] for cavity in group if cavity in seats]
            masters.append(tag("Connections", tag("Id", str(number)), each("Cavities", outside) if outside else None,
                               each("Component_cavities", within) if within else None, id=names.new("bx")))  # fmt: skip
        part = sheet.master(sheet.part("Component_box", "partB", holder.part_number, _words(holder), *masters))
        in_use = [tag("Cavities", tag("Part", parts[cavity]), id=self.cavities[Spot(holder.id, cavity)])
                  for cavity in reach]  # fmt: skip
        slot_use = tag("Slots", tag("Part", slot_id), *in_use, xsi_type="kbl:Slot_occurrence", id=names.new("slot"))
        made = [tag("Component_box_connectors", tag("Part", connector), slot_use if in_use else None,
                    id=names.new("con"))]  # fmt: skip
        for slot in holder.slots:
            spots = [Spot(holder.id, cavity) for cavity in slot.cavities]
            self.seats.update({spot: names.new("seat") for spot in spots})
            self.slots[holder.id, slot.id] = names.new("sl")
            places = [tag("Component_cavities", tag("Part", seats[spot.cavity]), id=self.seats[spot]) for spot in spots]
            made.append(tag("Component_slots", tag("Part", slots[slot.id]), *places, id=self.slots[holder.id, slot.id]))
        sheet.use(
            tag(
                "Component_box_occurrence",
                tag("Id", holder.name or holder.id),
                optional("Description", holder.description),
                tag("Part", part),
                *made,
                *points,
                *sheet.told(place=holder.place),
                id=use,
            ),
            holder.options,
        )

    def fit(self) -> None:
        """Fuses, relays and what else sits in slots."""
        for one in self.harness.fitted:
            sheet, rated = self.sheet, one.rating_a
            key = ("component", one.kind, rated, one.part_number)
            if key not in sheet.known:
                fuse = one.kind == "fuse"
                current = sheet.value("Nominal_current", plain(rated), AMPERE) if fuse and rated is not None else None
                made = sheet.part("Component", "partC", one.part_number, one.kind, current, xsi="Fuse" if fuse else "")
                sheet.known[key] = sheet.master(made)
            slot = [self.slots[key] for key in ((spot.holder, one.slot) for spot in one.spots[:1]) if key in self.slots]
            seats = [self.seats[spot] for spot in one.spots if spot in self.seats]
            mounted = [*slot, *seats]
            sheet.use(
                tag(
                    "Component_occurrence",
                    tag("Id", one.id),
                    optional("Description", one.description),
                    each("Mounting", mounted) if mounted else None,
                    tag("Part", sheet.known[key]),
                    *sheet.told(pins=" ".join(one.pins)),
                    id=sheet.names.new("f"),
                ),
                one.options,
            )


def _slot(slot: Slot, own: str, seats: Mapping[str, str]) -> Tag:
    places = [tag("Component_cavities", tag("Cavity_number", seat_number(slot, cavity)), id=seats[cavity])
              for cavity in slot.cavities]  # fmt: skip
    return tag("Component_slots", tag("Id", slot.id), *places, id=own)


def seat_number(slot: Slot, cavity: str) -> str:
    """What is printed beside a cavity of a slot: its name without the slot's."""
    return cavity.removeprefix(f"{slot.id}.") or cavity


def _words(holder: Holder) -> str:
    return {SPLICE: "splice", RING: "ring terminal", OPEN_END: "open end", BOX: "box", CONNECTOR: "connector"}.get(
        holder.kind, "plug"
    )
