"""A drawing that grows: names by zone, wires in looms, fuses, relays, ground rings, ways through connectors, the bus.

Wires get their section from the fuse before them and the volts they may lose, by the shares below (common practice).
"""

import random
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from benchmarks.fleetpage import WAYS, Coupling, Page, Zone
from loombench.check.ampacity import ampacity_a
from loombench.facts.conductor import resistance_ohm_per_m
from loombench.facts.fuse import least_rating_a

NOMINAL_V = 24.0
AREAS_MM2 = (0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0, 70.0)
RATINGS_A = (5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0)
COLOURS = ("GY", "YE", "GN", "BU", "VT", "OG", "WH", "PK", "RD", "BK")
BUNDLED, LOST_SHARE, SPARE = 0.6, 0.013, 1.25
"""Of what a wire carries alone, what it is used for in a bundle; of the supply, what one wire may lose; over a load's
current, what its fuse is chosen for."""
LONG_M, LONG_MM2 = 1.5, 0.75
"""Longer wires have at least this section, since they have to stand being pulled."""
MOST_RINGS, MOST_IN_ZONE, MOST_BRANCHES = 8, 89, 6


@dataclass(frozen=True)
class Lead:
    """What a wire is made for: its colour, the fuse before it and the current in it, in ampere."""

    colour: str
    rated_a: float = 5.0
    current_a: float = 0.1

    def carrying(self, current_a: float) -> "Lead":
        """The same lead for less current."""
        return Lead(self.colour, self.rated_a, current_a)


class Drawing:
    """All that was drawn so far. `wires` counts it; `reserved` are wires that are drawn when the drawing is closed."""

    def __init__(self, seed: int) -> None:
        self.chance = random.Random(seed)
        self.pages: dict[str, Page] = {}
        self.wires = 0
        self.reserved = 0
        self._bus: tuple[Zone, str, str] | None = None
        self._numbers: Counter[tuple[str, int]] = Counter()
        self._said: Counter[str] = Counter()

    def page(self, name: str, remark: str) -> Page:
        """A new file."""
        self.pages[name] = made = Page(remark)
        return made

    def name(self, letters: str, zone: Zone) -> str:
        """The next name of its kind: zone 12 has E1201, E1202 ...

        Raises:
            ValueError: there are too many in the zone.
        """
        key = letters, zone.number
        self._numbers[key] += 1
        if self._numbers[key] > MOST_IN_ZONE:
            raise ValueError(f"over {MOST_IN_ZONE} of {letters} in {zone.name}")
        return f"{letters}{100 * zone.number + self._numbers[key]}"

    def block(self, page: Page) -> None:
        """An empty line before the parts of the next function."""
        if page.parts and page.parts[-1]:
            page.parts.append("")

    def label(self, zone: Zone, words: Sequence[str]) -> str:
        """One of some labels, with a number where the zone has it already."""
        word = self.chance.choice(words)
        key = f"{zone.name}, {word}"
        self._said[key] += 1
        return key if self._said[key] == 1 else f"{key} {self._said[key]}"

    def colour(self, base: str = "") -> str:
        """A main colour with a stripe of another."""
        main = base or self.chance.choice(COLOURS[:8])
        return f"{main}/{self.chance.choice([one for one in COLOURS if one != main])}"

    def metres(self, low: float, high: float) -> float:
        """A length, to the decimetre."""
        return round(self.chance.uniform(low, high), 1)

    def wire(self, loom: str, page: Page, start: str, lead: Lead, length_m: float, end: str, extra: str = "") -> None:
        """One wire of a loom, from a point to a point."""
        self.run(loom, page, start, (lead, length_m, extra), end)

    def run(self, loom: str, page: Page, *steps: str | tuple[Lead, float, str]) -> None:
        """Points and the wires between them, as they are traced with a finger."""
        words = [step if isinstance(step, str) else self._written(*step) for step in steps]
        self.wires += len(steps) // 2
        page.looms.setdefault(loom, []).append(" ".join(words))

    def _written(self, lead: Lead, length_m: float, extra: str) -> str:
        area = f"{area_mm2(lead, length_m):g}"
        return f"({lead.colour} {area}mm2 {length_m:g}m{' ' + extra if extra else ''})"

    def fan(self, loom: str, page: Page, zone: Zone, start: str, lead: Lead, length_m: float, ends: Sequence[str],
            each_m: tuple[float, float] = (0.3, 1.2)) -> None:  # fmt: skip
        """From a point to several ends: by a splice, of a single one straight."""
        if len(ends) == 1:
            self.wire(loom, page, start, lead, length_m, ends[0])
            return
        splice = self.name("SP", zone)
        self.wire(loom, page, start, lead, length_m, splice)
        for end in ends:
            self.wire(loom, page, splice, lead.carrying(lead.current_a / len(ends)), self.metres(*each_m), end)

    def ring(self, zone: Zone, place: str) -> str:
        """A ring on a ground stud at a place; a stud takes so many."""
        studs = zone.studs.setdefault(place, [])
        if not studs or studs[-1][1] >= MOST_RINGS:
            stud = self.name("W", zone)
            studs.append((stud, 0))
            zone.page.studs.append(f"stud {stud} on {zone.body} at {place}")
        stud, used = studs[-1]
        studs[-1] = stud, used + 1
        return f"{stud}/{'abcdefgh'[used]}"

    def ground(self, loom: str, zone: Zone, point: str, place: str, lead: Lead, page: Page | None = None) -> None:
        """A brown wire from a point to the nearest stud."""
        brown = Lead("BN", lead.rated_a, lead.current_a)
        self.wire(loom, page or zone.page, point, brown, self.metres(0.3, 0.9), self.ring(zone, place))

    def fuse(self, zone: Zone, current_a: float, label: str, bar: str = "30") -> tuple[str, float]:
        """A fuse in the zone's box on a bar, with its rating."""
        assert zone.box is not None
        rated_a = next(rating for rating in RATINGS_A if rating >= least_rating_a(SPARE * current_a))
        name = self.name("F", zone)
        zone.box.parts.append(f'fuse {name} {rated_a:g}A "{label}"')
        zone.box.bars[bar][1].append(name)
        return name, rated_a

    def relay(self, zone: Zone, label: str, fed_by: str, words: str = "make 30 85 86 87 30A diode 86") -> str:
        """A relay in the zone's box, its contact behind a fuse of the box."""
        assert zone.box is not None
        name = self.name("K", zone)
        zone.box.parts.append(f'relay {name} {words} "{label}"')
        zone.box.joins.append(f"  {fed_by}.out = {name}.30")
        return name

    def feeds(self, zone: Zone) -> str:
        """A splice behind a small fuse, which the rockers of a panel are fed from; it has so many branches."""
        splice, used = zone.feed
        if not splice or used >= MOST_BRANCHES:
            splice, used = self.name("SP", zone), 0
            fuse, rated_a = self.fuse(zone, 1.0, f"{zone.name}, panel", "15")
            self.wire(zone.loom, zone.page, fuse, Lead("BK", rated_a, 1.0), self.metres(0.4, 1.4), splice)
        zone.feed = splice, used + 1
        return splice

    def on_bus(self, zone: Zone, cab: Zone, label: str, place: str) -> str:
        """The bus node of a module, one further down the line, which runs through the cab; the first one starts it."""
        node, cable = self.name("N", zone), self.name("C", zone)
        zone.page.parts += [f'bus-node {node} 30kohm at {place} "{label}"', f"cable {cable} twisted"]
        if self._bus is None:
            self._end_bus(zone, node, cable, place)
            self.reserved = 2
        else:
            last, before, _ = self._bus
            for pin, colour in (("H", "YE"), ("L", "GN")):
                at, lead, extra = f"{before}.{pin}", Lead(colour), f"in {cable}"
                if last is not zone and last is not cab:
                    cavity = self.way_into(last, cab)
                    self.wire(last.loom, zone.page, at, lead, self.metres(0.3, 0.8), cavity, extra)
                    at = cavity
                if last is not zone:
                    at = self.into(zone, cab, at, lead, extra)
                self.wire(zone.loom, zone.page, at, lead, self.metres(0.3, 0.8), f"{node}.{pin}", extra)
        self._bus = zone, node, place
        return node

    def close(self) -> None:
        """End the bus; nothing is drawn after it."""
        if self._bus is not None:
            zone, node, place = self._bus
            cable = self.name("C", zone)
            zone.page.parts.append(f"cable {cable} twisted")
            self._end_bus(zone, node, cable, place)
            self.reserved = 0

    def _end_bus(self, zone: Zone, node: str, cable: str, place: str) -> None:
        end, extra = self.name("R", zone), f"in {cable}"
        zone.page.parts.append(f'terminator {end} 120ohm at {place} "end of the bus"')
        steps = (Lead("YE"), 0.1, extra), end, (Lead("GN"), 0.1, extra), f"{node}.L"
        self.run(zone.loom, zone.page, f"{node}.H", *steps)

    def into(self, zone: Zone, cab: Zone, start: str, lead: Lead, extra: str = "") -> str:
        """From a point in the cab through the zone's trunk connector; the point it goes on from in the zone's loom."""
        at = self.way_into(zone, cab)
        self.wire(cab.loom, zone.page, start, lead, round(zone.trunk_m + self.chance.uniform(0.0, 0.4), 1), at, extra)
        return at

    def way_into(self, zone: Zone, cab: Zone) -> str:
        """A cavity of the zone's trunk connector, both of whose sides are still to be wired."""
        return _cavity(self, zone.trunk, zone, (cab.loom, zone.loom), zone.box_place, f"cab loom to {zone.name}")

    def out_to(self, zone: Zone, side: str, start: str, lead: Lead) -> tuple[str, str]:
        """From a point in the zone's loom to the connector of a side; the point, and the loom it goes on in."""
        loom = f"{zone.loom}-{side.rpartition('-')[2]}"
        at = _cavity(self, zone.branches.setdefault(side, []), zone, (zone.loom, loom), side, f"{side} loom")
        self.wire(zone.loom, zone.page, start, lead, self.metres(1.2, 3.4), at)
        return at, loom


def _cavity(
    drawing: Drawing, couplings: list[Coupling], zone: Zone, halves: tuple[str, str], place: str, label: str
) -> str:
    if not couplings or couplings[-1].used >= WAYS[-1]:
        made = Coupling(drawing.name("X", zone), halves, place, label)
        couplings.append(made)
        zone.page.couplings.append(made)
    couplings[-1].used += 1
    return f"{couplings[-1].id}.{couplings[-1].used}"


def area_mm2(lead: Lead, length_m: float) -> float:
    """The least section that the fuse before it protects and that loses little enough."""
    return next(
        area
        for area in AREAS_MM2
        if BUNDLED * ampacity_a(area) >= lead.rated_a
        and (length_m <= LONG_M or area >= LONG_MM2)
        and lead.current_a * resistance_ohm_per_m(area) * length_m <= LOST_SHARE * NOMINAL_V
    )
