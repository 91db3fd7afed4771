"""Under which option codes an object of a VEC file is there: its own conditions, and the modules that hold it.

A condition is a set of alternatives, any of which brings the object in; an alternative is a set of terms that must all
hold, each a condition as the file writes it (`exchange.conditions`). A module is a part structure that lists
occurrences: its part number is the option code. A part structure that is the whole harness is no option.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from loombench.exchange.conditions import always, option_code
from loombench.exchange.harness import Option
from loombench.exchange.vec.content import Content, Thing, ending, of
from loombench.exchange.vec.values import worded

Alternatives = tuple[frozenset[str], ...]
ALWAYS: Alternatives = ()
_MOST = 64
_OCCURRENCE = of("PartOccurrence", "Component", "PartUsage")
_CONFIGURATION = of("VariantConfiguration")


@dataclass
class Conditions:
    """The conditions of a file: `modules` by the identity of an occurrence, `constraints` by an object's id.

    `any` is false where the file has none, so that nobody need look.
    """

    content: Content
    options: list[Option] = field(default_factory=list)
    modules: dict[str, Alternatives] = field(default_factory=dict)
    constraints: dict[str, Alternatives] = field(default_factory=dict)
    any: bool = True

    def of(self, thing: Thing) -> Alternatives:
        """When an object is there, by what is said of it and of everything around it."""
        found = ALWAYS
        at: Thing | None = thing if self.any else None
        while at is not None and at.tag != "Specification":
            found = both(found, self._own(at))
            at = at.parent
        return found

    def _own(self, thing: Thing) -> Alternatives:
        found = both(self.modules.get(thing.id, ALWAYS), self.constraints.get(thing.id, ALWAYS)) if thing.id else ALWAYS
        found = both(found, self.configured(thing))
        for constraint in thing.all("ConfigurationConstraint"):
            if not constraint.refs("ConstrainedElements") or thing.id in constraint.refs("ConstrainedElements"):
                found = both(found, self.configured(constraint))
        return found

    def configured(self, thing: Thing) -> Alternatives:
        """What the variant configuration it names asks for, with that one's base."""
        if not thing.has("ConfigInfo"):
            return ALWAYS
        found, met = ALWAYS, set[str]()
        at = self.content.follow(thing, "ConfigInfo", _CONFIGURATION)
        while at is not None and at.id not in met:
            met.add(at.id)
            found = both(found, _condition(at))
            at = self.content.follow(at, "BaseInclusion", _CONFIGURATION)
        return found


def _condition(configuration: Thing) -> Alternatives:
    text = configuration.say("LogisticControlExpression") or configuration.say("LogisticControlString")
    text = text.strip() or option_code(configuration.say("Identification"))
    return ALWAYS if always(text) else (frozenset({text}),)


def both(one: Alternatives, other: Alternatives) -> Alternatives:
    """When both conditions hold; an alternative that asks for more than another one is left out."""
    if not one or not other or one == other:
        return one or other
    terms = list(dict.fromkeys(a | b for a in one for b in other))[:_MOST]
    return tuple(term for term in terms if not any(less < term for less in terms))


def either(one: Alternatives, other: Alternatives) -> Alternatives:
    """When one of the conditions, both of them real, holds."""
    return tuple(dict.fromkeys((*one, *other)))


def written(condition: Alternatives) -> tuple[str, ...]:
    """The alternatives as texts; a term that is more than a code stands in brackets."""
    return tuple(_joined(sorted(term)) for term in condition)


def _joined(terms: Sequence[str]) -> str:
    return terms[0] if len(terms) == 1 else "+".join(t if re.fullmatch(r"[\w.]+", t) else f"({t})" for t in terms)


def read_conditions(content: Content, part_number: Mapping[str, str], wires: Iterable[Thing]) -> Conditions:
    """The conditions of a file. `wires` are its wire occurrences, which tell the whole harness from a module."""
    found = Conditions(content)
    codes: dict[str, Option] = {}
    for specification in content.all_of(of("VariantCodeSpecification")):
        for variant in specification.all("VariantCode"):
            said = worded(content, variant, "Description", "Abbreviation")
            codes[variant.say("Identification").strip()] = Option(variant.say("Identification").strip(), said)
    for specification in content.all_of(of("ConfigurationConstraintSpecification")):
        for constraint in specification.all("ConfigurationConstraint"):
            condition = found.configured(constraint)
            for ref in constraint.refs("ConstrainedElements"):
                found.constraints[ref] = both(found.constraints.get(ref, ALWAYS), condition)
    wires_in: dict[str, set[str]] = {}
    for wire in wires:
        wires_in.setdefault(wire.parent.id if wire.parent is not None else "", set()).add(wire.id)
    used_as_part = _structures_used(content)
    for specification in content.all_of(of("PartStructureSpecification")):
        listed = content.follow_all(specification, "InBillOfMaterial", _OCCURRENCE)
        if specification.id in used_as_part or not listed or _whole(specification, listed, wires_in):
            continue
        code = _code(content, specification, part_number)
        codes.setdefault(code, Option(code, worded(content, specification, "Description", "Identification")))
        for one in listed:
            found.modules[one.id] = either(found.modules.get(one.id, ALWAYS), (frozenset({code}),))
    for role, structure in used_as_part.values():
        occurrence = role.parent
        condition = found.of(occurrence) if occurrence is not None else ALWAYS
        refs = [*role.refs("SubComponent"), *structure.refs("InBillOfMaterial")]
        for ref in dict.fromkeys(refs) if condition else ():
            found.modules[ref] = either(found.modules.get(ref, ALWAYS), condition)
        if condition and occurrence is not None:
            code, words = (
                _code(content, structure, part_number),
                worded(content, occurrence, "Description", "Identification"),
            )
            codes.setdefault(code, Option(code, words, written(condition)))
    found.any = bool(found.modules or found.constraints or content.configured)
    found.options = [replace(one, words="") if one.words == one.code else one for one in codes.values() if one.code]
    return found


def _code(content: Content, structure: Thing, part_number: Mapping[str, str]) -> str:
    """The option code of a module: its part number, else its name."""
    part = content.follow(structure, "DescribedPart", of("PartVersion", "PartUsage"))
    name = part_number.get(part.id, "") if part is not None else ""
    return option_code(name or structure.say("Identification")) or option_code(structure.id)


def _structures_used(content: Content) -> dict[str, tuple[Thing, Thing]]:
    """Part structures that are there as a component (a module with a condition, or a bought assembly), by id."""
    used: dict[str, tuple[Thing, Thing]] = {}
    for composition in content.all_of(of("CompositionSpecification", "PartUsageSpecification")):
        for occurrence in composition.children:
            for role in occurrence.all("Role"):
                if role.kind == "PartWithSubComponentsRole":
                    structure = content.follow(role, "PartStructureSpecification", ending("PartStructureSpecification"))
                    if structure is not None:
                        used[structure.id] = (role, structure)
    return used


def _whole(specification: Thing, listed: Sequence[Thing], wires_in: dict[str, set[str]]) -> bool:
    """Whether it is a whole harness: it says so, or it lists every wire of the compositions it takes from."""
    said = re.sub(r"[^a-z]", "", specification.say("Content").lower())
    ids = {one.id for one in listed}
    parents = {one.parent.id for one in listed if one.parent is not None}
    wires = {wire for parent in parents for wire in wires_in.get(parent, ())}
    return "complete" in said or (bool(wires) and wires <= ids)
