"""Devices whose pins are fixed by their kind: one element in a housing."""

from types import MappingProxyType

from loombench.text.draft import Draft
from loombench.text.partline import PartLine, example_of, leftover, read_part_line
from loombench.text.syntax import Statement
from loombench.vehicle.kinds import KINDS
from loombench.vehicle.model import Inner

FIXED = (
    "battery", "alternator", "fuselink", "fuse", "breaker", "lamp", "led", "motor", "heater", "solenoid", "horn",
    "resistor", "diode", "cutout", "converter", "timer", "terminator", "bus-node",
)  # fmt: skip
WANTS_WORD = MappingProxyType({"timer": ("on-delay", "off-delay", "interval")})
OFF_DELAY_PINS = ("30", *KINDS["timer"].pins)
"""What lets go later than it is asked to needs a supply that stays."""


def read_device(draft: Draft, statement: Statement) -> None:
    """`lamp E7 12V 55W at boom-head "boom work lamp, left"`."""
    said = read_part_line(draft, statement.line)
    if not said:
        return
    pins = KINDS[said.kind].pins
    if said.kind == "motor" and "reversing" in said.words:
        pins = ("a", "b")
    if said.kind == "timer" and "off-delay" in said.words:
        pins = OFF_DELAY_PINS
    wanted = WANTS_WORD.get(said.kind)
    if wanted and not any(word in wanted for word in said.words):
        draft.missing(said.line, said.kind, example_of(said.kind))
    leftover(draft, said)
    add_single(draft, said, pins)


def add_single(draft: Draft, said: PartLine, pins: tuple[str, ...], words: tuple[str, ...] | None = None) -> None:
    """A part with one element over all of its pins; numbers and words stand on both."""
    spoken = said.words if words is None else words
    kind = KINDS[said.kind].inner
    inner = Inner(kind, kind, pins, said.numbers, spoken, span=said.span)
    plugs = MappingProxyType({"": pins})
    draft.add_part(said.part(pins, elements=(inner,), params=said.numbers, words=spoken, plugs=plugs))


def read_sensor(draft: Draft, statement: Statement) -> None:
    """`sensor B7 2wire 1kohm`, `sensor B8 3wire 50%`."""
    said = read_part_line(draft, statement.line, declares_pins=False)
    if not said:
        return
    form = [word for word in said.words if word in ("2wire", "3wire")]
    rest = said.rest
    if len(form) != 1:
        draft.missing(said.line, "sensor", example_of("sensor"))
    leftover(draft, said, rest)
    three = form[:1] == ["3wire"]
    add_single(draft, said, ("+", "-", "s") if three else ("1", "2"))


def read_flasher(draft: Draft, statement: Statement) -> None:
    """`flasher K9 49 49a 31 C2 90/min quick below 3.0A`: pins are supply, output, ground, trailer tell-tale."""
    said = read_part_line(draft, statement.line, declares_pins=True)
    if not said:
        return
    pins = tuple(dict.fromkeys(token.text for token in said.rest if token.is_word()))
    if len(pins) < 2 or len(pins) > 4:
        draft.missing(said.line, "flasher", example_of("flasher"))
    leftover(draft, said, tuple(token for token in said.rest if not token.is_word()))
    add_single(draft, said, pins[:4], words=())


def read_generic(draft: Draft, statement: Statement) -> None:
    """`generic A9 1 2 3`: a housing of which nothing more is known."""
    said = read_part_line(draft, statement.line, declares_pins=True)
    if not said:
        return
    pins = tuple(dict.fromkeys(token.text for token in said.rest if token.is_word()))
    leftover(draft, said, tuple(token for token in said.rest if not token.is_word()))
    if not pins:
        draft.missing(said.line, "generic", example_of("generic"))
    add_single(draft, said, pins)
