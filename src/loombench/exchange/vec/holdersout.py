"""Connectors, splices, rings, boxes and what is fitted in them, as VEC; and what is plugged into what."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType

from loombench.exchange.crimps import Crimps, cavities_of
from loombench.exchange.harness import BOX, OPEN_END, RING, SPLICE, Contact, End, Fitted, Harness, Holder, Spot
from loombench.exchange.vec.pages import AMPERE, Pages
from loombench.exchange.xmlout import Tag, each, optional, plain, tag

_TERMINALS: Mapping[str, str] = MappingProxyType({SPLICE: "SpliceTerminal", RING: "RingTerminal"})
_PLUGGED = "PluggableTerminal"
_FITTED: Mapping[str, str] = MappingProxyType({"fuse": "Fuse", "relay": "Relay"})


@dataclass
class Holders:
    """Cavity references, terminal roles of box and fuse pins by spot; contact points as elements with their wire ends.

    `mounted` gathers the wire ends of each contact, by the contact's id, until all wires are known.
    """

    pages: Pages
    harness: Harness
    crimped: Crimps
    cavities: dict[Spot, str] = field(default_factory=dict)
    slots: dict[str, str] = field(default_factory=dict)
    pins: dict[Spot, str] = field(default_factory=dict)
    mounted: dict[str, list[str]] = field(default_factory=dict)
    couplings: list[Tag] = field(default_factory=list)

    @cached_property
    def _open(self) -> frozenset[str]:
        """Holders of ends that go nowhere: VEC leaves such an end without a contact."""
        return frozenset(holder.id for holder in self.harness.holders if holder.kind == OPEN_END)

    def write(self) -> None:
        """All holders and what is fitted, in the harness's order."""
        own = self._boxes_themselves()
        for holder in self.harness.holders:
            if holder.id in own or holder.kind == BOX:
                self._component(holder, own.get(holder.id))
            elif holder.kind not in (*_TERMINALS, OPEN_END):
                self._connector(holder)
        for one in self.harness.fitted:
            if one is not own.get(one.id):
                self._fit(one)

    def mount(self, end: End, wire_end: str) -> None:
        """Note that a wire's end is crimped into its contact."""
        contact = self.crimped.contact(end)
        if contact and (end.spot is None or end.spot.holder not in self._open):
            self.mounted.setdefault(contact, []).append(wire_end)

    def contact_points(self) -> Iterable[Tag]:
        """The contact points with their terminals, cavities and wires."""
        for holder in self.harness.holders:
            contacts = self.crimped.of_holder[holder.id]
            if holder.kind in _TERMINALS and contacts:
                # A splice or ring is one terminal, whatever the file made of it.
                first = contacts[0].id
                self.mounted[first] = [end for one in contacts for end in self.mounted.get(one.id, ())]
                contacts = contacts[:1]
            for contact in contacts if holder.kind != OPEN_END else ():
                terminal = self._terminal(holder, contact)
                places = [self.cavities[spot] for spot in (Spot(holder.id, one) for one in contact.cavities)
                          if spot in self.cavities]  # fmt: skip
                mounting = tag("CavityMounting", each("EquippedCavityRef", places), id=self.pages.names.new("cm"))
                ends = self.mounted.get(contact.id, ())
                wires = [tag("WireMounting", each("ReferencedWireEnd", ends), id=self.pages.names.new("wm"))]
                yield tag("ContactPoint", self.pages.configured(contact.options), tag("Identification", contact.id),
                          tag("MountedTerminal", terminal), mounting if places else None,
                          *(wires if ends else ()), id=self.pages.names.new("cp"))  # fmt: skip

    def mate(self) -> None:
        """Couple what is plugged into one another, cavity by cavity."""
        for mating in self.harness.matings:
            pairs = [(Spot(mating.a, a), Spot(mating.b, b)) for a, b in mating.pairs]
            known = [(a, b) for a, b in pairs if a in self.cavities and b in self.cavities]
            if not known or mating.a not in self.slots or mating.b not in self.slots:
                continue
            names = self.pages.names
            cavities = [
                tag("CavityCoupling", tag("Identification", a.cavity), tag("FirstCavity", self.cavities[a]),
                    tag("SecondCavity", self.cavities[b]), id=names.new("cc"))
                for a, b in known
            ]  # fmt: skip
            first, second = tag("FirstSlot", self.slots[mating.a]), tag("SecondSlot", self.slots[mating.b])
            slots = tag("SlotCoupling", tag("Identification", "1"), first, second, *cavities, id=names.new("sc"))
            inside = (tag("Identification", f"{mating.a} {mating.b}"), slots)
            self.couplings.append(tag("CouplingPoint", *inside, id=names.new("cpl")))

    def _boxes_themselves(self) -> dict[str, Fitted]:
        """Fuses and relays that are all there is of their box, by its id: then no box is written beside them."""
        inside: dict[str, list[Fitted]] = {}
        for one in self.harness.fitted:
            for holder in dict.fromkeys(spot.holder for spot in one.spots):
                inside.setdefault(holder, []).append(one)
        found: dict[str, Fitted] = {}
        for box in self.harness.holders:
            fitted = inside.get(box.id, [])
            if box.kind == BOX and len(fitted) == 1 and not box.joined and fitted[0].kind in _FITTED:
                one = fitted[0]
                if one.id == box.id and {Spot(box.id, cavity) for cavity in box.cavities} == set(one.spots):
                    found[box.id] = one
        return found

    def _terminal(self, holder: Holder, contact: Contact) -> str:
        kind = _TERMINALS.get(holder.kind, _PLUGGED)
        single = holder.kind in _TERMINALS
        specification = self.pages.once(f"{kind}Specification", kind, contact.terminal)
        role = tag("Role", tag("Identification", contact.id), tag("TerminalSpecification", specification),
                   xsi_type=f"vec:{kind}Role", id=self.pages.names.new("tr"))  # fmt: skip
        part = self.pages.part(holder.part_number if single else contact.terminal, kind)
        name = (holder.name or holder.id) if single else contact.id
        words, options = (holder.description, holder.options) if single else ("", contact.options)
        self.pages.component(name, role, part, _loom(holder), words, options)
        return role.attributes["id"]

    def _connector(self, holder: Holder) -> None:
        cavities = cavities_of(holder)
        specification, slot, places, part = self._housing(holder.part_number, holder.housing, cavities)
        role = self._housing_role(holder, "Role", specification, slot, places)
        name = holder.name or holder.id
        self.pages.component(name, role, part, _loom(holder), holder.description, holder.options)

    def _housing(self, number: str, code: str, cavities: tuple[str, ...]) -> tuple[str, str, dict[str, str], str]:
        """The specification of a housing, its slot, its cavities and its part, each made once."""
        names, known = self.pages.names, self.pages.known
        key = ("housing", number, code, cavities)
        part = self.pages.part(number, "ConnectorHousing")
        if key not in known:
            own = [tag("Cavity", tag("CavityNumber", one), id=names.new("cav")) for one in cavities]
            slot = tag("Slot", tag("SlotNumber", "1"), *own, xsi_type="vec:Slot", id=names.new("slot"))
            known["slot", key] = slot.attributes["id"]
            known.update({("cavity", key, one): made.attributes["id"] for one, made in zip(cavities, own, strict=True)})
            known[key] = self.pages.specify("ConnectorHousingSpecification", code or number or "housing", slot,
                                            part=part)  # fmt: skip
        return known[key], known["slot", key], {one: known["cavity", key, one] for one in cavities}, part

    def _housing_role(self, holder: Holder, name: str, specification: str, slot: str, places: Mapping[str, str]) -> Tag:
        names = self.pages.names
        uses = []
        for cavity, own in places.items():
            use = names.new("cr")
            self.cavities[Spot(holder.id, cavity)] = use
            uses.append(tag("CavityReference", tag("Identification", cavity), tag("ReferencedCavity", own), id=use))
        self.slots[holder.id] = names.new("sr")
        in_slot = tag("SlotReference", tag("Identification", "1"), tag("ReferencedSlot", slot), *uses,
                      xsi_type="vec:SlotReference", id=self.slots[holder.id])  # fmt: skip
        attributes = {"xsi_type": "vec:ConnectorHousingRole"} if name == "Role" else {}
        return tag(name, tag("Identification", holder.id), tag("ConnectorHousingSpecification", specification), in_slot,
                   **attributes, id=names.new("r"))  # fmt: skip

    def _component(self, holder: Holder, itself: Fitted | None) -> None:
        """A box, or a fuse or relay with wires at its own pins: terminals of wires go into cavities of its housing."""
        names = self.pages.names
        wired = {cavity for contact in self.crimped.of_holder[holder.id] for cavity in contact.cavities}
        housing: tuple[Tag, ...] = ()
        places: dict[str, str] = {}
        if wired:
            reach = tuple(cavity for cavity in holder.cavities if cavity in wired)
            specification, slot, places, _ = self._housing("", "box", reach)
            housing = (self._housing_role(holder, "ConnectorHousingRole", specification, slot, places),)
        spots = {cavity: Spot(holder.id, cavity) for cavity in holder.cavities}
        pins = {cavity: names.new("pin") for cavity in holder.cavities}
        own_names = dict(zip((spot.cavity for spot in itself.spots), itself.pins, strict=False)) if itself else {}
        made = [self._pin(own_names.get(cavity, cavity), pins[cavity], places.get(cavity)) for cavity in pins]
        joints = [tag("Connections", tag("Identification", str(number)), each("Pins", (pins[one] for one in group)),
                      id=names.new("x")) for number, group in enumerate(holder.joined, 1)]  # fmt: skip
        specify = self._component_specification(itself, holder.part_number, joints, made)
        uses = [self._pin_use(spot, pins[cavity]) for cavity, spot in spots.items()]
        reference = tag("HousingComponentRef", tag("Identification", "A"), tag("HousingComponent", specify[1]),
                        *housing, *uses, id=names.new("hr"))  # fmt: skip
        role = tag("Role", tag("Identification", holder.id), tag("EEComponentSpecification", specify[0]), reference,
                   xsi_type="vec:EEComponentRole", id=names.new("r"))  # fmt: skip
        words = (itself.description if itself else "") or holder.description
        self.pages.component(holder.name or holder.id, role, specify[2], _loom(holder), words, holder.options)

    def _fit(self, one: Fitted) -> None:
        """A fuse or relay that is plugged into a box: its pins mate with those of the box."""
        names = self.pages.names
        texts = [one.pins[place] if place < len(one.pins) else str(place + 1) for place in range(len(one.spots))]
        pins = [names.new("pin") for _ in one.spots]
        made = [self._pin(text, pin, None) for text, pin in zip(texts, pins, strict=True)]
        specify = self._component_specification(one, one.part_number, [], made)
        uses = [self._pin_use(None, pin) for pin in pins]
        reference = tag("HousingComponentRef", tag("Identification", "A"), tag("HousingComponent", specify[1]), *uses,
                        id=names.new("hr"))  # fmt: skip
        role = tag("Role", tag("Identification", one.id), tag("EEComponentSpecification", specify[0]), reference,
                   xsi_type="vec:EEComponentRole", id=names.new("r"))  # fmt: skip
        self.pages.component(one.id, role, specify[2], "", one.description, one.options)
        matings = []
        for number, (spot, use) in enumerate(zip(one.spots, uses, strict=True), 1):
            terminal = use.children[-1].attributes["id"]
            if spot in self.pins:
                matings.append(tag("MatingPoint", tag("Identification", str(number)),
                                   tag("FirstTerminalRole", self.pins[spot]), tag("SecondTerminalRole", terminal),
                                   id=names.new("mp")))  # fmt: skip
        if matings:
            self.couplings.append(tag("CouplingPoint", tag("Identification", one.id), *matings, id=names.new("cpl")))

    def _pin(self, name: str, own: str, cavity: str | None) -> Tag:
        specification = self.pages.once("PluggableTerminalSpecification", _PLUGGED, "")
        return tag("PinComponent", tag("Identification", name), tag("PinSpecification", specification),
                   optional("ReferencedCavity", cavity or ""), id=own)  # fmt: skip

    def _pin_use(self, spot: Spot | None, pin: str) -> Tag:
        names = self.pages.names
        specification = self.pages.once("PluggableTerminalSpecification", _PLUGGED, "")
        terminal = tag("TerminalRole", tag("Identification", "1"), tag("TerminalSpecification", specification),
                       xsi_type="vec:PluggableTerminalRole", id=names.new("tr"))  # fmt: skip
        if spot is not None:
            self.pins[spot] = terminal.attributes["id"]
        return tag("PinComponentRef", tag("PinComponent", pin), terminal, id=names.new("pr"))

    def _component_specification(
        self, fitted: Fitted | None, number: str, joints: list[Tag], pins: list[Tag]
    ) -> tuple[str, str, str]:
        """The ids of the specification, its housing and its part."""
        kind = _FITTED.get(fitted.kind, "") if fitted is not None else ""
        part = self.pages.part(number, kind or "EEComponent")
        housing = tag("HousingComponent", tag("Identification", "A"), *pins, id=self.pages.names.new("h"))
        rating = fitted.rating_a if fitted is not None and fitted.kind == "fuse" else None
        current = self.pages.value("IMax", plain(rating), AMPERE) if rating is not None else None
        specification = self.pages.specify(f"{kind or 'EEComponent'}Specification", kind or "component", *joints,
                                           housing, current, part=part)  # fmt: skip
        return specification, housing.attributes["id"], part


def _loom(holder: Holder) -> str:
    return holder.looms[0] if holder.looms else ""
