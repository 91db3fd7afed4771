"""Whatever a harness holds, it is put together without an exception, loads, and keeps its nets."""

from collections import defaultdict
from collections.abc import Iterable, Iterator

from hypothesis import given, settings
from hypothesis import strategies as st

from loombench.app.importcheck import doubts
from loombench.app.importtext import MAIN, texts
from loombench.base.outcome import errors
from loombench.exchange.assembly.assemble import assemble
from loombench.exchange.harness import (
    CONNECTOR,
    HOLDER_KINDS,
    RING,
    SPLICE,
    ColourText,
    Contact,
    End,
    Fitted,
    Harness,
    Holder,
    Mating,
    Segment,
    Slot,
    Spot,
    Wire,
)
from loombench.exchange.missing import Answers
from loombench.text.load import load_text
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point

ODD = st.text(max_size=12) | st.sampled_from(
    ("lamp", "10A", "X.1", "é(2)", "#", "A-B", "+", "?", "K1.30", "SP7", "31", "30", "3E")
)
CAVITIES = ("1", "2", "3E", "a-b", "+", "A.1", "")


@st.composite
def harnesses(draw: st.DrawFn, plain: bool = False) -> Harness:
    """Small harnesses with odd names; `plain` ones have no boxes and no rings, so that nets are those of the wires."""
    kinds = (CONNECTOR, SPLICE) if plain else HOLDER_KINDS
    names = draw(st.lists(ODD.filter(bool), min_size=1, max_size=6, unique=True))
    text = ODD if not plain else st.just("")
    holders = tuple(
        Holder(name, draw(st.sampled_from(kinds)), cavities=draw(st.sampled_from(((), CAVITIES))), place=draw(text),
               description=draw(text), slots=(Slot("s", CAVITIES[:2]),) if draw(st.booleans()) else (),
               joined=(CAVITIES[:3],) if not plain and draw(st.booleans()) else ())
        for name in names
    )  # fmt: skip
    spots = st.builds(Spot, st.sampled_from(names), st.sampled_from(CAVITIES))
    ends = st.builds(End, st.none() | spots)
    numbers = st.none() | st.floats(-1, 1000)
    wires = tuple(
        Wire(f"w{n}", tuple(draw(st.lists(ends, min_size=2, max_size=2 if plain else 3))), draw(ODD), draw(text),
             colour=ColourText(draw(st.sampled_from(((), ("RD",), ("RD", "YE"), ("zz",)))), "IEC"),
             area_mm2=draw(numbers), length_m=draw(numbers), cable=draw(text), twist=draw(text),
             loom="" if plain else draw(st.sampled_from(("", "a", "b/c"))),
             segments=draw(st.sampled_from(((), ("S 1",)))))
        for n in range(draw(st.integers(0, 7)))
    )  # fmt: skip
    pair = st.tuples(st.sampled_from(CAVITIES), st.sampled_from(CAVITIES))
    some = 0 if plain else 2
    matings = tuple(
        Mating(draw(st.sampled_from(names)), draw(st.sampled_from(names)), tuple(draw(st.lists(pair, max_size=3))))
        for _ in range(draw(st.integers(0, some)))
    )
    fitted = tuple(
        Fitted(f"F{n}", draw(st.sampled_from(("fuse", "relay", ""))),
               tuple(draw(st.lists(spots, max_size=4, unique=True))), rating_a=draw(st.none() | st.just(10.0)))
        for n in range(draw(st.integers(0, some)))
    )  # fmt: skip
    contacts = tuple(
        Contact(
            f"c{n}",
            draw(st.sampled_from(names)),
            tuple(draw(st.lists(st.sampled_from(CAVITIES), max_size=3, unique=True))),
        )
        for n in range(draw(st.integers(0, 2)))
    )
    return Harness(draw(ODD), "x", holders, contacts, wires, fitted, (Segment("S 1", "a", "b", 1.0),), matings)


@settings(max_examples=120, deadline=None)
@given(harnesses(), st.booleans())
def test_it_is_put_together_and_loads(harness: Harness, accept: bool) -> None:
    made = assemble(harness, Answers(accept=accept))
    assert errors(made.problems) == ()
    files = texts(made.value.sheet, ("any.kbl",), None)
    outcome = load_text(files[MAIN], MAIN, files.get)
    assert errors(outcome.problems) == ()
    assert list(doubts(made.value.sheet)) == []
    assert len(outcome.value.wires) == len(made.value.sheet.wires)


@settings(max_examples=80, deadline=None)
@given(harnesses(plain=True))
def test_its_nets_are_kept(harness: Harness) -> None:
    """As many groups of points hang together in the vehicle as groups of spots in the harness."""
    made = assemble(harness)
    files = texts(made.value.sheet, (), None)
    vehicle = load_text(files[MAIN], MAIN, files.get).value
    assert _groups(_in_harness(harness)) == _groups(_in_vehicle(vehicle))


def _in_harness(harness: Harness) -> Iterator[tuple[object, ...]]:
    whole = {item.id for item in harness.holders if item.kind in (SPLICE, RING)}

    def node(spot: Spot) -> object:
        return spot.holder if spot.holder in whole else spot

    for wire in harness.wires:
        yield tuple((wire.id, n) if end.spot is None else node(end.spot) for n, end in enumerate(wire.ends))
    wired = {node(end.spot) for wire in harness.wires for end in wire.ends if end.spot is not None}
    for contact in harness.contacts:
        at = tuple(node(Spot(contact.holder, cavity)) for cavity in contact.cavities)
        if any(one in wired for one in at):
            yield at


def _in_vehicle(vehicle: Vehicle) -> Iterator[tuple[object, ...]]:
    for wire in vehicle.wires:
        yield tuple(Point(point.part, point.pin) for point in (wire.a, wire.b))


def _groups(joined: Iterable[tuple[object, ...]]) -> int:
    """How many groups the tuples make, each with two members at least."""
    near: dict[object, set[object]] = defaultdict(set)
    for members in joined:
        for one in members:
            near[one].update(members)
    count, seen = 0, set[object]()
    for start, others in near.items():
        if start in seen or len(others) < 2:
            continue
        count += 1
        waiting = [start]
        while waiting:
            at = waiting.pop()
            if at not in seen:
                seen.add(at)
                waiting.extend(near[at])
    return count
