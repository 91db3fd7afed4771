"""Modules: plugs, supplies, grounds, inputs, outputs, dry contacts, rules, sleep, trouble codes."""

from dataclasses import dataclass, field
from types import MappingProxyType

from loombench.base.band import Band
from loombench.text.draft import Draft
from loombench.text.partline import leftover, read_part_line
from loombench.text.statements.module_rows import (
    Row,
    read_codes,
    read_contact,
    read_ground,
    read_input,
    read_output,
    read_supply,
)
from loombench.text.statements.rule import read_rule
from loombench.text.statements.timing import read_asleep, read_targets
from loombench.text.syntax import Line, Statement
from loombench.text.tokens import Token
from loombench.vehicle.module import DryContact, Input, ModuleSpec, Output, Supply, TroubleCode, When

CLAUSES = ("plugs", "supply", "ground", "in", "out", "contact", "when", "asleep", "code")
PLUGS_EXAMPLE = "plugs X1 20way | X3 32way"


@dataclass
class _Spec:
    """A module while it is read; only `read_module` sees it."""

    plugs: dict[str, tuple[str, ...]] = field(default_factory=dict)
    pins: dict[str, None] = field(default_factory=dict)
    supplies: list[Supply] = field(default_factory=list)
    grounds: list[str] = field(default_factory=list)
    inputs: list[Input] = field(default_factory=list)
    outputs: list[Output] = field(default_factory=list)
    contacts: list[DryContact] = field(default_factory=list)
    rules: list[Row] = field(default_factory=list)
    asleep_after_s: float = 0.0
    asleep_a: Band | None = None
    codes: list[TroubleCode] = field(default_factory=list)


def read_module(draft: Draft, statement: Statement) -> None:
    """`module A2 "body controller" at dash` with a line for each thing it says of itself."""
    said = read_part_line(draft, statement.line)
    if not said:
        return
    leftover(draft, said)
    spec = _Spec()
    for line in statement.block:
        for row in _clauses(line):
            _read_clause(draft, row, spec)
    rules = tuple(rule for row in spec.rules if (rule := _read_when(draft, row, spec)) is not None)
    outputs = tuple(_sourced(draft, statement.line, output, spec) for output in spec.outputs)
    codes = tuple(code for code in spec.codes if _has_pin(draft, statement.line, code.pin, spec))
    module = ModuleSpec(
        tuple(spec.supplies), tuple(spec.grounds), tuple(spec.inputs), outputs, tuple(spec.contacts), rules,
        spec.asleep_after_s, spec.asleep_a, codes,
    )  # fmt: skip
    cavities = {pin for plug in spec.plugs.values() for pin in plug}
    named = [pin for pin in spec.pins if pin not in cavities]
    pins = (*(pin for plug in spec.plugs.values() for pin in plug), *named)
    _check_plugs(draft, statement.line, named, spec)
    draft.add_part(said.part(pins, plugs=MappingProxyType(spec.plugs or {"": pins}), module=module))


def _clauses(line: Line) -> list[Row]:
    """A line's clauses: a new one begins at each keyword that is no operand of the one before."""
    starts = [0]
    single = line.keyword in ("contact", "when")
    for index, token in enumerate(line.tokens[1:], 1):
        before = line.tokens[index - 1]
        operand = before.is_word("on", "from", "to") or index - 1 in starts
        if not single and token.is_word(*CLAUSES) and not operand:
            starts.append(index)
            single = token.text in ("contact", "when")
    ends = [*starts[1:], len(line.tokens)]
    return [
        Row(line, line.tokens[start], line.tokens[start + 1 : end]) for start, end in zip(starts, ends, strict=True)
    ]


def _read_clause(draft: Draft, row: Row, spec: _Spec) -> None:
    word = row.head.text
    if word == "plugs":
        _read_plugs(draft, row, spec)
    elif word == "supply":
        supplies = read_supply(draft, row)
        spec.supplies.extend(supplies)
        _pins(spec, *(supply.pin for supply in supplies))
    elif word == "ground":
        grounds = read_ground(draft, row)
        spec.grounds.extend(grounds)
        _pins(spec, *grounds)
    elif word == "in":
        made = read_input(draft, row)
        spec.inputs.extend(made)
        _pins(spec, *(item.pin for item in made))
    elif word == "out":
        outputs = read_output(draft, row)
        spec.outputs.extend(outputs)
        _pins(spec, *(item.pin for item in outputs))
    elif word == "contact":
        contacts = read_contact(draft, row, len(spec.contacts))
        spec.contacts.extend(contacts)
        _pins(spec, *(pin for item in contacts for pair in item.rest + item.tick for pin in pair))
    elif word == "when":
        spec.rules.append(row)
    elif word == "asleep":
        spec.asleep_after_s, spec.asleep_a = read_asleep(draft, row)
    elif word == "code":
        spec.codes.extend(read_codes(draft, row))
    else:
        draft.unexpected(row.line, row.head, "module", CLAUSES)


def _pins(spec: _Spec, *pins: str) -> None:
    spec.pins.update(dict.fromkeys(pins))


def _read_plugs(draft: Draft, row: Row, spec: _Spec) -> None:
    words = [token for token in row.rest if not token.is_mark("|")]
    for name, ways in zip(words[::2], words[1::2], strict=False):
        count = ways.text.removesuffix("way")
        if not (count.isascii() and count.isdigit() and ways.text != count and name.is_word()) or len(count) > 6:
            draft.missing(row.line, "plugs", PLUGS_EXAMPLE)
            return
        if not 0 < int(count) <= draft.limits.most_ways:
            limit = f"1 to {draft.limits.most_ways} way"
            draft.wrong("number-range", row.line.span(ways), text=ways.text[:40], limits=limit)
            return
        if name.text in spec.plugs:
            draft.wrong("name-twice", row.line.span(name), name=name.text)
            continue
        spec.plugs[name.text] = tuple(f"{name.text}/{number}" for number in range(1, int(count) + 1))
    if not words or len(words) % 2:
        draft.missing(row.line, "plugs", PLUGS_EXAMPLE)


def _check_plugs(draft: Draft, line: Line, named: list[str], spec: _Spec) -> None:
    """Pins of a plug that has been declared must be cavities of it."""
    cavities = [pin for pins in spec.plugs.values() for pin in pins]
    for pin in named:
        if pin.split("/")[0] in spec.plugs:
            near, part = draft.near(pin, cavities), line.tokens[1].text
            draft.wrong("pin-unknown", line.span(line.tokens[1]), part=part, pin=pin, nearest=near, allowed=_ways(spec))


def _has_pin(draft: Draft, line: Line, pin: str, spec: _Spec) -> bool:
    """Whether a code is about a pin that the module has; said where it has none."""
    pins = [*spec.pins, *(one for plug in spec.plugs.values() for one in plug)]
    if pin not in pins:
        near, part = draft.near(pin, pins), line.tokens[1].text
        draft.wrong("pin-unknown", line.span(line.tokens[1]), part=part, pin=pin, nearest=near, allowed=", ".join(pins))
    return pin in pins


def _ways(spec: _Spec) -> str:
    return ", ".join(f"{pins[0]} to {pins[-1]}" for pins in spec.plugs.values())


def _sourced(draft: Draft, line: Line, output: Output, spec: _Spec) -> Output:
    """The output with what it switches: the only supply or ground there is where it does not say."""
    choices = [supply.pin for supply in spec.supplies] if output.side == "high" else spec.grounds
    if output.source in choices:
        return output
    part = line.tokens[1].text
    if output.source or len(choices) != 1:
        word = f"high-side from {_first(choices)}" if output.side == "high" else f"low-side to {_first(choices)}"
        draft.wrong(
            "output-source", output.span, part=part, pin=output.pin, source=output.source or "none",
            allowed=", ".join(choices) or "none", example=f"out {output.pin} {word}",
        )  # fmt: skip
    source = choices[0] if choices else output.source
    return Output(
        output.pin, output.side, source, output.limit_a, output.latches_off, output.off_leak_a, output.test_pulse,
        output.pwm_share, output.pwm_hz, output.label, output.span,
    )  # fmt: skip


def _first(choices: list[str]) -> str:
    return choices[0] if choices else "X1/1"


def _read_when(draft: Draft, row: Row, spec: _Spec) -> When | None:
    colon = next((index for index, token in enumerate(row.rest) if token.is_mark(":")), None)
    if colon is None:
        draft.missing(row.line, "when", "when X3/7 and not X3/8: X1/14")
        return None
    inputs = [item.pin for item in spec.inputs]
    rule = read_rule(draft, row.line, row.rest[:colon], inputs)
    contacts = [contact.name for contact in spec.contacts]
    known = [*(output.pin for output in spec.outputs), *contacts]
    timing = read_targets(draft, row.line, row.rest[colon + 1 :], known, contacts)
    if rule is None or timing is None:
        return None
    return When(
        rule, timing.targets, timing.tick_s, timing.every_s, timing.after_s, timing.for_s, _text(row.rest),
        row.line.span(row.head),
    )  # fmt: skip


def _text(found: tuple[Token, ...]) -> str:
    words = " ".join(token.text for token in found)
    return words.replace(" :", ":").replace("( ", "(").replace(" )", ")")
