"""The line of a part, `KIND ID NUMBERS WORDS at PLACE "label" class NETCLASS`, its words in any order."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from loombench.base.band import Band
from loombench.base.problems import Span
from loombench.base.quantity import NotAQuantity
from loombench.text.draft import Draft
from loombench.text.fill import assumed_number, with_primary
from loombench.text.numbers import Number, read_number
from loombench.text.syntax import Line
from loombench.text.tokens import STRING, Token, tokens
from loombench.text.units import joined, limits_text, size_in_mm
from loombench.vehicle.kinds import KINDS, NET_CLASSES, KindSpec
from loombench.vehicle.model import Part

NAME = re.compile(r"(?:[^\W_][\w+-]*)")
_PIN_LIKE = re.compile(r"\d+[a-z]?\d*|[^\d?].*", re.S)
_LETTERS = str.maketrans("OoIl", "0011")
"""Letters typed for digits."""
_NUMBER_LIKE = re.compile(r"[+-]?[\d?].*", re.S)


@dataclass(frozen=True)
class PartLine:
    """What a part's line says. `rest` are the tokens that only its kind can understand, in order."""

    line: Line
    kind: str
    id: str
    label: str = ""
    place: str = ""
    net_class: str = ""
    numbers: Mapping[str, Band] = field(default_factory=lambda: MappingProxyType({}))
    words: tuple[str, ...] = ()
    rest: tuple[Token, ...] = ()

    @property
    def span(self) -> Span:
        """The place of the part's name."""
        return self.line.span(self.line.tokens[1])

    def part(self, pins: tuple[str, ...], **fields: object) -> Part:
        """A part of this line with its pins."""
        marks = tuple((pin, self.net_class) for pin in pins or ("",)) if self.net_class else ()
        return Part(
            id=self.id, kind=self.kind, pins=pins, place=self.place, label=self.label, span=self.span,
            class_marks=marks, **fields,  # type: ignore[arg-type]
        )  # fmt: skip


def example_of(kind: str) -> str:
    """A whole line of a kind, to show what one looks like."""
    return EXAMPLES.get(kind, f"{kind} A1")


def read_part_line(draft: Draft, line: Line, declares_pins: bool = False) -> PartLine | None:
    """The line of a part; None where it has no name that can be used, which is then said.

    With `declares_pins` words such as `87a` are names of pins and not 87 ampere.
    """
    kind = line.keyword
    if len(line.tokens) < 2 or not line.tokens[1].is_word():
        draft.missing(line, kind, example_of(kind))
        return None
    name = line.tokens[1]
    if _is_number_of(name.text, KINDS[kind]):
        draft.missing(line, kind, example_of(kind))
        return None
    if not NAME.fullmatch(name.text) or len(name.text) > 60:
        draft.wrong("name-bad", line.span(name), name=name.text[:40])
        return None
    label, place, net_class, rest = common_words(draft, line, line.tokens[2:])
    numbers, words, left = numbers_and_words(draft, line, KINDS[kind], rest, declares_pins)
    numbers = with_primary(kind, numbers)
    return PartLine(line, kind, name.text, label, place, net_class, numbers, words, left)


def _is_number_of(text: str, spec: KindSpec) -> bool:
    """Whether a word where the name should be is one of the kind's numbers: `fuse 10A`."""
    number = read_number(text) if text[0].isdigit() else None
    return isinstance(number, Number) and number.unit in spec.numbers


def common_words(draft: Draft, line: Line, found: tuple[Token, ...]) -> tuple[str, str, str, tuple[Token, ...]]:
    """Label, place and net class of a part's line, and the tokens that are left."""
    label, place, net_class = "", "", ""
    rest: list[Token] = []
    index = 0
    while index < len(found):
        token, after = found[index], found[index + 1] if index + 1 < len(found) else None
        index += 1
        if token.kind == STRING:
            if label:
                draft.unexpected(line, token, line.keyword)
            label = label or token.text
        elif token.is_word("at", "class") and after is not None and after.is_word():
            index += 1
            if token.text == "at":
                place = after.text
                draft.wanted_places.append((place, line.span(after)))
            elif after.text in NET_CLASSES:
                net_class = after.text
            else:
                say_class(draft, line, after)
        else:
            rest.append(token)
    return label, place, net_class, tuple(rest)


def say_class(draft: Draft, line: Line, token: Token) -> None:
    """A net class that is none."""
    near = draft.near(token.text, NET_CLASSES)
    draft.wrong(
        "class-unknown", line.span(token), name=token.text[:40], nearest=near, allowed=", ".join(NET_CLASSES)
    )  # fmt: skip


def numbers_and_words(
    draft: Draft, line: Line, spec: KindSpec, found: tuple[Token, ...], declares_pins: bool = False
) -> tuple[Mapping[str, Band], tuple[str, ...], tuple[Token, ...]]:
    """The numbers and plain words of a kind among tokens, and the tokens that are left.

    A number of a unit that the kind does not take is said; a `?` of one it does takes the assumed range, if any.
    """
    numbers: dict[str, Band] = {}
    words: list[str] = []
    rest: list[Token] = []
    for token in joined(found, spec.numbers, every_spelling=not declares_pins):
        if token.is_word() and token.text in spec.words:
            words.append(token.text)
            continue
        pin = declares_pins and (_PIN_LIKE.fullmatch(token.text) or "-" in token.text[1:])
        if not token.is_word() or pin or not _NUMBER_LIKE.fullmatch(token.text):
            rest.append(token)
            continue
        meant = size_in_mm(token.text) if "mm2" in spec.numbers else ""
        if meant:
            draft.wrong("size-as-length", line.span(token), text=token.text[:40], meant=meant)
            continue
        number = read_number(token.text)
        if not isinstance(number, NotAQuantity) and number.unit in spec.numbers:
            name = spec.numbers[number.unit]
            if name in numbers:
                draft.unexpected(line, token, spec.kind)
                continue
            band = number.band or assumed_number(spec.kind, name)
            if band is not None:
                numbers[name] = band
        elif not (isinstance(number, NotAQuantity) or number.unit or number.band is not None):
            continue  # a bare `?`: nothing is known, which is what a missing number says too
        else:
            say_number(draft, line, token, spec.numbers)
    return MappingProxyType(numbers), tuple(words), tuple(rest)


def line_in(text: str, number: int) -> Line:
    """A line of a text as tokens."""
    return Line("", number, tokens(text.splitlines()[number - 1]))


def say_number(draft: Draft, line: Line, token: Token, units: Mapping[str, str]) -> None:
    """Why a word that looks like a number is none, or does not belong here."""
    number = read_number(token.text)
    span, text, allowed = line.span(token), token.text[:40], ", ".join(units) or "none"
    digits = read_number(text.translate(_LETTERS))
    if isinstance(number, NotAQuantity) and isinstance(digits, Number) and digits.unit in units:
        draft.unexpected(line, token, line.keyword, (f"?{unit}" for unit in units), text.translate(_LETTERS))
    elif isinstance(number, NotAQuantity):
        if number.reason in ("size", "bounds"):
            draft.wrong("number-range", span, text=text, limits=limits_text(units, text))
        else:
            draft.wrong("number-unit", span, text=text, unit=number.text[:20], allowed=allowed)
    elif not number.unit:
        unit = next((unit for unit in units if unit != "V"), "V")
        draft.wrong("number-bare", span, text=text, example=text + unit, allowed=allowed)
    else:
        draft.wrong("number-unit", span, text=text, unit=number.unit, allowed=allowed)


def leftover(draft: Draft, said: PartLine, rest: tuple[Token, ...] | None = None) -> None:
    """Say every token that nobody understood."""
    spec = KINDS[said.kind]
    for token in said.rest if rest is None else rest:
        if token.is_word() and _NUMBER_LIKE.fullmatch(token.text):
            say_number(draft, said.line, token, spec.numbers)
        else:
            allowed = (*spec.words, "at", "class", *(f"?{unit}" for unit in spec.numbers))
            meant = f"at {token.text}" if token.is_word() and token.text in draft.places else ""
            draft.unexpected(said.line, token, said.kind, allowed, meant)


EXAMPLES: Mapping[str, str] = MappingProxyType(
    {
        "battery": "battery G1 95Ah", "alternator": "alternator G2 90A", "fuselink": "fuselink F1 100A",
        "fuse": "fuse F12 10A", "breaker": "breaker Q1 15A cycling", "carrier": "carrier B1 at cab-box",
        "relay": "relay K3 make 30 85 86 87", "switch": "switch S4 off | on: 1=2",
        "connector": "connector X12 6way chassis | boom", "splice": "splice SP7", "body": "body chassis",
        "stud": "stud W1 on chassis", "strap": "strap W9 boom chassis 0.3m 16mm2", "lamp": "lamp E7 12V 21W",
        "led": "led H3 12V 5W", "motor": "motor M3 12V 20A", "heater": "heater R6 12V 150W",
        "solenoid": "solenoid Y1 12V 1.5A", "horn": "horn B7 12V 5A", "resistor": "resistor R2 4k7",
        "diode": "diode D1 3A", "cutout": "cutout F30 184C", "converter": "converter U1 12V 20A",
        "sensor": "sensor B7 2wire 1kohm", "unit": "unit E31 (with lines below it: 1-6 lamp 21W)",
        "flasher": "flasher K9 49 49a 31 90/min", "timer": "timer K11 off-delay 5s",
        "module": "module A2 (with lines below it: supply X1/1)", "cable": "cable C4 twisted shield",
        "terminator": "terminator R1 120ohm", "bus-node": "bus-node N4 30kohm", "socket": "socket X50 ISO1724",
        "plug": "plug P1 ISO1724", "generic": "generic A9 1 2 3",
    }
)  # fmt: skip
"""A whole line of each kind, as messages show it."""
