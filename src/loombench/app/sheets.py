"""What is drawn of a vehicle besides circuits: the plan of its places, who is fed and who returns through what."""

from collections.abc import Sequence

from loombench.app.drawing import DrawnPage
from loombench.base.outcome import Outcome
from loombench.base.wording import Catalogue, catalogue
from loombench.circuit.explain import explain
from loombench.circuit.lower import lower
from loombench.circuit.netlist import Netlist
from loombench.circuit.operate import run
from loombench.circuit.point import Settled
from loombench.draw.places import places_svg
from loombench.draw.treepages import Load, ground_pages, power_pages
from loombench.vehicle.condition import Condition
from loombench.vehicle.graph import PROTECTION, SOURCES
from loombench.vehicle.model import Part, Vehicle

A4 = ("A4", 210.0, 297.0)


def places_pages(
    vehicle: Vehicle, wanted: frozenset[str] = frozenset(), words: Catalogue | None = None
) -> tuple[DrawnPage, ...]:
    """The plan; wanted places are ringed."""
    return _pages("places", vehicle.name, places_svg(vehicle, wanted, (words or catalogue()).language))


def feed_pages(
    vehicle: Vehicle, condition: Condition | None = None, words: Catalogue | None = None
) -> Outcome[tuple[DrawnPage, ...]]:
    """Who is fed through what; with a condition the amperes in it and what the ratings leave."""
    language = (words or catalogue()).language
    if condition is None:
        return Outcome(_pages("feeds", vehicle.name, power_pages(vehicle, {}, language=language)))
    through = through_in(vehicle, condition)
    pages = power_pages(vehicle, through.value, str(condition), language)
    return Outcome(_pages("feeds", vehicle.name, pages), through.problems)


def return_pages(
    vehicle: Vehicle, condition: Condition | None = None, words: Catalogue | None = None
) -> Outcome[tuple[DrawnPage, ...]]:
    """Who returns through what; with a condition the amperes in it."""
    language = (words or catalogue()).language
    if condition is None:
        return Outcome(_pages("returns", vehicle.name, ground_pages(vehicle, {}, language=language)))
    through = through_in(vehicle, condition)
    pages = ground_pages(vehicle, through.value, str(condition), language)
    return Outcome(_pages("returns", vehicle.name, pages), through.problems)


def through_in(vehicle: Vehicle, condition: Condition) -> Outcome[dict[str, Load]]:
    """The mean current through each source, protection, strap and stud of the sound vehicle, and the ratings known."""
    made = lower(vehicle)
    settled = run(made.value, condition)
    found: dict[str, Load] = {}
    for part in vehicle.parts.values():
        if part.kind in (*PROTECTION, *SOURCES, "strap"):
            amperes = _through(made.value, settled, part)
            rated = part.params.get("rated_a") if part.kind in PROTECTION else None
            found[part.id] = Load(amperes, rated.nominal if rated is not None and rated.known else None)
        elif part.kind == "stud":
            found[part.id] = Load(_into_stud(vehicle, settled, part))
    problems = tuple(explain(made.value, finding, vehicle) for finding in settled.findings)
    return Outcome(found, (*made.problems, *problems))


def _through(netlist: Netlist, settled: Settled, part: Part) -> float | None:
    names = netlist.element_of.get(part.id, ())
    currents = [_mean(settled, name) for name in names if name in netlist.element_by_id]
    return max(currents, key=abs) if currents else None


def _into_stud(vehicle: Vehicle, settled: Settled, part: Part) -> float:
    """What its rings bring in; what leaves by other rings and by the metal is the same."""
    total = 0.0
    for wire in vehicle.wires:
        if part.id in (wire.a.part, wire.b.part):
            current = _mean(settled, wire.id)
            total += max(0.0, current if wire.b.part == part.id else -current)
    return total


def _mean(settled: Settled, element: str) -> float:
    return sum(phase.share * phase.point.current_a(element) for phase in settled.all_phases)


def _pages(key: str, title: str, drawn: Sequence[str]) -> tuple[DrawnPage, ...]:
    paper, width, height = A4
    count = len(drawn)
    return tuple(DrawnPage(key, at, count, title, paper, width, height, svg) for at, svg in enumerate(drawn, 1))
