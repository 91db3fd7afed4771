"""Relays, timed relays and flashers: coil and contacts in one frame, terminals as printed."""

from loombench.base.wording import catalogue
from loombench.draw.shapes import PULLED, Line, Rect, Symbol, Wanted
from loombench.draw.symbols.contacts import contact, delay, link_mm, pulse, throw
from loombench.draw.symbols.frame import point_name, side_texts, upside_down
from loombench.draw.symbols.glyphs import HEIGHT_MM, glyph
from loombench.draw.symbols.ladder import Rung, ladder, rung
from loombench.draw.symbols.ratings import inner_rating, value_text
from loombench.vehicle.model import Inner, Part

_COIL_LINK_MM = 3.75


def relay(part: Part, wanted: Wanted) -> Symbol:
    """A relay: suppressor, coil, contacts; released unless `wanted` says that it is pulled."""
    pulled = wanted.positions.get(part.id) == PULLED
    shown = [one for one in part.elements if all(wanted.takes(point_name(part, pin)) for pin in one.pins)]
    contacts = [one for one in shown if one.kind == "relay-contact"]
    rungs = [_suppressor(one) for one in shown if one.kind not in ("relay-contact", "relay-coil")]
    coils = [rung(*_pair(one), glyph("relay-coil"), (), _COIL_LINK_MM) for one in shown if one.kind == "relay-coil"]
    first = len(rungs)
    rungs += [*coils, *_contacts(contacts, pulled)]
    texts = side_texts(part, 0.0, 0.0)
    return ladder(part, rungs, wanted, texts, (tuple(range(first, len(rungs))),))


def _pair(inner: Inner) -> tuple[str, str]:
    """A coil or suppressor: as IEC 60617 has it, the terminal with the higher number towards the supply is usual."""
    return (inner.pins[1], inner.pins[0])


def _suppressor(inner: Inner) -> Rung:
    shapes = tuple(upside_down(shape, HEIGHT_MM) for shape in glyph(inner.kind))
    notes = (inner_rating(inner),) if inner.kind == "resistor" and inner_rating(inner) else ()
    return rung(*_pair(inner), shapes, notes)


def _contacts(contacts: list[Inner], pulled: bool) -> list[Rung]:
    """The contacts; a make and a break that share their common terminal are one change-over contact."""
    left = list(contacts)
    found: list[Rung] = []
    while left:
        one = left.pop(0)
        makes = one.name.startswith("make")
        pair = next((two for two in left if two.pins[0] == one.pins[0] and two.name.startswith("make") != makes), None)
        if pair is None:
            closed = makes == pulled
            found.append(rung(one.pins[0], one.pins[1], contact(closed), (), link_mm(closed)))
            continue
        left.remove(pair)
        make, rest = (one, pair) if makes else (pair, one)
        lowers = ((rest.pins[1], -2.5), (make.pins[1], 2.5))
        shapes = throw((-2.5, 2.5), 1 if pulled else 0)
        found.append(Rung(((one.pins[0], 0.0),), lowers, shapes, (), 1.25 if pulled else -1.25))
    return found


def timer(part: Part, wanted: Wanted) -> Symbol:
    """A timed relay: its supply stays, or switches it; the coil says whether it is late to pick up or to drop out."""
    word = next((word for word in part.words if word.endswith("delay") or word == "interval"), "")
    pulled = wanted.positions.get(part.id) == PULLED
    *feeds, ground, output = part.pins
    source, command = feeds[0], feeds[-1]
    notes = (word,) if word else ()
    rungs = (
        rung(command, ground, delay(word), (), _COIL_LINK_MM),
        rung(source, output, contact(pulled), (), link_mm(pulled)),
    )
    return ladder(part, rungs, wanted, side_texts(part, 0.0, 0.0, notes), ((0, 1),))


def flasher(part: Part, wanted: Wanted) -> Symbol:
    """A flasher: a contact that a clock moves, and one for the trailer's tell-tale where it has that."""
    supply, output, *rest = part.pins
    clock = (
        Line(0.0, 0.0, 0.0, 4.5), Line(0.0, 10.5, 0.0, HEIGHT_MM), Rect(-3.0, 4.5, 6.0, 6.0), *pulse(-1.9, 6.8),
    )  # fmt: skip
    rungs: list[Rung] = []
    if rest:
        rungs.append(rung(supply, rest[0], clock, (), 3.0))
    else:
        rungs.append(Rung(((supply, 0.0),), ((output, 0.0),), (*contact(False), *pulse(1.2, 6.8)), ()))
    if rest:
        rungs += [rung(supply, pin, contact(False), (), link_mm(False)) for pin in (output, *rest[1:])]
    shown = [one for one in rungs if all(wanted.takes(point_name(part, pin)) for pin, _ in one.ends)]
    texts = side_texts(part, 0.0, 0.0, _quick(part, wanted))
    return ladder(part, shown, wanted, texts, (tuple(range(len(shown))),))


def _quick(part: Part, wanted: Wanted) -> tuple[str, ...]:
    """Below which current it flashes quickly."""
    least = part.params.get("quick_below_a")
    words = catalogue(wanted.language)
    return (words.say("symbol.quick", amperes=value_text(least, "A")),) if least else ()
