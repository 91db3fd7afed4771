"""The face of a plug as text."""

from collections.abc import Iterator

from loombench.text.statements.face import GAP
from loombench.text.write_parts import quoted
from loombench.vehicle.face import Face


def face_lines(face: Face) -> Iterator[str]:
    """`face X12 rows 2 zigzag from wires` and the lines below it."""
    words = [f"face {face.name}"]
    if face.rows:
        words.append(f"rows {face.rows}")
    if face.numbering:
        words.append(face.numbering)
    if face.seen_from:
        words.append(f"from {face.seen_from}")
    yield " ".join(words)
    if face.latch or face.opens or face.lever:
        word = "lever" if face.lever else "latch"
        yield " ".join(filter(None, (f"  {word}", face.latch, quoted(face.opens) if face.opens else "")))
    if face.lock:
        yield f"  lock {quoted(face.lock)}"
    if face.tool:
        yield f"  tool {quoted(face.tool)}" + (f" from {face.tool_from}" if face.tool_from else "")
    if face.blind:
        yield f"  blind {' '.join(face.blind)}"
    if face.grid:
        yield "  grid " + " / ".join(" ".join(pin or GAP for pin in row) for row in face.grid)
