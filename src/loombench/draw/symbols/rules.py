"""What a module does, in words: a row for each pin, and one for each rule that concerns the pins drawn."""

from collections.abc import Iterator, Mapping

from loombench.base.quantity import print_quantity
from loombench.base.wording import Catalogue
from loombench.draw.symbols.ratings import value_text
from loombench.vehicle.module import All, Any, DryContact, Input, ModuleSpec, Not, Output, Rule, When


def module_rows(words: Catalogue, spec: ModuleSpec, pins: tuple[str, ...]) -> Iterator[str]:
    """The rows, pins in the order given, then rules."""
    said = dict(_pin_rows(words, spec))
    yield from (said[pin] for pin in pins if pin in said)
    for contact in spec.contacts:
        if any(pin in pins for pair in (*contact.rest, *contact.tick) for pin in pair):
            yield _contact(words, contact)
    names = {contact.name for contact in spec.contacts}
    for rule in spec.rules:
        if any(target in pins or target in names for target in rule.targets):
            yield rule_text(words, rule)


def _pin_rows(words: Catalogue, spec: ModuleSpec) -> Iterator[tuple[str, str]]:
    for supply in spec.supplies:
        yield supply.pin, words.say("symbol.supply", pin=supply.pin, label=supply.label).strip()
    for ground in spec.grounds:
        yield ground, words.say("symbol.ground", pin=ground)
    for read in spec.inputs:
        yield read.pin, _input(words, read)
    for output in spec.outputs:
        yield output.pin, _output(words, output)


def _input(words: Catalogue, read: Input) -> str:
    text = words.say(f"symbol.input-{read.on_when}", pin=read.pin, label=read.label).replace(" :", ":")
    if read.pull == "none":
        return text
    ohm = value_text(read.pull_ohm, "ohm") if read.pull_ohm else "? ohm"
    return words.say(f"symbol.pulled-{read.pull}", text=text, ohm=ohm)


def _output(words: Catalogue, output: Output) -> str:
    key = f"symbol.output-{output.side}"
    text = words.say(key, pin=output.pin, label=output.label, source=output.source).replace(" :", ":")
    if output.limit_a:
        text = words.say("symbol.limit", text=text, amperes=value_text(output.limit_a, "A"))
    if output.latches_off:
        text = words.say("symbol.latches", text=text)
    return words.say("symbol.pwm", text=text, share=f"{100 * output.pwm_share:g} %") if output.pwm_share < 1.0 else text


def _contact(words: Catalogue, contact: DryContact) -> str:
    def pairs(of: tuple[tuple[str, str], ...]) -> str:
        joined = ", ".join(f"{one}={two}" for one, two in of)
        return words.say("symbol.contact-rest", pairs=joined) if joined else words.say("symbol.open")

    text = words.say("symbol.contact", name=contact.name, pairs=pairs(contact.rest))
    return words.say("symbol.contact-tick", text=text, pairs=pairs(contact.tick)) if contact.tick else text


def rule_text(words: Catalogue, rule: When) -> str:
    """`X1/14 if X3/7 and not (X3/8 or engine runs), after 3 s, for 10 s`."""
    text = words.say("symbol.rule", targets=", ".join(rule.targets), rule=_said(words, rule.rule, inside=False))
    for key, seconds in (("after", rule.after_s), ("for", rule.for_s)):
        if seconds > 0.0:
            text = words.say(f"symbol.rule-{key}", text=text, time=_seconds(seconds))
    if rule.tick_s > 0.0:
        facts = {"time": _seconds(rule.tick_s), "every": _seconds(rule.every_s)}
        text = words.say("symbol.rule-tick", text=text, **facts)
    return text


def _seconds(seconds: float) -> str:
    return print_quantity(seconds, "s")


def _said(words: Catalogue, rule: Rule, inside: bool) -> str:
    match rule:
        case Not(rule=inner):
            return words.say("symbol.rule-not", rule=_said(words, inner, inside=True))
        case All(rules=rules) | Any(rules=rules):
            key = "symbol.rule-and" if isinstance(rule, All) else "symbol.rule-or"
            text = words.sentences[key].join(_said(words, one, inside=True) for one in rules)
            return f"({text})" if inside else text
        case _:
            known: Mapping[str, str] = {name: words.say(f"symbol.rule-{name}") for name in ("engine", "awake")}
            return known.get(rule.name, rule.name)
