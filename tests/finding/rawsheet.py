"""What a `.circuit` text declares, read without the program: parts, wires, marks, and how far a mark goes.

Only what the safety of a step hangs on is understood. Nothing of `loombench` is imported: the reader, the pins of a
kind and the flood are written anew from `docs/notation.md`. A mark follows wires from end to end, goes through
splices, cavities of connectors, plugs in sockets, and what a carrier joins; it ends at the pin of a device, at the bar
that feeds a carrier, and at a stud, a body or a battery, where everything meets.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

MEETING = ("stud", "body", "battery", "strap")
PINS = {
    kind: tuple(pins.split())
    for pins, kinds in {
        "in out": "fuse fuselink breaker",
        "1 2": "lamp heater solenoid horn resistor cutout sensor terminator",
        "+ -": "led motor battery",
        "a k": "diode",
        "a b": "strap",
        "H L": "bus-node",
    }.items()
    for kind in kinds.split()
}
KINDS = (
    *PINS, "alternator", "relay", "switch", "connector", "splice", "body", "stud", "converter", "flasher", "timer",
    "generic", "unit", "module", "carrier", "cable", "socket", "plug",
)  # fmt: skip
Pin = tuple[str, str]


@dataclass
class Sheet:
    """`kinds` of parts by name, `pins` seen of each, `beside` what is at one potential, `marks` as declared, `carried`
    the points that a carrier joins, `mated` plugs in sockets; `later` are lines that wait for the parts they name
    (vehicle, carrier, text)."""

    kinds: dict[str, str] = field(default_factory=dict)
    pins: dict[str, list[str]] = field(default_factory=dict)
    beside: dict[Pin, set[Pin]] = field(default_factory=dict)
    marks: list[tuple[str, str, str]] = field(default_factory=list)
    carried: set[Pin] = field(default_factory=set)
    mated: list[tuple[str, str]] = field(default_factory=list)
    later: list[tuple[str, str, str]] = field(default_factory=list)

    def marked(self, *names: str) -> frozenset[Pin]:
        """Every (part, pin) that a mark of one of these classes reaches; the pin of a splice is empty."""
        waiting = [
            (part, pin)
            for part, wanted, name in self.marks
            if name in names
            for pin in ([wanted] if wanted else self.pins.get(part, []) or [""])
        ]
        found: set[Pin] = set()
        while waiting:
            one = waiting.pop()
            if one not in found:
                found.add(one)
                if self.kinds.get(one[0], "splice") not in MEETING:
                    waiting += self.beside.get(one, ())
        return frozenset(found)

    def join(self, one: Pin, other: Pin) -> None:
        """Two points at one potential."""
        for a, b in ((one, other), (other, one)):
            self.beside.setdefault(a, set()).add(b)
            seen = self.pins.setdefault(a[0], [])
            if a[1] and a[1] not in seen:
                seen.append(a[1])


def read_sheet(path: Path, more: str = "") -> Sheet:
    """The sheet of a file, no option chosen, with lines added at its end."""
    return read_text(path.read_text(encoding="utf-8") + "\n" + more, path.parent)


def read_text(text: str, folder: Path | None = None) -> Sheet:
    """The sheet of a text; what it includes is beside it in `folder`."""
    sheet = Sheet()
    _read(sheet, text, folder, "")
    for prefix, carrier, line in sheet.later:  # a line may use what a later one declares
        if carrier:
            _joins(sheet, carrier, line, prefix)
        else:
            _wires(sheet, line, prefix)
    for plug, socket in sheet.mated:
        for pin in sheet.pins[plug]:
            if pin in sheet.pins[socket]:
                sheet.join((plug, pin), (socket, pin))
    return sheet


def _lines(text: str) -> Iterator[tuple[bool, str]]:
    """(indented, line) without comments, without what stands in quotes, and without what hangs on an option."""
    for raw in text.splitlines():
        bare = re.sub(r'"[^"]*"', '""', raw)
        bare = re.sub(r"\([^)]*\)", lambda found: found.group().replace("#", "No"), bare).partition("#")[0]
        line = re.sub(r"^if not \S+ ", "", bare)
        if line.strip() and not line.startswith("if "):
            yield line[0] in " \t", line.strip()


def _read(sheet: Sheet, text: str, folder: Path | None, prefix: str) -> None:
    part, kind, quoted = "", "", iter(re.findall(r'^(?:include|plug) "([^"]+)"', text, re.MULTILINE))
    for indented, line in _lines(text):
        words = line.split()
        if words[0] == "include" and folder:
            _read(sheet, (folder / next(quoted)).read_text(encoding="utf-8"), folder, prefix)
        elif words[0] == "plug" and words[1].startswith('""') and folder:
            file = next(quoted)
            inner = prefix + Path(file).stem + "::"
            _read(sheet, (folder / file).read_text(encoding="utf-8"), folder, inner)
            sheet.mated.append((inner + words[1].partition(".")[2], prefix + words[3]))
        elif words[0] == "class":
            sheet.marks += [(*_pin(name, prefix), words[1]) for name in words[2:]]
        elif re.search(r"\([^)]*\)\s*\S", line) and words[0] not in (*KINDS, "when"):
            sheet.later.append((prefix, "", line))
        elif indented and part:
            _below(sheet, part, kind, line, prefix)
        elif words[0] in KINDS and len(words) > 1:
            kind, part = words[0], prefix + words[1]
            sheet.kinds[part] = kind
            sheet.pins[part] = [*PINS.get(kind, ())] if kind != "sensor" or "3wire" not in line else ["+", "-", "s"]
            _own(sheet, part, kind, words, line)
        elif not indented:
            part = ""


def _own(sheet: Sheet, part: str, kind: str, words: list[str], line: str) -> None:
    """Pins that stand on a part's own line, and its class."""
    if kind == "switch":
        found = [pin for pair in re.findall(r"(?<=\s)(\S+=\S+)", line) for pin in pair.split("=")]
        sheet.pins[part] = list(dict.fromkeys(found))
    if kind in ("relay", "flasher", "timer", "generic"):
        sheet.pins[part] = [word for word in words[2:] if re.fullmatch(r"\d{1,2}[a-z]?", word)]
    if kind == "connector":
        ways = next((int(word[:-3]) for word in words if re.fullmatch(r"\d+way", word)), 0)
        sheet.pins[part] = [str(one) for one in range(1, ways + 1)]
    if "class" in words:
        sheet.marks.append((part, "", words[words.index("class") + 1]))


def _below(sheet: Sheet, part: str, kind: str, line: str, prefix: str) -> None:
    """Indented lines: joins of a carrier, pins of units and switches."""
    if kind == "carrier":
        sheet.later.append((prefix, part, line))
    elif kind == "unit" and (found := re.match(r"(\w+)-(\w+) ", line)):
        sheet.pins[part] += [pin for pin in found.groups() if pin not in sheet.pins[part]]
    elif kind == "switch":
        found_pins = [pin for pair in re.findall(r"(?<=\s)(\S+=\S+)", line) for pin in pair.split("=")]
        sheet.pins[part] = list(dict.fromkeys(sheet.pins[part] + found_pins))


def _joins(sheet: Sheet, carrier: str, line: str, prefix: str) -> None:
    """A bar from a point to others, or a join of two; a bare part is entered by its first pin."""
    ends = []
    words = re.sub(r"^bar\s+\S+\s+from\b|[:=]", " ", line).split()
    if words[0] == "in":
        return
    for name in words:
        part, pin = _pin(name, prefix)
        known = part in sheet.kinds
        ends.append((part, pin or sheet.pins[part][0]) if known else (carrier, name))
    sheet.carried.update(ends)
    for end in ends[1:]:
        sheet.join(ends[0], end)


def _pin(name: str, prefix: str) -> Pin:
    """(part, pin) of a point as it is written, whichever half or side."""
    found = re.fullmatch(r"([^.@:/]+)(?:[./]([^@:]+))?(?:@[^:]*)?(?::\w+)?", name)
    assert found is not None, name
    return prefix + found[1], found[2] or ""


def _wires(sheet: Sheet, line: str, prefix: str) -> None:
    """A way of wires: each joins where the one before leaves to where the next enters."""
    names = [piece.strip() for piece in re.split(r"\([^)]*\)", line)]
    names = [name for name in names if name]
    for place, name in enumerate(names[:-1]):
        sheet.join(_passed(sheet, name, prefix, leaving=True), _passed(sheet, names[place + 1], prefix, leaving=False))


def _passed(sheet: Sheet, name: str, prefix: str, leaving: bool) -> Pin:
    """The pin of a part by which a way leaves or enters it."""
    if ">" in name:
        part, _, ends = name.partition(".")
        return prefix + part, ends.split(">")[leaving]
    part, pin = _pin(name, prefix)
    kind = sheet.kinds.get(part, "splice")
    if pin or kind in ("splice", "stud", "body"):
        return part, pin
    return part, sheet.pins[part][1 if leaving else 0]
