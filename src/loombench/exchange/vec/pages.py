"""A VEC file while it is written: what its elements look like, and the lists they are gathered in.

Only elements that are the same from version 1.1.3 to 2.2.0 are used, so that one file is valid in each.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

from loombench.exchange.xmlout import NULL, Names, Tag, each, millimetres, plain, tag

MM, MM2, AMPERE = "unit_mm", "unit_mm2", "unit_A"
LANGUAGE = "En"
UNKNOWN_LENGTH = "-1"


@dataclass
class Pages:
    """Lists of elements: specifications of parts, part versions, components by loom. Local to one file."""

    names: Names = field(default_factory=Names)
    specifications: list[Tag] = field(default_factory=list)
    parts: list[Tag] = field(default_factory=list)
    components: dict[str, list[Tag]] = field(default_factory=dict)
    configurations: list[Tag] = field(default_factory=list)
    known: dict[tuple[object, ...], str] = field(default_factory=dict)

    def part(self, number: str, kind: str) -> str:
        """The id of a part version; one for each part number and kind."""
        key = ("part", number, kind)
        if key not in self.known:
            made = tag("PartVersion", tag("CompanyName", NULL), tag("PartNumber", number or NULL),
                       tag("PartVersion", "1"), tag("PrimaryPartType", kind), id=self.names.new("part"))  # fmt: skip
            self.parts.append(made)
            self.known[key] = made.attributes["id"]
        return self.known[key]

    def specify(self, kind: str, name: str, *inside: Tag | None, part: str = "") -> str:
        """Add a specification of a part; its id."""
        described = tag("DescribedPart", part) if part else None
        made = tag("Specification", tag("Identification", name), described, *inside, xsi_type=f"vec:{kind}",
                   id=self.names.new("spec"))  # fmt: skip
        self.specifications.append(made)
        return made.attributes["id"]

    def once(self, kind: str, name: str, *key: object) -> str:
        """A specification of nothing but a name, made once for each key; its id."""
        if ("spec", kind, *key) not in self.known:
            self.known["spec", kind, *key] = self.specify(kind, name)
        return self.known["spec", kind, *key]

    def component(
        self, name: str, role: Tag, part: str, loom: str = "", words: str = "", options: tuple[str, ...] = ()
    ) -> None:
        """Add an occurrence with its role to the composition of its loom."""
        made = tag("Component", self.configured(options), tag("Identification", name), self.words(words), role,
                   tag("Part", part), id=self.names.new("o"))  # fmt: skip
        self.components.setdefault(loom, []).append(made)

    def words(self, text: str) -> Tag | None:
        """A description."""
        if not text:
            return None
        inside = (tag("LanguageCode", LANGUAGE), tag("Value", text))
        return tag("Description", *inside, xsi_type="vec:LocalizedString", id=self.names.new("d"))

    def configured(self, options: tuple[str, ...]) -> Tag | None:
        """What says under which conditions something is there."""
        if not options:
            return None
        key = ("options", options)
        if key not in self.known:
            text = options[0] if len(options) == 1 else "/".join(f"({option})" for option in options)
            name = self.names.new("vc")
            self.configurations.append(tag("VariantConfiguration", tag("LogisticControlString", text), id=name))
            self.known[key] = name
        return tag("ConfigInfo", self.known[key])

    def value(self, name: str, number: str, unit: str) -> Tag:
        """A number with its unit."""
        inside = (tag("UnitComponent", unit), tag("ValueComponent", number))
        return tag(name, *inside, id=self.names.new("v"))

    def area(self, area_mm2: float | None) -> Tag | None:
        """A cross-section."""
        return self.value("CrossSectionArea", plain(area_mm2), MM2) if area_mm2 is not None else None

    def length(self, length_m: float | None) -> Tag | None:
        """A wire's length, none where it is not known."""
        if length_m is None:
            return None
        value = self.value("LengthValue", millimetres(length_m), MM)
        return tag("WireLength", tag("LengthType", "Production"), value, id=self.names.new("l"))

    def document(self, kind: str, number: str, specifications: Iterable[Tag]) -> Tag:
        """A document of that type."""
        heads = (tag("CompanyName", NULL), tag("DocumentNumber", number), tag("DocumentType", kind),
                 tag("DocumentVersion", "1"))  # fmt: skip
        return tag("DocumentVersion", *heads, *specifications, id=self.names.new("doc"))


def specification(kind: str, name: str, own: str, inside: Iterable[Tag]) -> Tag:
    """A specification of the harness itself."""
    return tag("Specification", tag("Identification", name), *inside, xsi_type=f"vec:{kind}", id=own)


def units() -> Iterable[Tag]:
    """The units that are used."""
    metre, milli = tag("SiUnitName", "Metre"), tag("SiPrefix", "Milli")
    return (
        tag("Unit", metre, milli, xsi_type="vec:SIUnit", id=MM),
        tag("Unit", tag("Exponent", "2"), metre, milli, xsi_type="vec:SIUnit", id=MM2),
        tag("Unit", tag("SiUnitName", "Ampere"), xsi_type="vec:SIUnit", id=AMPERE),
    )


def references(name: str, ids: Iterable[str]) -> Tag | None:
    """A list of references, none where it is empty."""
    found = tuple(ids)
    return each(name, found) if found else None
