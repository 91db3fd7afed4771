"""What a device, a ring or a fuse without a feed may be: proposals by name, words, signals and terminals."""

import re
from collections.abc import Sequence
from types import MappingProxyType

from loombench.exchange.assembly.meanings import (
    GROUND,
    LOADS,
    MINUS,
    PLUS,
    Hint,
    hint,
    is_ground,
    is_supply,
    relay_by_terminals,
)
from loombench.exchange.assembly.plan import Device, Pin, Plan, pins_text
from loombench.exchange.assembly.rings import Proposal, post_or_stud
from loombench.exchange.harness import Holder, Spot
from loombench.exchange.missing import DEVICE, FEED, FITTED, RATING, RELAY, Lack

_NUMBER = MappingProxyType({"lamp": "?W", "motor": "?A", "solenoid": "?W", "horn": "?A", "heater": "?W"})


def asked_as(device: Device) -> str:
    """What a device's row of the table is about."""
    if device.fitted is None:
        return DEVICE
    return RELAY if device.fitted.kind == "relay" else FITTED


def device_lack(device: Device) -> Lack:
    """What hangs on a device's connectors, or sits in a slot without being told to be a fuse."""
    what = asked_as(device)
    text, pins, because, facts = _device(device, what == RELAY)
    spans = [item.span for item in device.holders] + [device.fitted.span if device.fitted else None]
    return Lack(
        what, device.key, pins_text(device.pins), device.words, text, pins, because, facts,
        device.place, device.words, next((span for span in spans if span is not None), None),
    )  # fmt: skip


def _device(device: Device, relay: bool) -> Proposal:
    told = hint(f"{device.words} ") or hint(device.key)
    if told is None or told.meaning in (GROUND, PLUS, MINUS):
        told = _of_signals(device.pins) or told
    names = [pin.name for pin in device.pins]
    known = relay_by_terminals(names)
    if relay or (told is not None and told.meaning == "relay") or (known and not names[0].isdecimal()):
        because = "terminals" if known else "relay-unknown"
        return known, "", because, (("pins", " ".join(names)),)
    if len(device.pins) == 1:
        return _lone(device, told)
    if told is not None and told.meaning == PLUS and set(names) == {"+", "-"}:
        return "battery ?Ah", "", "word", (("word", told.word), ("kind", "battery"))
    if told is not None and told.meaning not in (GROUND, PLUS, MINUS):
        made = _by_kind(told.meaning, device.pins)
        if made[0]:
            return made[0], made[1], "word", (("word", told.word), ("kind", told.meaning))
    return _unknown(device.pins, told)


def _of_signals(pins: Sequence[Pin]) -> Hint | None:
    found = [said for pin in pins for signal in pin.signals if (said := hint(signal)) is not None]
    return next((said for said in found if said.meaning in LOADS), None)


def _lone(device: Device, told: Hint | None) -> Proposal:
    """A device of one pin is mostly a ring or a post that the file has as a connector."""
    pin = device.pins[0]
    place = post_or_stud(device.key, pin.signals, told)
    return place if place is not None else ("generic", "", "one-pin", ())


def _by_kind(kind: str, pins: Sequence[Pin]) -> tuple[str, str]:
    """A part of a kind over these pins, and which pin is which; nothing where the pins do not tell."""
    grounds = [pin for pin in pins if is_ground(pin.signals)]
    if kind in LOADS and len(pins) == 2:
        feed, back = (pins[1], pins[0]) if pins[0] in grounds and pins[1] not in grounds else (pins[0], pins[1])
        numbered = {pin.name for pin in pins} == {"1", "2"}
        if kind == "motor":
            return f"motor {_NUMBER[kind]}", f"{feed.name}=+ {back.name}=-"
        return (f"{kind} {_NUMBER[kind]}" if numbered else f"unit {feed.name}-{back.name} {kind} {_NUMBER[kind]}"), ""
    if kind == "lamp" and len(grounds) == 1:
        rows = [f"{p.name}-{grounds[0].name} lamp ?W{_label(p)}" for p in pins if p is not grounds[0]]
        return f"unit {'; '.join(rows)}", ""
    if kind == "switch" and len(pins) == 2:
        return f"switch off | on: {pins[0].name}={pins[1].name}", ""
    if kind == "sensor" and len(pins) == 2:
        return f"unit {pins[0].name}-{pins[1].name} sensor 2wire ?ohm", ""
    if kind == "alternator" and {pin.name for pin in pins} <= {"B+", "-", "D+"}:
        return "alternator ?A", ""
    return "", ""


def _label(pin: Pin) -> str:
    text = " ".join(", ".join(pin.signals).replace('"', "'").replace(";", ",").split())
    return f' "{text}"' if text else ""


def _unknown(pins: Sequence[Pin], told: Hint | None) -> Proposal:
    """Of what nothing tells the kind: a load of unknown size between supply and ground, else open pins."""
    if len(pins) == 2:
        for one, other in ((pins[0], pins[1]), (pins[1], pins[0])):
            if any(_is_fused(a, b) for a in one.signals for b in other.signals):
                return f"unit {one.name}-{other.name} fuse ?A", "", "fuse-signal", (("pins", pins_text(pins)),)
    grounds = [pin for pin in pins if is_ground(pin.signals)]
    others = [pin for pin in pins if pin not in grounds]
    feeds = others if len(pins) == 2 else [pin for pin in others if is_supply(pin.signals)]
    facts = (("word", told.word if told else "-"),)
    if not grounds or not feeds:
        return "generic", "", "nothing", facts
    rows = [f"{pin.name}-{grounds[0].name} resistor ?ohm" for pin in feeds]
    return f"generic {'; '.join(rows)}", "", "unknown-load", facts


def _is_fused(before: str, behind: str) -> bool:
    """Whether a signal is another with a fuse's name behind it: `30` and `30-F1`."""
    return bool(before) and re.fullmatch(rf"{re.escape(before)}[\W_]F\d+\w*", behind) is not None


def fuse_lacks(plan: Plan) -> list[Lack]:
    """Ratings of fuses, and what feeds those with one side that nothing leads to."""
    boxes = {item.id: item for item, _ in plan.boxes}
    found: list[Lack] = []
    for device in plan.devices:
        one = device.fitted
        if one is None or one.kind != "fuse":
            continue
        seen = ", ".join(text for text in (one.part_number, one.description) if text)
        if one.rating_a is None:
            found.append(Lack(RATING, one.id, pins_text(device.pins), seen, because="rating", span=one.span))
        box = boxes.get(one.spots[0].holder) if one.spots else None
        if box is not None and _lone_side(box, one.spots, plan):
            proposal = _feed(box, plan)
            facts = (("box", box.name or box.id),)
            found.append(Lack(FEED, one.id, pins_text(device.pins), seen, proposal, "", "feed", facts, span=one.span))
    return found


def _lone_side(box: Holder, spots: Sequence[Spot], plan: Plan) -> bool:
    """Whether one side of a fuse is wired or on a bar, and the other neither."""
    inside = {cavity for group in box.joined if len(group) > 1 for cavity in group}
    sides = [spot in plan.spots or spot.cavity in inside for spot in spots]
    return any(sides) and (len(spots) < 2 or not all(sides))


def _feed(box: Holder, plan: Plan) -> str:
    """The one cavity of the box with a supply that no bar or fuse is at."""
    slotted = {cavity for slot in box.slots for cavity in slot.cavities}
    own = [cavity for cavity in plan.used.get(box.id, ()) if cavity not in slotted]
    fed = [cavity for cavity in own if is_supply(plan.spots[Spot(box.id, cavity)])]
    return fed[0] if len(fed) == 1 else ""
