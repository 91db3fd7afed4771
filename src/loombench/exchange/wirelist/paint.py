"""Colours of all wires of one sheet, in the system that is named, or that is the only one possible."""

from collections.abc import Sequence

from loombench.base.problems import Level
from loombench.exchange.colours import (
    SystemChoice,
    choose_system,
    colour_parts,
    in_system,
    read_parts,
    system_named,
)
from loombench.exchange.harness import ColourText
from loombench.exchange.report import Notes
from loombench.exchange.wirelist.columns import Columns
from loombench.exchange.wirelist.layout import Layout
from loombench.exchange.wirelist.rows import RawWire

_SHOWN = 4


def paint(wires: Sequence[RawWire], columns: Columns, layout: Layout, notes: Notes) -> tuple[ColourText, ...]:
    """The colour of each wire, in their order; where the system has to be asked the text alone."""
    parts = [_parts(wire) for wire in wires]
    told = system_named(layout.colour_system)
    named = [told or system_named(wire.says.get("colour_system", "")) for wire in wires]
    free = [one for one, system in zip(parts, named, strict=True) if one and not system]
    choice = choose_system(free)
    if free:
        first = next(wire for wire, one, system in zip(wires, parts, named, strict=True) if one and not system)
        where = first.sheet.where(first.row, columns.of("colour"))
        if choice.system:
            notes.add("list-colour-assumed", Level.NOTE, where, system=choice.system, count=len(set(free)))
        else:
            notes.add("list-colour-asked", Level.WARNING, where, count=len(set(free)), candidates=_made_of(choice))
    found: list[ColourText] = []
    for wire, one, own in zip(wires, parts, named, strict=True):
        system = own or choice.system
        if one and system and not read_parts(system, one).candidates:
            where = wire.sheet.where(wire.row, columns.of("colour"))
            notes.add("list-colour-unknown", Level.WARNING, where, text="/".join(one)[:40], system=system)
        found.append(in_system(one, system))
    return tuple(found)


def _parts(wire: RawWire) -> tuple[str, ...]:
    base, stripe = colour_parts(wire.says.get("colour", "")), colour_parts(wire.says.get("stripe", ""))
    return (*base, *stripe) if base else stripe


def _made_of(choice: SystemChoice) -> str:
    """What each system that is possible makes of the colours that are not clear, or what the nearest cannot read."""
    if choice.candidates:
        said = [
            f"{system}: " + ", ".join(f"{text} {dict(made)[system]}" for text, made in choice.differing[:_SHOWN])
            for system in choice.candidates
        ]
    else:
        nearest = sorted(choice.failing, key=lambda one: len(one[1]))[:_SHOWN]
        said = [f"{system}: {', '.join(bad[:_SHOWN])} ?" for system, bad in nearest]
    return "; ".join(said)
