"""What is said below the face of a plug: side, numbering, latch, lock, tool, the wanted cavity and its neighbours."""

from collections.abc import Iterator

from loombench.base.wording import Catalogue
from loombench.draw.cavities import OTHER, Spots
from loombench.draw.pinout import CAREFUL, KEPT_OFF, PinRow
from loombench.vehicle.face import Face


def caution(words: Catalogue, name: str, rows: tuple[PinRow, ...]) -> str:
    """What stands before everything else where cavities must not be touched, or only with care; else nothing."""
    for classes, key in ((KEPT_OFF, "face.keep-off"), (CAREFUL, "face.careful")):
        found = [one for one in classes if any(row.net_class == one for row in rows)]
        if found:
            return words.say(key, name=name, classes=", ".join(found))
    return ""


def face_words(
    words: Catalogue, cavity: str, face: Face, seen: Spots, rows: tuple[PinRow, ...], seen_from: str, other: bool
) -> Iterator[str]:
    """The sentences, what matters most for not taking the wrong cavity first."""
    by_cavity = {row.cavity: row for row in rows}
    if cavity in by_cavity:
        yield _wanted(words, by_cavity[cavity])
        near = [_neighbour(words, by_cavity[name], face) for name in seen.neighbours(cavity)]
        if near:
            yield words.say("face.beside", neighbours=", ".join(near))
    if seen.assumed:
        yield words.say("face.assumed")
    else:
        text = words.say(f"face.numbering-{'grid' if face.grid else face.numbering}")
        holds = OTHER.get(face.seen_from, "") if other else face.seen_from
        side = words.say(f"face.of-{holds}") if holds else ""
        yield words.say("face.of-side", text=text, side=side) if side else text
        if not seen.side_known:
            yield words.say("face.side-unknown")
    yield words.say("face.mirror")
    yield from _opening(words, face, (bool(face.seen_from) and face.seen_from != seen_from) is not other)
    blind = [row.cavity for row in rows if is_blind(face, row)]
    empty = [row.cavity for row in rows if not (row.wires or is_blind(face, row))]
    for key, cavities in (("face.blind", blind), ("face.empty", empty)):
        if cavities:
            yield words.say(key, cavities=", ".join(cavities))


def _opening(words: Catalogue, face: Face, mirrored: bool) -> Iterator[str]:
    edge = {"left": "right", "right": "left"}.get(face.latch, face.latch) if mirrored else face.latch
    where = words.say(f"face.{edge}") if edge else ""
    kind = "lever" if face.lever else "latch"
    if face.opens:
        yield words.say(f"face.{kind}", edge=where, how=face.opens).replace(" :", ":")
    elif where or face.lever:
        yield words.say(f"face.{kind}-bare", edge=where).strip()
    else:
        yield words.say("face.latch-unknown")
    if face.lock:
        yield words.say("face.lock", text=face.lock)
    if face.tool and face.tool_from:
        yield words.say("face.tool-from", text=face.tool, side=words.say(f"face.of-{face.tool_from}"))
    elif face.tool:
        yield words.say("face.tool", text=face.tool)


def is_blind(face: Face, row: PinRow) -> bool:
    """Whether a cavity is closed with a plug; one with a wire in it is not, whatever is declared."""
    return row.cavity in face.blind and not row.wires


def _wanted(words: Catalogue, row: PinRow) -> str:
    if not row.wires:
        return words.say("face.wanted-empty", cavity=row.cavity)
    return words.say("face.wanted", cavity=row.cavity, wire=wire_text(row), to=row.to)


def _neighbour(words: Catalogue, row: PinRow, face: Face) -> str:
    if is_blind(face, row):
        colour = words.say("face.plugged")
    elif not row.wires:
        colour = words.say("face.nothing")
    else:
        letters = str(row.wires[0].colour)
        colour = words.say("face.unknown-colour") if letters == "?" else letters
    return words.say("face.neighbour", cavity=row.cavity, colour=colour)


def wire_text(row: PinRow) -> str:
    """`GY/RD 1.5 mm²` of the first wire, `?` for what is not known."""
    return f"{row.wires[0].colour} {size_text(row)}" if row.wires else "?"


def size_text(row: PinRow) -> str:
    """The size of the first wire; `?` where it is assumed."""
    wire = row.wires[0]
    if "size" in wire.assumed:
        return "?"
    return wire.size_text.replace("mm2", " mm²") if wire.size_text else f"{wire.area_mm2.nominal:g} mm²"
