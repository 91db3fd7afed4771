"""Relays: a coil and contacts under the names printed on the part; terminals without known roles are asked for."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from loombench.base.band import Band
from loombench.text.draft import Draft
from loombench.text.numbers import Number, read_number
from loombench.text.partline import PartLine, example_of, leftover, read_part_line
from loombench.text.syntax import Line, Statement
from loombench.text.tokens import Token
from loombench.text.units import joined
from loombench.vehicle.model import Inner

FORMS = ("make", "break", "changeover")
_COIL = ("85", "86")
ROLES_EXAMPLE = "relay K5 make coil 1 2 contact 3 5"


@dataclass(frozen=True)
class _Extras:
    """What stands beside the terminals: the diode's cathode, the resistor, volts of pulling in and letting go."""

    cathode: Token | None = None
    has_resistor: bool = False
    resistor_ohm: Band | None = None
    coil: Mapping[str, Band] = field(default_factory=lambda: MappingProxyType({}))


def read_relay(draft: Draft, statement: Statement) -> None:
    """`relay K3 make 30 85 86 87 diode 86`, `relay K5 changeover coil 1 2 contact 3 5 4`."""
    line, extras = _extras(draft, statement.line)
    said = read_part_line(draft, line, declares_pins=True)
    if not said:
        return
    forms = [word for word in said.words if word in FORMS]
    if len(forms) != 1:
        draft.missing(said.line, "relay", example_of("relay"))
    form = forms[0] if forms else "make"
    terminals = [token.text for token in said.rest if token.is_word()]
    leftover(draft, said, tuple(token for token in said.rest if not token.is_word()))
    coil, contact = _roles(terminals, form)
    pins = tuple(dict.fromkeys(pin for pin in terminals if pin not in ("coil", "contact")))
    plugs = MappingProxyType({"": pins})
    if not coil:
        draft.wrong("relay-roles", said.span, part=said.id, pins=" ".join(pins) or "none", example=ROLES_EXAMPLE)
        draft.add_part(said.part(pins, words=(form,), plugs=plugs))
        return
    coil_numbers = MappingProxyType({**_only(said, "rated_v", "coil_ohm"), **extras.coil})
    elements = [Inner("relay-coil", "coil", coil, coil_numbers, span=said.span)]
    rated = _only(said, "rated_a")
    if form in ("make", "changeover"):
        elements.append(Inner("relay-contact", "make", (contact[0], contact[1]), rated, span=said.span))
    if form in ("break", "changeover"):
        elements.append(Inner("relay-contact", "break", (contact[0], contact[-1]), rated, span=said.span))
    elements.extend(_suppressor(draft, said, extras, coil))
    draft.add_part(said.part(pins, elements=tuple(elements), words=(form,), plugs=plugs))


def _only(said: PartLine, *names: str) -> Mapping[str, Band]:
    return MappingProxyType({name: said.numbers[name] for name in names if name in said.numbers})


def _extras(draft: Draft, line: Line) -> tuple[Line, _Extras]:
    """The line without what stands beside the terminals, and that."""
    extras = _Extras()
    rest: list[Token] = []
    waiting = list(joined(line.tokens))
    while waiting:
        token = waiting.pop(0)
        after = waiting[0] if waiting and waiting[0].is_word() else None
        if len(rest) < 2 or not token.is_word("diode", "resistor", "pick-up", "drop-out"):
            rest.append(token)
        elif token.text == "diode":
            extras = replace(extras, cathode=waiting.pop(0) if after else token)
        elif token.text == "resistor":
            number = read_number(after.text) if after else None
            ohm = isinstance(number, Number) and number.unit == "ohm"
            extras = replace(extras, has_resistor=True, resistor_ohm=number.band if ohm else None)  # type: ignore[union-attr]
            if ohm:
                waiting.pop(0)
        else:
            number = read_number(waiting.pop(0).text) if after else None
            if not isinstance(number, Number) or number.unit != "V":
                draft.unexpected(line, token, "relay", ("pick-up 8V", "drop-out 1.5V"))
            elif number.band is not None:
                name = "pick_up_v" if token.text == "pick-up" else "drop_out_v"
                extras = replace(extras, coil=MappingProxyType({**extras.coil, name: number.band}))
    return replace(line, tokens=tuple(rest)), extras


def _roles(words: list[str], form: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Coil pins and contact pins (common, make, break); empty where they are not known."""
    if "coil" in words or "contact" in words:
        groups: dict[str, list[str]] = {"": [], "coil": [], "contact": []}
        group = ""
        for word in words:
            if word in ("coil", "contact"):
                group = word
            else:
                groups[group].append(word)
        wanted = 3 if form == "changeover" else 2
        fits = not groups[""] and len(groups["coil"]) == 2 and len(groups["contact"]) == wanted
        return (tuple(groups["coil"]), tuple(groups["contact"])) if fits else ((), ())
    coil = tuple(word for word in words if word in _COIL)
    others = set(words) - set(_COIL)
    contacts = {
        "make": ({"30", "87"}, ("30", "87")),
        "break": ({"30", "87a"}, ("30", "87a")),
        "changeover": ({"30", "87", "87a"}, ("30", "87", "87a")),
    }[form]
    if len(coil) == 2 and others == contacts[0] and len(words) == len(set(words)):
        return coil, contacts[1]
    if form == "break" and len(coil) == 2 and others == {"30", "87"}:
        return coil, ("30", "87")
    return (), ()


def _suppressor(draft: Draft, said: PartLine, extras: _Extras, coil: tuple[str, ...]) -> list[Inner]:
    made: list[Inner] = []
    if extras.cathode is not None:
        cathode = extras.cathode.text
        if cathode in coil:
            anode = coil[0] if cathode == coil[1] else coil[1]
            made.append(Inner("diode", "diode", (anode, cathode), span=said.span))
        else:
            draft.missing(said.line, "relay", f"{example_of('relay')} diode {coil[-1]}")
    if extras.has_resistor:
        ohm = extras.resistor_ohm
        params = MappingProxyType({} if ohm is None else {"resistance_ohm": ohm})
        made.append(Inner("resistor", "resistor", coil, params, span=said.span))
    return made
