"""Units: several elements in one housing, and contacts that the machine itself moves."""

import re
from types import MappingProxyType

from loombench.text.draft import Draft
from loombench.text.fill import with_primary
from loombench.text.partline import example_of, leftover, numbers_and_words, read_part_line, say_number
from loombench.text.statements.device import read_generic
from loombench.text.statements.positions import read_positions
from loombench.text.syntax import Line, Statement
from loombench.text.tokens import STRING, Token
from loombench.vehicle.kinds import KINDS
from loombench.vehicle.model import Control, Inner

ELEMENTS = tuple(
    kind for kind, spec in KINDS.items() if spec.inner and (spec.through or kind == "sensor") and kind != "strap"
)
ELEMENT_EXAMPLE = '1-6 lamp 21W "indicator"'
CAM_EXAMPLE = "cam parked: 53e=31 | away: 53e=53a"
_ENDS = re.compile(r"(?P<a>[^-]+|-)-(?P<b>[^-].*|-)")
_NUMBER = re.compile(r"[+-]?[\d?].*", re.S)


def read_unit(draft: Draft, statement: Statement) -> None:
    """`unit E31 "left rear lamp"` with a line for each element; `generic` the same where it has such lines."""
    if statement.line.keyword == "generic" and not statement.block:
        read_generic(draft, statement)
        return
    said = read_part_line(draft, statement.line)
    if not said:
        return
    leftover(draft, said)
    if not statement.block:
        draft.missing(said.line, said.kind, example_of("unit"))
    elements: list[Inner] = []
    controls: list[Control] = []
    pins: dict[str, None] = {}
    for row in statement.block:
        if row.keyword in ("cam", "process"):
            _moved(draft, row, said.id, controls, pins)
        else:
            _element(draft, row, elements, pins)
    turning = next((element.name for element in elements if element.kind == "motor"), "")
    driven = tuple(_driven(draft, said.line, control, turning) for control in controls)
    order = tuple(pins)
    draft.add_part(
        said.part(
            order, elements=tuple(elements), controls=driven, params=said.numbers, plugs=MappingProxyType({"": order})
        )
    )


def _element(draft: Draft, row: Line, elements: list[Inner], pins: dict[str, None]) -> None:
    ends = _ENDS.fullmatch(row.tokens[0].text) if row.tokens[0].is_word() else None
    kind = row.tokens[1] if len(row.tokens) > 1 else None
    if ends is None or kind is None or not kind.is_word() or _NUMBER.fullmatch(kind.text):
        draft.missing(row, "unit", ELEMENT_EXAMPLE)
        return
    if kind.text not in ELEMENTS:
        near = draft.near(kind.text, ELEMENTS)
        draft.wrong("kind-unknown", row.span(kind), name=kind.text[:40], nearest=near, allowed=", ".join(ELEMENTS))
        return
    spec = KINDS[kind.text]
    numbers, words, rest = numbers_and_words(draft, row, spec, row.tokens[2:])
    label = ""
    for token in rest:
        if token.kind == STRING and not label:
            label = token.text
        elif token.is_word() and _NUMBER.fullmatch(token.text):
            say_number(draft, row, token, spec.numbers)
        else:
            draft.unexpected(row, token, "unit", (*spec.words, *(f"?{unit}" for unit in spec.numbers)))
    name = row.tokens[0].text
    taken = sum(1 for element in elements if element.name.split("#")[0] == name)
    name = f"{name}#{taken + 1}" if taken else name
    two = (ends["a"], ends["b"])
    numbers = with_primary(kind.text, numbers)
    elements.append(Inner(spec.inner, name, two, numbers, words, label, row.span(row.tokens[0])))
    pins.update(dict.fromkeys(two))


def _moved(draft: Draft, row: Line, part: str, controls: list[Control], pins: dict[str, None]) -> None:
    """`cam parked: 53e=31 | away: 53e=53a` or `process oil-pressure low: 1=2 | ok`."""
    read = read_positions(draft, row, row.tokens[1:], row.keyword, need_rest=False)
    is_cam = row.keyword == "cam"
    name: Token | None = read.lead[0] if read.lead else None
    if not read.positions or (name is None and not is_cam):
        draft.missing(row, row.keyword, CAM_EXAMPLE if is_cam else "process pressure low: 1=2 | ok")
        return
    own = name.text if name is not None else "cam"
    count = sum(1 for control in controls if control.id.split("#")[0] == f"{part}.{own}")
    control_id = f"{part}.{own}#{count + 1}" if count else f"{part}.{own}"
    alias = own if name is not None and not is_cam else ""
    follows = "cam" if is_cam else ""
    controls.append(Control(control_id, part, read.positions, read.rest, "process", alias, follows))
    pins.update(dict.fromkeys(read.pins))


def _driven(draft: Draft, line: Line, control: Control, turning: str) -> Control:
    """A cam with the motor it follows in place of the mark that it is one."""
    if control.follows != "cam":
        return control
    if not turning:
        draft.missing(line, "cam", "53-31 motor 12V 5A")
    return Control(control.id, control.part, control.positions, control.rest, control.by, control.alias, turning)
