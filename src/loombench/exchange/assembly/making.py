"""The statements of a vehicle while they are made: devices, rings and wires first, as they say what else there is."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from loombench.exchange.assembly.asking import USUAL_V, refuse
from loombench.exchange.assembly.carriers import box_part, fit, is_rating
from loombench.exchange.assembly.conductors import Conductors, battery_cable, colour_system, say
from loombench.exchange.assembly.parts import Bolted, Unusable, open_part, read_bolted, told_part
from loombench.exchange.assembly.plan import Device, Plan
from loombench.exchange.assembly.points import Points
from loombench.exchange.assembly.proposals import asked_as
from loombench.exchange.assembly.sheet import PartText, Sheet
from loombench.exchange.harness import Harness, Holder
from loombench.exchange.missing import BATTERY, DEVICE, FEED, MINUS, RING, VEHICLE, VOLTAGE, Answer, Key, Lack
from loombench.exchange.report import Notes
from loombench.vehicle.model import Wire
from loombench.vehicle.points import Point

_VOLTS = re.compile(r"(\d{1,3}(?:[.,]\d+)?)\s*V?", re.IGNORECASE)


@dataclass
class Making:
    """One assembly while it is made."""

    harness: Harness
    plan: Plan
    points: Points
    lacks: Mapping[Key, Lack]
    taken: Mapping[Key, Answer]
    notes: Notes

    def __post_init__(self) -> None:
        self._feeds: dict[str, list[tuple[str, str]]] = {}
        for device in self.plan.devices:
            one = device.fitted
            feed = self.taken.get((FEED, one.id)) if one is not None else None
            if one is not None and one.spots and feed is not None:
                self._feeds.setdefault(one.spots[0].holder, []).append((feed.text.strip(), device.id))
        self._studs: dict[str, tuple[str, str]] = {}
        for device in self.plan.devices:
            answer = self.taken.get((DEVICE, device.key)) if device.fitted is None else None
            if answer is not None and read_bolted(answer.text, device.key) is not None:
                self.points.withdraw(device)  # it becomes a ring, so its name is free for the stud or battery

    def sheet(self) -> Sheet:
        """All statements; wires come first, since they say which ends, cables and places there are."""
        system = colour_system(self.harness)
        wiring = Conductors(self.harness, self.plan, self.points, self.notes, system)
        devices = [part for device in self.plan.devices for part in self._device(device)]
        rings = [part for item in self.plan.rings for part in self._ring(item)]
        for item in self.plan.open_ends:
            self.points.whole[item.id] = self.points.open_end(item.name or item.id, item.description or say("open-end"))
        wires = tuple(wiring.wires())
        boxes = [part for item, own in self.plan.boxes if (part := self._box(item, own)) is not None]
        batteries = list(self._batteries())
        wires += tuple(self._minus())
        parts = [*self._metal(), *batteries, *boxes, *self._joints(), *wiring.cable_parts(), *rings, *devices]
        placed = tuple(replace(part, place=wiring.place(part.place)) for part in self._with_box_places(parts))
        return Sheet(
            self.harness.name or VEHICLE,
            self._volts(),
            system,
            tuple(wiring.places.values()),
            placed,
            wires,
            tuple(dict.fromkeys(wire.loom for wire in wires)),
            tuple(sorted({*self.plan.renamed, *self.plan.names.renamed})),
        )

    def _device(self, device: Device) -> Iterator[PartText]:
        if device.fitted is not None:
            rating = self.taken.get(("rating", device.fitted.id))
            if rating is not None and not is_rating(rating.text):
                refuse(self.notes, Lack("rating", device.fitted.id), rating, "rating")
            fuse = fit(device, device.fitted, self.taken, self.points)
            if fuse is not None:
                yield fuse
                return
        lack = self.lacks[asked_as(device), device.key]
        answer = self.taken.get(lack.key)
        bolted = read_bolted(answer.text, device.key) if answer is not None else None
        if bolted is not None and answer is not None:
            at = self._bolt(bolted, Holder(device.id, RING))
            self.points.fixed.update({spot: at for pin in device.pins for spot in pin.spots})
            self._stud(at, answer, device.place, device.words)
            return
        made = open_part(device) if answer is None else told_part(device, answer)
        if isinstance(made, Unusable):
            if answer is not None:
                refuse(self.notes, lack, answer, made.reason)
            made = open_part(device)
        part, names = made
        for pin in device.pins:
            for spot in pin.spots:
                self.points.fit(spot, names[pin.name], device.fitted.spots[0].holder if device.fitted else spot.holder)
        yield part

    def _ring(self, item: Holder) -> Iterator[PartText]:
        name = item.stud or item.name or item.id
        answer = self.taken.get((RING, item.id))
        bolted = Bolted(stud=item.stud, body=item.body) if item.stud and item.body else None
        if answer is not None:
            bolted = read_bolted(answer.text, name)
            if bolted is None and answer.text.strip().casefold() not in ("open", "generic"):
                refuse(self.notes, Lack(RING, item.id, span=item.span), answer, "ring")
        if bolted is not None:
            at = self.points.whole[item.id] = self._bolt(bolted, item)
            self._stud(at, answer, item.place, item.description)
            return
        own = self.plan.names.give(item.name or item.id, RING, "W")
        self.points.whole[item.id] = Point(own, "1")
        label = item.description or (item.name or item.id if (item.name or item.id) != own else say("ring"))
        yield PartText("generic", own, "1", (), item.place, label)

    def _bolt(self, bolted: Bolted, item: Holder) -> Point:
        if bolted.point is not None:
            return Point(self.points.battery(bolted.point.part), bolted.point.pin)
        if bolted.stud:
            return self.points.ring(item, bolted.stud, bolted.body)
        return self.points.post(bolted.post)

    def _box(self, item: Holder, own: str) -> PartText | None:
        return box_part(item, own, self.plan, self.points, self._feeds.get(item.id, ()))

    def _batteries(self) -> Iterator[PartText]:
        for own, name in self.points.batteries.items():
            place = self.lacks[BATTERY, name].place if (BATTERY, name) in self.lacks else ""
            answer = self.taken.get((BATTERY, name)) or Answer("battery ?Ah", place=place)
            kind, _, words = " ".join(answer.text.split()).partition(" ")
            if kind not in ("battery", "alternator", "generic"):
                refuse(self.notes, Lack(BATTERY, name), answer, "kind")
                kind, words = "battery", "?Ah"
            yield PartText(kind, own, words, (), answer.place, answer.label, answer.span)

    def _minus(self) -> Iterator[Wire]:
        for own, name in self.points.batteries.items():
            answer = self.taken.get((MINUS, name))
            if answer is None:
                continue
            words = answer.text.strip().removeprefix("on ")
            bolted = read_bolted(words, f"GND-{name}")
            if bolted is None and re.fullmatch(r"[^\W_][\w+-]*", words):
                bolted = Bolted(stud=f"GND-{name}", body=words)
            if bolted is None:
                refuse(self.notes, Lack(MINUS, name), answer, "ring")
                continue
            yield battery_cable(Point(own, "-"), self._bolt(bolted, Holder(f"GND-{name}", RING)))

    def _metal(self) -> Iterator[PartText]:
        for body in self.points.bodies:
            yield PartText("body", body)
        for stud, body in self.points.studs.items():
            yield PartText("stud", stud, f"on {body}", (), *self._studs.get(stud, ("", "")))

    def _stud(self, at: Point, answer: Answer | None, place: str, label: str) -> None:
        """Keep where a stud is and what is said of it, by the first of its rings."""
        if at.ring:
            said = (answer.place or place, answer.label or label) if answer is not None else (place, label)
            self._studs.setdefault(at.part, said)

    def _joints(self) -> Iterator[PartText]:
        for coupling in self.plan.couplings:
            (one, first), (other, second) = coupling.halves
            words = f"{coupling.ways}way {first} | {second}"
            yield PartText("connector", coupling.id, words, (), one.place or other.place, one.description)
        by_id = {item.id: item for item in self.harness.holders}
        for holder, own in self.plan.splices.items():
            yield PartText("splice", own, "", (), by_id[holder].place, by_id[holder].description)
        for own in self.points.posts:
            yield PartText("splice", own, "", (), "", say("post"))
        for own, label in self.points.ends.items():
            yield PartText("splice", own, "", (), "", label)

    def _with_box_places(self, parts: list[PartText]) -> list[PartText]:
        """What is fitted is where its box is, if nothing else is said."""
        place_of = {item.id: item.place for item, _ in self.plan.boxes}
        held = {
            device.id: place_of.get(device.fitted.spots[0].holder, "")
            for device in self.plan.devices if device.fitted is not None and device.fitted.spots
        }  # fmt: skip
        return [replace(part, place=part.place or held.get(part.id, "")) for part in parts]

    def _volts(self) -> float:
        answer = self.taken.get((VOLTAGE, VEHICLE))
        usual = self.harness.voltage_v or USUAL_V
        if answer is None:
            return usual
        found = _VOLTS.fullmatch(answer.text.strip())
        volts = float(found[1].replace(",", ".")) if found else 0.0
        if not 5.0 <= volts <= 60.0:
            refuse(self.notes, Lack(VOLTAGE, VEHICLE), answer, "voltage")
            return usual
        return volts
