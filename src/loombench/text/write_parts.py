"""A part as its lines of text."""

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType

from loombench.base.band import Band
from loombench.text.fill import assumed_number
from loombench.text.numbers import write_number
from loombench.text.statements.positions import usual_rest
from loombench.text.write_module import module_lines
from loombench.vehicle.kinds import KINDS
from loombench.vehicle.model import Control, Inner, Part, Position
from loombench.vehicle.points import PIN, Point

DECLARES_PINS = ("relay", "flasher", "generic")


def quoted(text: str) -> str:
    """A text in quotes; what would end it early is replaced."""
    return '"' + " ".join(text.replace('"', "'").split()) + '"'


def part_lines(part: Part) -> tuple[str, ...]:
    """The part's line and those indented below it."""
    return (f"{head(part)}", *(f"  {row}" for row in _block(part)))


def head(part: Part) -> str:
    """The part's own line."""
    middle = _MIDDLE.get(part.kind, _single)(part)
    words = [part.kind, part.id, *middle]
    if part.place:
        words.append(f"at {part.place}")
    if part.label:
        words.append(quoted(part.label))
    return " ".join(words)


def write_numbers(kind: str, params: Mapping[str, Band]) -> list[str]:
    """The numbers of a kind, in its order; one that was assumed as `?`."""
    return [
        write_number(None if params[name] == assumed_number(kind, name) else params[name], unit)
        for unit, name in KINDS[kind].numbers.items()
        if name in params
    ]


def _single(part: Part) -> list[str]:
    return [*write_numbers(part.kind, part.params), *part.words]


def _declared(part: Part) -> list[str]:
    numbers = write_numbers(part.kind, part.params)
    if part.kind != "flasher":
        return [*part.pins, *numbers, *part.words]
    quick = [number for number in numbers if number.endswith("A")]
    return [*part.pins, *(number for number in numbers if number not in quick), *(f"quick below {n}" for n in quick)]


def _relay(part: Part) -> list[str]:
    by_name = {inner.name: inner for inner in part.elements}
    form = part.words[0] if part.words else "make"
    coil = by_name.get("coil")
    if coil is None:
        return [form, *part.pins]
    make, rest = by_name.get("make"), by_name.get("break")
    contact = [*(make or rest or coil).pins, *([rest.pins[1]] if make and rest else [])]
    printed = {"make": ("30", "87"), "break": ("30", "87a"), "changeover": ("30", "87", "87a")}
    plain = tuple(contact) == printed.get(form) and set(coil.pins) == {"85", "86"}
    roles = list(part.pins) if plain else ["coil", *coil.pins, "contact", *contact]
    words = [form, *roles, *write_numbers("relay", {**coil.params, **(make or rest or coil).params})]
    for name, word in (("pick_up_v", "pick-up"), ("drop_out_v", "drop-out")):
        if name in coil.params:
            words.append(f"{word} {write_number(coil.params[name], 'V')}")
    if "diode" in by_name:
        words.append(f"diode {by_name['diode'].pins[1]}")
    if "resistor" in by_name:
        ohm = by_name["resistor"].params.get("resistance_ohm")
        words.append("resistor" if ohm is None else f"resistor {write_number(ohm, 'ohm')}")
    return words


def write_positions(positions: tuple[Position, ...], rest: str = "") -> str:
    """`off | on: 1=2 | push!: 1=3 rest off`."""
    groups = []
    for position in positions:
        pairs = " ".join(f"{one}={two}" for one, two in position.pairs)
        mark = "!" if position.springs_back else ""
        groups.append(f"{position.name}{mark}" + (f": {pairs}" if pairs else ""))
    usual = usual_rest(positions)
    return " | ".join(groups) + (f" rest {rest}" if rest and rest != usual else "")


def _switch(part: Part) -> list[str]:
    first = part.controls[0] if part.controls else None
    if first is None:
        return []
    alias = [first.alias.split(".")[0]] if first.alias else []
    if first.id != part.id:
        return alias
    return [*alias, write_positions(first.positions, first.rest)]


def _connector(part: Part) -> list[str]:
    return [f"{len(part.pins)}way", *([" | ".join(part.halves)] if part.halves else [])]


def _strap(part: Part) -> list[str]:
    return [*(str(two) for _, two in part.links), *write_numbers("strap", part.params)]


_MIDDLE: Mapping[str, Callable[[Part], list[str]]] = MappingProxyType(
    {
        "relay": _relay, "flasher": _declared, "switch": _switch, "connector": _connector, "strap": _strap,
        "stud": lambda part: [f"on {part.body}"] if part.body else [],
        "generic": lambda part: _declared(part) if _is_plain(part) else _single(part),
        **dict.fromkeys(("unit", "module", "carrier", "splice", "body"), lambda _: []),
    }
)  # fmt: skip


def _is_plain(part: Part) -> bool:
    """Whether a generic part is one element over all its pins, and not one with lines below it."""
    return part.kind == "generic" and bool(part.elements) and part.elements[0].name == "generic"


def _block(part: Part) -> Iterator[str]:
    if part.kind == "switch":
        for control in part.controls:
            if control.id != part.id:
                yield f"{_own(control)} {write_positions(control.positions, control.rest)}"
    elif part.kind == "unit" or (part.kind == "generic" and not _is_plain(part)):
        yield from (_element(inner) for inner in part.elements)
        yield from (_moved(control) for control in part.controls)
    elif part.kind == "carrier":
        yield from (f"{_inside(part, one)} = {_inside(part, two)}" for one, two in part.links)
    elif part.module is not None:
        yield from module_lines(part)


def _own(control: Control) -> str:
    return control.id.removeprefix(f"{control.part}.")


def _element(inner: Inner) -> str:
    words = [inner.name.split("#")[0], inner.kind, *write_numbers(inner.kind, inner.params), *inner.words]
    return " ".join([*words, quoted(inner.label)] if inner.label else words)


def _moved(control: Control) -> str:
    positions = write_positions(control.positions, control.rest)
    name = _own(control).split("#")[0]
    if control.follows:
        return f"cam {positions}" if name == "cam" else f"cam {name} {positions}"
    return f"process {name} {positions}"


def _inside(carrier: Part, point: Point) -> str:
    return point.pin if point.part == carrier.id and point.layer == PIN else str(point)
