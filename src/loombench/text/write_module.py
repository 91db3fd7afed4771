"""A module's lines of text."""

from collections.abc import Iterator

from loombench.base.band import Band
from loombench.text.numbers import plain_number, write_number
from loombench.text.statements.rule import write_rule
from loombench.vehicle.model import Part
from loombench.vehicle.module import DryContact, Input, Output, Supply, TroubleCode, When


def module_lines(part: Part) -> Iterator[str]:
    """The lines below a module's own, in the order plugs, supply, ground, in, out, contact, when, asleep, code."""
    spec = part.module
    if spec is None:
        return
    plugs = [f"{name} {len(pins)}way" for name, pins in part.plugs.items() if name]
    if plugs:
        yield f"plugs {' | '.join(plugs)}"
    if spec.supplies:
        yield f"supply {' | '.join(_supply(supply) for supply in spec.supplies)}"
    if spec.grounds:
        yield f"ground {' '.join(spec.grounds)}"
    yield from (_input(item) for item in spec.inputs)
    yield from (_output(item) for item in spec.outputs)
    yield from (_contact(item) for item in spec.contacts)
    yield from (_when(item) for item in spec.rules)
    if spec.asleep_after_s:
        yield " ".join(["asleep", _time(spec.asleep_after_s), *_amperes("", spec.asleep_a)])
    if spec.codes:
        yield f"code {' | '.join(_code(code) for code in spec.codes)}"


def _quoted(text: str) -> list[str]:
    return ['"' + " ".join(text.replace('"', "'").split()) + '"'] if text else []


def _amperes(word: str, band: Band | None) -> list[str]:
    return [f"{word} {write_number(band, 'A')}".strip()] if band is not None else []


def _time(seconds: float) -> str:
    return f"{plain_number(seconds)}s"


def _supply(supply: Supply) -> str:
    return " ".join([supply.pin, *_quoted(supply.label), *_amperes("", supply.draw_a)])


def _input(item: Input) -> str:
    words = [f"in {item.pin}"]
    if item.pull != "none":
        words.append(f"pull-{item.pull}")
        if item.pull_ohm is not None:
            words.append(write_number(item.pull_ohm, "ohm"))
        if item.pull_to:
            words.append(f"{'from' if item.pull == 'up' else 'to'} {item.pull_to}")
    words.extend(_quoted(item.label))
    if item.high_v is not None:
        words.append(f"above {write_number(item.high_v, 'V')}")
    if item.low_v is not None:
        words.append(f"below {write_number(item.low_v, 'V')}")
    return " ".join([*words, f"on when {item.on_when}"])


def _output(item: Output) -> str:
    words = [f"out {item.pin} {item.side}-side", *([_source(item)] if item.source else [])]
    words.extend(_amperes("max", item.limit_a))
    words.extend(["latches-off"] if item.latches_off else [])
    words.extend(_amperes("off-leak", item.off_leak_a))
    words.extend(["test-pulse"] if item.test_pulse else [])
    if item.pwm_share != 1.0 or item.pwm_hz:
        share = plain_number(round(item.pwm_share * 100, 10))
        words.append(f"pwm {share}%" + (f" {plain_number(item.pwm_hz)}Hz" if item.pwm_hz else ""))
    return " ".join([*words, *_quoted(item.label)])


def _source(item: Output) -> str:
    return f"{'from' if item.side == 'high' else 'to'} {item.source}"


def _code(code: TroubleCode) -> str:
    return " ".join([code.pin, code.saw, *_quoted(code.text)])


def _contact(item: DryContact) -> str:
    groups = [
        f"{name}: {' '.join(f'{one}={two}' for one, two in pairs)}" if pairs else name
        for name, pairs in (("rest", item.rest), ("tick", item.tick))
    ]
    return f"contact {item.name} {' | '.join(groups)}"


def _when(item: When) -> str:
    words = [f"when {write_rule(item.rule)}:", *item.targets]
    for word, seconds in (("tick", item.tick_s), ("every", item.every_s), ("after", item.after_s), ("for", item.for_s)):
        if seconds:
            words.append(f"{word} {_time(seconds)}")
    return " ".join(words)
