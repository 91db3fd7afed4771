"""What is not asked of the engine, as it would not fit; where a plan is cut that is too large to be asked about."""

from itertools import combinations, pairwise

import pytest

from loombench.app.drawing import Drawings, layouts_here
from loombench.app.vehicles import open_vehicle
from loombench.draw.fitting import AS_WANTED, CLOSER, LEAST, PLAIN, too_large
from loombench.draw.layout.arrange import Spacing, arrange
from loombench.draw.layout.forks import forked
from loombench.draw.layout.items import GROUND, LINK, SUPPLY, SYMBOL, WIRE, Item, Plan, Port, Run
from loombench.draw.layout.plan import plan_of
from loombench.draw.layout.sketch import sketched
from loombench.draw.page import LEAST_WIDER, page_of
from loombench.draw.papers import A3, A4
from loombench.draw.shapes import BOTTOM, TOP
from tests.draw.test_circuit import EXAMPLES

LAYOUTS = layouts_here(None)
SHEETS = (*A4, *A3)
ENDS = (Port("up", "", TOP, 2.5, 0.0), Port("down", "", BOTTOM, 2.5, 5.0))


def chain(count: int, closed: bool = False) -> Plan:
    """So many items one below the other; the last one leads back to the first if closed."""
    items = {f"{at}": Item(f"{at}", f"{at}", SYMBOL, "splice", 5.0, 5.0, ENDS) for at in range(count)}
    pairs = [*pairwise(items), *([(f"{count - 1}", "0")] if closed else [])]
    return Plan(items, tuple(Run(f"{a}-{b}", WIRE, (a, "down"), (b, "up"), f"{a}-{b}") for a, b in pairs))


@pytest.mark.parametrize("name", ["library-van", "touring-coach"])
def test_no_plan_is_refused_that_a_sheet_would_hold(name: str) -> None:
    vehicle = open_vehicle(str(EXAMPLES / name)).vehicle
    plans = [plan_of(vehicle, one.taking) for one in Drawings(vehicle).functions]
    refused = [plan for plan in plans if too_large(plan, SHEETS)]
    nearly = sorted((len(plan.runs), at) for at, plan in enumerate(plans) if plan not in refused)[-2:]
    for plan in (*refused, *(plans[at] for _, at in nearly)):
        straight = arrange(plan, LAYOUTS, PLAIN)
        spacings = {AS_WANTED: PLAIN, CLOSER: PLAIN.closer()}
        for (room, manner), (wide, high) in LEAST.items():
            other = arrange(plan, LAYOUTS, spacings[room], manner)
            assert other.width_mm >= wide * straight.width_mm
            assert other.height_mm >= high * straight.height_mm
            assert plan not in refused or not any(sheet.holds(other) for sheet in SHEETS)
        wider = arrange(plan, LAYOUTS, PLAIN.wider())
        assert wider.height_mm >= LEAST_WIDER * straight.height_mm
    assert name != "library-van" or refused


def test_a_sketch_has_everything_apart_and_power_above_ground() -> None:
    vehicle = open_vehicle(str(EXAMPLES / "telehandler-roof")).vehicle
    for function in Drawings(vehicle).functions:
        plan = plan_of(vehicle, function.taking)
        sketch = sketched(plan, PLAIN)
        assert set(sketch.corners) == set(plan.items)
        boxes = [(*sketch.corners[key], item.width_mm, item.height_mm) for key, item in plan.items.items()]
        for (x, y, wide, high), (left, top, across, down) in combinations(boxes, 2):
            assert x >= left + across or left >= x + wide or y >= top + down or top >= y + high
        assert all(x + wide <= sketch.width_mm + 0.01 and y + high <= sketch.height_mm for x, y, wide, high in boxes)
        of_level = {
            level: [sketch.corners[key][1] for key, item in plan.items.items() if item.level == level]
            for level in (SUPPLY, GROUND)
        }
        assert max(of_level[SUPPLY], default=0.0) < min(of_level[GROUND], default=1.0)


@pytest.mark.parametrize("closed", [False, True])
def test_a_sketch_of_what_is_long_or_goes_round(closed: bool) -> None:
    plan = chain(3000, closed)
    corners = sketched(plan, Spacing()).corners
    heights = [corners[key][1] for key in plan.items]
    assert len(set(heights)) == len(heights)
    assert sum(lower < upper for upper, lower in pairwise(heights)) == int(closed)


class Counted:
    """Layouts that tell what was asked."""

    def __init__(self) -> None:
        self.asked: list[str] = []

    def lay(self, graph: str) -> str:
        """The answer."""
        self.asked.append(graph)
        return LAYOUTS.lay(graph)


def test_what_fits_at_once_is_asked_for_once() -> None:
    vehicle = open_vehicle(str(EXAMPLES / "telehandler-roof")).vehicle
    plan = plan_of(vehicle, Drawings(vehicle).functions[0].taking)
    layouts = Counted()
    page = page_of(vehicle, plan, layouts, SHEETS)
    assert page is not None
    assert page.sheet.name == "A4"
    assert len(layouts.asked) == 1


def test_what_is_joined_inside_a_box_shares_one_place_at_a_pin_and_wires_have_their_own() -> None:
    pins = (Port("a", "", BOTTOM, 10.0, 5.0),)
    items = {"X": Item("X", "X", SYMBOL, "fuse", 20.0, 5.0, pins)}
    items |= {f"{at}": Item(f"{at}", f"{at}", SYMBOL, "splice", 5.0, 5.0, ENDS) for at in range(4)}
    sorts = (WIRE, LINK, LINK, WIRE)
    runs = [Run(f"r{at}", sort, ("X", "a"), (f"{at}", "up"), f"r{at}") for at, sort in enumerate(sorts)]
    starts = [run.start[1] for run in forked(items, runs).runs]
    assert starts[1] == starts[2]
    assert len(set(starts)) == 3
