"""What the parts of a VEC file are: part numbers, and the conductors of its wires and cables."""

from dataclasses import dataclass, field

from loombench.exchange.harness import ColourText
from loombench.exchange.vec.content import Content, Thing, ending, of
from loombench.exchange.vec.values import area_mm2, colour

_ELEMENT = of("WireElementSpecification")
_CONDUCTOR = ending("CoreSpecification", "ShieldSpecification", "ConductorSpecification")


def part_numbers(content: Content) -> dict[str, str]:
    """Part number by the id of a `PartVersion`."""
    parts = (one for one in content.ids.values() if one.kind == "PartVersion")
    return {one.id: content.name(one, "PartNumber") for one in parts}


NO_COLOUR = ColourText()


@dataclass(frozen=True)
class Conductor:
    """What the part says of one wire element; `conducts` is false for a sheath or filler, `twisted` names its group."""

    conducts: bool = False
    shield: bool = False
    area_mm2: float | None = None
    size_text: str = ""
    type: str = ""
    colour: ColourText = NO_COLOUR
    core: str = ""
    inner: bool = False
    twisted: str = ""


@dataclass
class Conductors:
    """The conductors of wire elements, by the element's id; each is looked up once."""

    content: Content
    known: dict[str, Conductor] = field(default_factory=dict)

    def of(self, element: Thing | None) -> Conductor:
        """The conductor of a `WireElement`, or of one that is not known."""
        if element is None:
            return Conductor(conducts=True)
        found = self.known.get(element.id)
        if found is None:
            found = self.known[element.id] = self._read(element)
        return found

    def _read(self, element: Thing) -> Conductor:
        content = self.content
        specification = content.follow(element, "WireElementSpecification", _ELEMENT)
        inner = element.tag == "SubWireElement"
        sheath = bool(element.all("SubWireElement"))
        core = element.say("Identification").strip()
        if specification is None:
            return Conductor(not sheath, core=core, inner=inner)
        conductor = content.follow(specification, "ConductorSpecification", _CONDUCTOR)
        insulation = content.follow(specification, "InsulationSpecification", of("InsulationSpecification"))
        filler = specification.has("FillerSpecification")
        area = conductor.first("CrossSectionArea") if conductor is not None else None
        return Conductor(
            conducts=conductor is not None or not (sheath or filler),
            shield=conductor is not None and conductor.kind == "ShieldSpecification",
            area_mm2=area_mm2(content, area),
            size_text=_size_text(content, area),
            type=_type(specification, "Type") or _type(conductor, "WireType") or _type(insulation, "WireType"),
            colour=colour(insulation),
            core=core if inner else "",
            inner=inner,
            twisted=self._twisted(element),
        )

    def _twisted(self, element: Thing) -> str:
        """The nearest element around it whose own elements are twisted; an empty text where there is none."""
        at = element.parent
        while at is not None and at.tag in ("WireElement", "SubWireElement"):
            specification = self.content.follow(at, "WireElementSpecification", _ELEMENT)
            if specification is not None and is_twist(self.content, specification):
                return at.say("Identification").strip() or at.id
            at = at.parent
        return ""


def is_twist(content: Content, thing: Thing) -> bool:
    """Whether the wire group specification of an element or grouping says that it is twisted."""
    group = content.follow(thing, "WireGroupSpecification", of("WireGroupSpecification"))
    return group is not None and "twist" in group.say("GroupType").lower()


def _type(thing: Thing | None, tag: str) -> str:
    if thing is None:
        return ""
    return next((child.say("Type").strip() for child in thing.children if child.tag == tag and child.say("Type")), "")


def _size_text(content: Content, area: Thing | None) -> str:
    """The cross-section as the file gives it, with a unit that can be read."""
    if area is None:
        return ""
    unit = content.follow(area, "UnitComponent", ending("Unit"))
    number = area.say("ValueComponent").strip()[:40]
    if unit is None:
        return number
    if unit.say("SiUnitName") == "Metre":
        prefix = {"Milli": "mm", "Centi": "cm", "Micro": "um", "": "m"}.get(unit.say("SiPrefix"), unit.say("SiPrefix"))
        return f"{number} {prefix}2"
    return f"{number} {unit.say('UsUnitName') or unit.say('Identification')}".strip()
