"""A KBL file while it is written: what its elements look like, and the lists they are gathered in.

Child order is that of the schema. Ids are `kind` and a number; texts that are not known are `/NULL`.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

from loombench.exchange.xmlout import NULL, Names, Tag, millimetres, tag

MAKER = NULL
VERSION = "1"
MM, MM2, AMPERE = "unit_mm", "unit_mm2", "unit_A"
UNKNOWN_LENGTH = "-1"
"""What stands for a length that is not known, as other programs write for wires that are not routed yet."""


@dataclass
class Sheet:
    """Lists by element name; `options` gathers what hangs on each condition. Local to one file."""

    names: Names = field(default_factory=Names)
    masters: dict[str, list[Tag]] = field(default_factory=dict)
    uses: dict[str, list[Tag]] = field(default_factory=dict)
    options: dict[tuple[str, ...], list[str]] = field(default_factory=dict)
    known: dict[tuple[object, ...], str] = field(default_factory=dict)

    def master(self, made: Tag) -> str:
        """Put an element beside the harness; its id."""
        self.masters.setdefault(made.name, []).append(made)
        return made.attributes["id"]

    def use(self, made: Tag, options: tuple[str, ...] = ()) -> str:
        """Put an element into the harness; its id."""
        self.uses.setdefault(made.name, []).append(made)
        if options:
            self.options.setdefault(options, []).append(made.attributes["id"])
        return made.attributes["id"]

    def part(self, name: str, kind: str, number: str, description: str = "", *rest: Tag | None, xsi: str = "") -> Tag:
        """A part master: the fields every part has to have, then its own."""
        attributes = {"xsi_type": f"kbl:{xsi}"} if xsi else {}
        return tag(name, *part_fields(number, description), *rest, **attributes, id=self.names.new(kind))

    def terminal(self, number: str, plating: str = "") -> str:
        """The id of the master of a terminal of that part number."""
        key = ("terminal", number, plating)
        if key not in self.known:
            own = (tag("Plating_material", plating),) if plating else ()
            self.known[key] = self.master(self.part("General_terminal", "partT", number, "", *own))
        return self.known[key]

    def value(self, name: str, number: str, unit: str) -> Tag:
        """A number with its unit."""
        inside = (tag("Unit_component", unit), tag("Value_component", number))
        return tag(name, *inside, id=self.names.new("v"))

    def length(self, length_m: float | None) -> Tag:
        """A wire's length."""
        number = UNKNOWN_LENGTH if length_m is None else millimetres(length_m)
        value = self.value("Length_value", number, MM)
        return tag("Length_information", tag("Length_type", "Production"), value, id=self.names.new("l"))

    def told(self, **texts: str) -> list[Tag]:
        """What KBL has no field of its own for: a name and a text each; empty ones are left out."""
        return [
            tag("Installation_information", tag("Instruction_type", name), tag("Instruction_value", text),
                id=self.names.new("i"))
            for name, text in texts.items() if text
        ]  # fmt: skip


def part_fields(number: str, description: str) -> Iterable[Tag]:
    """What every part has to have."""
    return (
        tag("Part_number", number or NULL),
        tag("Company_name", MAKER),
        tag("Version", VERSION),
        tag("Abbreviation", NULL),
        tag("Description", description or NULL),
    )


def units() -> Iterable[Tag]:
    """The units that are used."""
    metre, milli = tag("Si_unit_name", "metre"), tag("Si_prefix", "milli")
    return (
        tag("Unit", metre, milli, id=MM),
        tag("Unit", metre, milli, tag("Si_dimension", "square"), id=MM2),
        tag("Unit", tag("Unit_name", "Ampere"), id=AMPERE),
    )
