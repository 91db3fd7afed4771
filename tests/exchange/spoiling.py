"""Sound files spoilt: one change at a time of a tree, of rows or of bytes, as dice fall that the caller throws."""

import xml.etree.ElementTree as ET
from typing import Protocol

TEXTS = (
    "", " ", "/NULL", "-", "0", "-1", "1e999", "nan", "1,5", "splice", "ring terminal", "x" * 500, "a b c",
    "Ä\u202e", "#?", "1", "X1", "ALL", "A+B/-C", "mm", "0.5 mm2", "18AWG", "RD/YE", "Grundfarbe", "\t", "a.b", "1-2",
)  # fmt: skip


class Dice(Protocol):
    """Numbers from outside: hypothesis, a fuzzer, or a seeded generator."""

    def below(self, sides: int) -> int:
        """A number from 0 up to but without `sides`."""


def spoil_tree(root: ET.Element, dice: Dice) -> None:
    """An element gone, doubled, moved or renamed, a text or reference of another, or an attribute."""
    nodes = list(root.iter())
    above = {child: node for node in nodes for child in node}
    node, other = nodes[dice.below(len(nodes))], nodes[dice.below(len(nodes))]
    how = dice.below(9)
    if how == 0 and node in above:
        above[node].remove(node)
    elif how == 1 and node in above:
        above[node].append(node)
    elif how == 2:
        node.text = TEXTS[dice.below(len(TEXTS))]
    elif how == 3:
        node.text = other.text
    elif how == 4:
        node.text = other.get("id", "")
    elif how == 5:
        node.set("id", other.get("id", ""))
    elif how == 6:
        node.attrib.clear()
    elif how == 7 and node is not root:
        node.tag = other.tag
    elif node in above and other not in node.iter():
        above[node].remove(node)
        other.insert(0, node)


def spoilt_tree(data: bytes, dice: Dice) -> bytes:
    """An XML file with up to four changes."""
    root = ET.fromstring(data)
    for _ in range(1 + dice.below(4)):
        spoil_tree(root, dice)
    return ET.tostring(root, encoding="utf-8", xml_declaration=True)


def spoil_rows(rows: list[list[bytes]], dice: Dice) -> None:
    """A row or cell gone, doubled or moved, a cell of another row, or another text."""
    at = dice.below(len(rows))
    row, other = rows[at], rows[dice.below(len(rows))]
    cell = dice.below(max(len(row), 1))
    how = dice.below(7)
    if how == 0 and len(rows) > 1:
        del rows[at]
    elif how == 1:
        rows.insert(at, list(other))
    elif how == 2 and row:
        del row[cell]
    elif how == 3 and row:
        row.insert(cell, row[cell])
    elif how == 4 and row and other:
        row[cell] = other[min(cell, len(other) - 1)]
    elif how == 5 and row:
        row[cell] = TEXTS[dice.below(len(TEXTS))].encode()
    else:
        rows[at] = list(other)


def spoilt_rows(data: bytes, dice: Dice) -> bytes:
    """A table with up to four changes."""
    rows = [line.split(b";" if b";" in line else b",") for line in data.split(b"\n")]
    for _ in range(1 + dice.below(4)):
        spoil_rows(rows, dice)
    return b"\n".join(b";".join(row) for row in rows)


def spoilt_bytes(data: bytes, dice: Dice) -> bytes:
    """Bytes with up to six changes: others, fewer, doubled."""
    whole = bytearray(data)
    for _ in range(1 + dice.below(6)):
        at = dice.below(max(len(whole), 1))
        how = dice.below(4)
        if how == 0:
            whole[at : at + 1] = bytes([dice.below(256)])
        elif how == 1:
            del whole[at : at + 1 + dice.below(40)]
        elif how == 2:
            whole[at:at] = whole[at : at + 1 + dice.below(200)]
        else:
            whole[at:at] = bytes(dice.below(256) for _ in range(dice.below(6)))
    return bytes(whole)
