"""A harness and the answers to what it lacks, as the statements of a vehicle; and the table of what it lacks."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from loombench.base.outcome import Outcome
from loombench.base.problems import Level
from loombench.exchange.assembly.carriers import box_part, fit, is_rating
from loombench.exchange.assembly.conductors import Conductors, battery_cable, colour_system, not_held, say
from loombench.exchange.assembly.parts import ANSWERABLE, Bolted, Unusable, open_part, read_bolted, told_part
from loombench.exchange.assembly.plan import DEVICE_PATTERN, Device, Plan, plan
from loombench.exchange.assembly.points import Points
from loombench.exchange.assembly.proposals import BODY, device_lack, fuse_lacks, ring_lacks
from loombench.exchange.assembly.sheet import PartText, Sheet
from loombench.exchange.harness import Harness, Holder
from loombench.exchange.joining import mated, propose_matings
from loombench.exchange.missing import (
    BATTERY,
    DEVICE,
    MATING,
    MINUS,
    RING,
    VEHICLE,
    VOLTAGE,
    WHAT,
    Answer,
    Answers,
    Key,
    Lack,
)
from loombench.exchange.report import Notes
from loombench.vehicle.model import Wire
from loombench.vehicle.points import Point

USUAL_V = 12.0
_VOLTS = re.compile(r"(\d{1,3}(?:[.,]\d+)?)\s*V?", re.IGNORECASE)


@dataclass(frozen=True)
class Assembled:
    """The harness with its matings, the statements, all rows of the table, and the answers taken by their rows."""

    harness: Harness
    sheet: Sheet
    lacks: tuple[Lack, ...]
    taken: Mapping[Key, Answer]


def assemble(harness: Harness, answers: Answers | None = None, pattern: str = DEVICE_PATTERN) -> Outcome[Assembled]:
    """Put a harness without variants together. What no answer tells stays open: a generic part that conducts nothing.

    An answer that cannot be taken is an error, and what it is for stays open.
    """
    answers, notes = answers or Answers(), Notes()
    harness, lacks = _joined(harness, answers, notes)
    laid = plan(harness, pattern)
    points = Points.of(harness, laid)
    lacks += [_voltage(harness), *ring_lacks(harness, laid)]
    lacks += [device_lack(d) for d in laid.devices if d.fitted is None or d.fitted.kind != "fuse" or len(d.pins) > 2]
    lacks += fuse_lacks(harness, laid)
    lacks += _battery_lacks(lacks, answers, points)
    taken = {lack.key: answer for lack in lacks if (answer := answers.to(lack)) is not None}
    known = {lack.key for lack in lacks}
    for (what, name), given in answers.given.items():
        if (what, name) not in known and given.text.strip():
            notes.add("answer-for-nothing", Level.WARNING, given.span, what=what[:20], name=name[:60])
    made = _Making(harness, laid, points, tuple(lacks), taken, notes)
    sheet = made.sheet()
    held = ", ".join(f"{name}: {number}" for name, number in not_held(harness))
    if held:
        notes.add("import-not-held", Level.NOTE, held=held)
    order = {what: number for number, what in enumerate(WHAT)}
    lacks.sort(key=lambda one: order[one.what])
    return Outcome(Assembled(harness, sheet, tuple(lacks), taken), tuple(notes.problems))


def _voltage(harness: Harness) -> Lack:
    said = f"{harness.voltage_v:g}V" if harness.voltage_v is not None else f"{USUAL_V:g}V"
    because = "voltage-said" if harness.voltage_v is not None else "voltage"
    return Lack(VOLTAGE, VEHICLE, proposal=said, because=because)


def _joined(harness: Harness, answers: Answers, notes: Notes) -> tuple[Harness, list[Lack]]:
    """The harness with the matings that are confirmed, and the rows of all that are proposed or told."""
    lacks: list[Lack] = []
    by_id = {item.id: item for item in harness.holders}
    for one in propose_matings(harness):
        a, b = by_id[one.mating.a], by_id[one.mating.b]
        facts = (("same", str(one.same)), ("other", str(one.other)), ("count", str(len(one.mating.pairs))))
        lacks.append(Lack(MATING, a.id, "", a.description, b.id, "", "mating", facts, a.place, a.description, a.span))
    proposed = {lack.id for lack in lacks}
    told = [name for what, name in answers.given if what == MATING and name not in proposed]
    lacks.extend(Lack(MATING, name, because="mating-told") for name in told)
    for lack in lacks:
        answer = answers.to(lack)
        if answer is None:
            continue
        joined = mated(harness, lack.id, answer.text.strip())
        if joined is None:
            _refuse(notes, lack, answer, "mating")
        else:
            harness = joined
    return harness, lacks


def _battery_lacks(lacks: list[Lack], answers: Answers, points: Points) -> list[Lack]:
    """The batteries whose posts were named or proposed, and the ground of each that no ring or pin is at."""
    posts: dict[str, set[str]] = {}
    places: dict[str, str] = {}
    for lack in lacks:
        answer = answers.to(lack)
        text = answer.text if answer is not None else lack.proposal
        bolted = read_bolted(text, lack.id) if lack.what in (RING, DEVICE) else None
        if bolted is not None and bolted.point is not None:
            posts.setdefault(bolted.point.part, set()).add(bolted.point.pin)
            places[bolted.point.part] = places.get(bolted.point.part) or lack.place
    found: list[Lack] = []
    for name, pins in posts.items():
        if name not in points.called and pins <= {"+", "-"}:
            found.append(Lack(BATTERY, name, proposal="battery ?Ah", because="battery", place=places[name]))
            if "-" not in pins:
                found.append(Lack(MINUS, name, proposal=f"stud GND-{name} on {BODY}", because="minus"))
    return found


def _refuse(notes: Notes, lack: Lack, answer: Answer, reason: str) -> None:
    facts = {"what": lack.what, "name": lack.id[:60], "answer": answer.text[:80], "pins": lack.pins[:120] or "-"}
    notes.add(f"answer-{reason}", Level.ERROR, answer.span, lack.span, kinds=", ".join(ANSWERABLE), **facts)


@dataclass
class _Making:
    """One assembly while it is made."""

    harness: Harness
    plan: Plan
    points: Points
    lacks: tuple[Lack, ...]
    taken: Mapping[Key, Answer]
    notes: Notes

    def sheet(self) -> Sheet:
        """All statements; wires come first, since they say which ends, cables and places there are."""
        system = colour_system(self.harness)
        wiring = Conductors(self.harness, self.plan, self.points, self.notes, system)
        devices = [part for device in self.plan.devices for part in self._device(device)]
        rings = [part for item in self.plan.rings for part in self._ring(item, wiring)]
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
                _refuse(self.notes, Lack("rating", device.fitted.id), rating, "rating")
            fuse = fit(device, device.fitted, self.taken, self.points)
            if fuse is not None:
                yield fuse
                return
        lack = device_lack(device)
        answer = self.taken.get(lack.key)
        bolted = read_bolted(answer.text, device.key) if answer is not None else None
        if bolted is not None and answer is not None:
            at = self._bolt(bolted, Holder(device.id, RING))
            self.points.fixed.update({spot: at for pin in device.pins for spot in pin.spots})
            return
        made = open_part(device) if answer is None else told_part(device, answer)
        if isinstance(made, Unusable):
            if answer is not None:
                _refuse(self.notes, lack, answer, made.reason)
            made = open_part(device)
        part, names = made
        self.points.fixed.update({spot: names[pin.name] for pin in device.pins for spot in pin.spots})
        yield part

    def _ring(self, item: Holder, wiring: Conductors) -> Iterator[PartText]:
        del wiring
        name = item.stud or item.name or item.id
        answer = self.taken.get((RING, item.id))
        bolted = Bolted(stud=item.stud, body=item.body) if item.stud and item.body else None
        if answer is not None:
            bolted = read_bolted(answer.text, name)
            if bolted is None and answer.text.strip().casefold() not in ("open", "generic"):
                _refuse(self.notes, Lack(RING, item.id, span=item.span), answer, "ring")
        if bolted is not None:
            self.points.whole[item.id] = self._bolt(bolted, item)
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
        return box_part(item, own, self.plan, self.points, self.taken)

    def _batteries(self) -> Iterator[PartText]:
        for own, name in self.points.batteries.items():
            place = next((lack.place for lack in self.lacks if lack.key == (BATTERY, name)), "")
            answer = self.taken.get((BATTERY, name)) or Answer("battery ?Ah", place=place)
            kind, _, words = " ".join(answer.text.split()).partition(" ")
            if kind not in ("battery", "alternator", "generic"):
                _refuse(self.notes, Lack(BATTERY, name), answer, "kind")
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
                _refuse(self.notes, Lack(MINUS, name), answer, "ring")
                continue
            yield battery_cable(Point(own, "-"), self._bolt(bolted, Holder(f"GND-{name}", RING)))

    def _metal(self) -> Iterator[PartText]:
        for body in self.points.bodies:
            yield PartText("body", body)
        places = self._stud_places()
        for stud, body in self.points.studs.items():
            yield PartText("stud", stud, f"on {body}", (), *places.get(stud, ("", "")))

    def _stud_places(self) -> dict[str, tuple[str, str]]:
        found: dict[str, tuple[str, str]] = {}
        for item in self.plan.rings:
            at = self.points.whole.get(item.id)
            answer = self.taken.get((RING, item.id))
            if at is not None and at.ring:
                place = answer.place if answer is not None and answer.place else item.place
                label = answer.label if answer is not None and answer.label else item.description
                found.setdefault(at.part, (place, label))
        return found

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
            _refuse(self.notes, Lack(VOLTAGE, VEHICLE), answer, "voltage")
            return usual
        return volts
