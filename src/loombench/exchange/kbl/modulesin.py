"""Under which option codes the objects of a KBL file are there: its modules, their conditions and configurations.

A module is in where its condition (`Logistic_control_information`) holds, or where its part number is chosen. One that
gives no condition is in by its part number alone; the only module of a file that gives none is no variant.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from loombench.base.problems import Level
from loombench.exchange.conditions import both, codes_in, option_code
from loombench.exchange.harness import Option
from loombench.exchange.kbl.raw import ModuleUse, Raw
from loombench.exchange.variants import plain_condition

_MOST_PAIRS = 100


@dataclass
class Modules:
    """Conditions by object, and the options to choose from."""

    raw: Raw
    conditions: dict[str, str] = field(default_factory=dict)
    options: tuple[Option, ...] = ()
    _known: dict[int, tuple[str, ...]] = field(default_factory=dict)
    _pairs: dict[tuple[tuple[str, ...], tuple[str, ...]], tuple[str, ...]] = field(default_factory=dict)

    def of(self, *ids: str) -> tuple[str, ...]:
        """The conditions of the first of these objects that any module lists; none where it is always there."""
        for id_ in ids:
            chain = self.raw.listed.by_object.get(id_)
            if chain is not None:
                return self._of_modules(chain)
        return ()

    def of_both(self, one: Sequence[str], other: Sequence[str], line: int) -> tuple[str, ...]:
        """The conditions under which two things that need one another are there, each by the first id that is listed.

        Any of the conditions brings a thing in: both are there where one of those they share holds, or two of the rest.
        """
        first, second = self.of(*one), self.of(*other)
        if not first or not second or first == second:
            return first or second
        key = (first, second)
        found = self._pairs.get(key)
        if found is None:
            alike = set(second)
            shared = tuple(text for text in first if text in alike)
            rest = [text for text in first if text not in alike]
            others = [text for text in second if text not in shared] if rest else []
            if len(rest) * len(others) > _MOST_PAIRS:
                self.raw.notes.add("module-many", Level.WARNING, self.raw.span(line), count=len(rest) * len(others))
                found = first
            else:
                found = (*shared, *(both(a, b) for a in rest for b in others))
            self._pairs[key] = found
        return found

    def listed(self, *ids: str) -> bool:
        """Whether some module lists one of these objects."""
        return any(id_ in self.raw.listed.by_object for id_ in ids)

    def _of_modules(self, chain: int) -> tuple[str, ...]:
        found = self._known.get(chain)
        if found is None:
            keys = self.raw.listed.modules(chain)
            texts = tuple(dict.fromkeys(self.conditions[key] for key in keys if key in self.conditions))
            found = self._known[chain] = () if "" in texts else texts
        return found


def read_modules(raw: Raw) -> Modules:
    """The modules of a file."""
    modules = Modules(raw)
    listing = [key for key, one in raw.modules.items() if not one.modules]
    for key in listing:
        modules.conditions[key] = _condition(raw, raw.modules[key], len(listing) == 1)
    modules.options = tuple(_options(raw, modules.conditions))
    return modules


def _condition(raw: Raw, module: ModuleUse, only: bool) -> str:
    if module.condition:
        return plain_condition(module.condition)
    if only:
        return ""
    if not module.part_number:
        raw.notes.add("module-nameless", Level.WARNING, raw.span(module.line))
    return option_code(module.part_number)


def _options(raw: Raw, conditions: dict[str, str]) -> Iterator[Option]:
    met: set[str] = set()
    for key, module in raw.modules.items():
        asked = []
        for ref in module.modules or (key,):
            if ref in conditions:
                asked.append(conditions[ref])
            else:
                raw.missing(module.line, module.part_number or key, "Modules", ref)
        fulfilled = tuple(dict.fromkeys(condition for condition in asked if condition))
        if module.part_number and fulfilled and module.part_number not in met:
            met |= {module.part_number, option_code(module.part_number)}
            yield Option(module.part_number, module.words, fulfilled)
    for condition in dict.fromkeys(conditions.values()):
        for code in codes_in(condition) if condition else ():
            if code not in met:
                met.add(code)
                yield Option(code)
