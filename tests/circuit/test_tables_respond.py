"""Elements that become ports, by the network factored anew as the judge; and what no table answers."""

import random
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from loombench.circuit.devices import Devices
from loombench.circuit.loops import FloatArray
from loombench.circuit.lower import LoweringOf
from loombench.circuit.netlist import Battery, Conductor, Filament, Junction, Netlist, PowerDraw, Regulated
from loombench.circuit.network import prepare
from loombench.circuit.newton import Solution, solve_network
from loombench.circuit.tables.alone import Networks
from loombench.circuit.tables.base import NOTHING, Base, Watched
from loombench.circuit.tables.change import NEVER, Changed
from loombench.circuit.tables.limits import GREATEST_NOISE_V, ROUNDING
from loombench.circuit.tables.port import Drawn, Port
from loombench.circuit.tables.reach import ends_of, reach
from loombench.circuit.tables.respond import by_loops, respond
from loombench.circuit.tables.rounds import Rounds
from loombench.circuit.tables.small import Found, Small, newton
from loombench.facts.filament import filament
from loombench.text.load import load_file
from tests.circuit.test_kernel import LOOPS

EXAMPLES = Path(__file__).parents[2] / "examples"


def at_rest(name: str) -> Base:
    p = prepare(LoweringOf(load_file(EXAMPLES / name / "vehicle.circuit").value).netlist)
    closed = p.closed(p.rest)
    at = solve_network(p, closed)
    assert isinstance(at, Solution)
    return Base(p, p.rest, closed, at)


def switched_on(name: str) -> Base:
    p = prepare(LoweringOf(load_file(EXAMPLES / name / "vehicle.circuit").value).netlist)
    values = p.rest.copy()
    for k, variable in enumerate(p.netlist.variables):
        if variable.is_input and "on" in variable.states:
            values[k] = p.states[k]["on"]
    closed = p.closed(values)
    at = solve_network(p, closed)
    assert isinstance(at, Solution)
    return Base(p, values, closed, at)


@pytest.mark.parametrize("name", ["recovery-truck", "touring-coach"])
def test_an_input_that_draws_only_now_is_no_case_and_spoils_none_beside_it(name: str) -> None:
    base = at_rest(name)
    elements = base.p.netlist.elements
    draws = next(k for k, one in enumerate(elements) if isinstance(one, PowerDraw))
    lamp = next(k for k, one in enumerate(elements) if isinstance(one, Filament) and base.closed[k])
    asks = Port(draws, int(base.p.a[draws]), int(base.p.b[draws]), elements[draws])
    source = base.p.netlist.reference
    fed = max(range(base.p.netlist.nodes), key=lambda node: base.at.inner_v[node])
    lit = Port(-1, fed, source, replace(elements[lamp], a=fed, b=source, gates=()))
    found, _ = respond(base, [[asks], [lit], [asks, lit]])
    assert found[0] is None
    assert found[2] is None
    assert found[1] is not None
    # A lamp of its own on the battery: it draws what it is made for, within a volt's worth.
    law = elements[lamp].law
    usual = law.cold_s * (1.0 + (base.at.inner_v[fed] / law.knee_v) ** 2) ** ((law.exponent - 1.0) / 2.0)
    assert found[1].current_a[0] == pytest.approx(usual * base.at.inner_v[fed], rel=0.05)


def by_rounds(
    base: Base, systems: Sequence[Sequence[Port]], watched: Watched = NOTHING
) -> tuple[list[Drawn | None], FloatArray]:
    rounds = Rounds(base, systems, reach(base, ends_of(systems), watched))
    return rounds.answers(), rounds.volts


def some_systems(base: Base, seed: int) -> Iterator[list[Port]]:
    """Of one to four elements of a vehicle, opened, high in resistance, shorted or another lamp, or ways added."""
    p, chance = base.p, random.Random(seed)
    elements, island = p.netlist.elements, base.at.island
    there = [k for k in np.flatnonzero(base.closed).tolist() if not isinstance(elements[k], PowerDraw)]
    bent = [k for k in there if isinstance(elements[k], Filament | Junction | Regulated)]
    whole = [k for k in there if base.piece(k) is None]
    for _ in range(60):
        found = dict[int, Port]()
        for _ in range(chance.randint(1, 4)):
            place = chance.choice(bent if bent and chance.random() < 0.4 else there)
            a, b = int(p.a[place]), int(p.b[place])
            element = elements[place]
            match chance.randrange(5):
                case 0 if place in whole:
                    found[place] = Port(place, a, b, None)
                case 1:
                    found[place] = Port(place, a, b, element, 10.0 ** chance.uniform(-2.0, 4.0))
                case 2:
                    found[place] = Port(place, a, b, Conductor("S", a, b, 10.0 ** chance.uniform(-2.0, 3.0)))
                case 3 if isinstance(element, Filament):
                    found[place] = Port(place, a, b, replace(element, law=filament(12.0, chance.uniform(1.0, 60.0))))
                case 4:
                    to = chance.choice(np.flatnonzero(island == island[a]).tolist())
                    if to != a:
                        found[-1 - len(found)] = Port(
                            -1, a, to, Conductor("R", a, to, 10.0 ** chance.uniform(-1.0, 4.0))
                        )
        if found:
            yield list(found.values())


def unit(base: Base, end: tuple[int, int]) -> FloatArray:
    """[nodes] what takes the volts from one node to another."""
    found = np.zeros(base.p.netlist.nodes)
    found[end[0]], found[end[1]] = 1.0, -1.0
    return found


def anew(base: Base, ports: Sequence[Port]) -> Solution:
    """The network factored and solved for itself."""
    p = base.p
    elements = tuple(
        Changed(port.place, port.a, port.b, port.element or replace(p.netlist.elements[port.place], gates=(NEVER,)),
                port.series_ohm)
        for port in ports
    )  # fmt: skip
    at = Networks(p).solve(elements, base.values.astype(np.intp), None)
    assert isinstance(at, Solution)
    return at


@pytest.mark.parametrize(
    "name", ["recovery-truck", "touring-coach", "library-saloon", "camper-van", "telehandler-roof"]
)
def test_loops_answer_as_the_reference(name: str) -> None:
    base = switched_on(name)
    systems = list(some_systems(base, 1))
    nodes = np.arange(base.p.netlist.nodes)
    watched = Watched(nodes[:-1], nodes[1:])
    base = Base(base.p, base.values, base.closed, base.at, watched)
    expected, expected_v = by_rounds(base, systems, watched)
    found, volts = by_loops(LOOPS, base, systems, watched)
    answered = [k for k, one in enumerate(expected) if one is not None]
    assert [k for k, one in enumerate(found) if one is not None] == answered
    assert len(answered) > len(systems) // 2
    grew = 0
    for k in answered:
        one, other = found[k], expected[k]
        assert one is not None
        assert other is not None
        for part in ("place", "a", "b"):
            np.testing.assert_array_equal(getattr(one, part), getattr(other, part))
        # A short takes thousands of amperes, of which the smaller currents beside it are differences.
        near_a = 1e-9 * (1.0 + float(np.abs(other.extra_a).max()))
        # Of what is opened and carried next to nothing it is what its sound law would carry at a noise of the volts.
        sound_s = np.abs(np.where(one.place >= 0, base.slope_s[one.place], 0.0)).max()
        np.testing.assert_allclose(one.extra_a, other.extra_a, rtol=1e-6, atol=near_a + 1e-7 * sound_s)
        np.testing.assert_allclose(one.current_a, other.current_a, rtol=1e-6, atol=near_a)
        # Where a wire hangs on a leak alone, what is left of large numbers has their roundings.
        shown_v = [base.columns([end])[0] @ unit(base, end) for end in zip(one.a.tolist(), one.b.tolist(), strict=True)]
        near_v = 1e-7 + ROUNDING * float(np.abs(np.array(shown_v) * one.extra_a).sum())
        np.testing.assert_allclose(volts[k], expected_v[k], rtol=0.0, atol=near_v)
        there = anew(base, systems[k])
        tied = there.island[watched.a] == there.island[watched.b]
        across_v = there.inner_v[watched.a] - there.inner_v[watched.b]
        np.testing.assert_allclose(volts[k][tied], across_v[tied], rtol=0.0, atol=GREATEST_NOISE_V)
        grew += len(one.place) > len(systems[k])
    assert grew > 5


@pytest.mark.parametrize("settles", [False, True])
def test_a_system_that_runs_away_spoils_none_beside_it(monkeypatch: pytest.MonkeyPatch, settles: bool) -> None:
    base = switched_on("library-saloon")
    p = base.p
    source, fed = p.netlist.reference, int(np.argmax(base.at.inner_v))
    drawn = [Port(-1, fed, source, Conductor("R", fed, source, ohm)) for ohm in (5.0, 7.0)]
    alone = by_rounds(base, [[drawn[1]]])[0]

    def runs_away(small: Small, laws: Devices, u: FloatArray) -> Found:
        found = newton(small, laws, u)
        extra, settled = found.extra_a.copy(), found.settled.copy()
        extra[0], settled[0] = 1e200, settles
        return replace(found, extra_a=extra, settled=settled)

    monkeypatch.setattr("loombench.circuit.tables.rounds.newton", runs_away)
    found, _ = by_rounds(base, [[drawn[0]], [drawn[1]]])
    assert found[0] is None
    assert found[1] is not None
    assert alone[0] is not None
    np.testing.assert_array_equal(found[1].extra_a, alone[0].extra_a)


def test_many_lamps_that_move_a_little_are_answered_as_if_factored_anew() -> None:
    """A load of 30 A on the post: every lamp that is lit gets less, none of them is a port of its own."""
    base = switched_on("library-saloon")
    p, closed, at = base.p, base.closed, base.at
    place = int(np.argmax(np.abs(np.where(p.slope_s > 0.0, at.current_a, 0.0))))
    element = replace(p.netlist.elements[place], resistance_ohm=p.netlist.elements[place].resistance_ohm + 0.02)
    (found,), _ = respond(base, [[Port(place, int(p.a[place]), int(p.b[place]), element)]])
    assert found is not None
    moved_v = at.inner_v - base.drawn_v(found.a, found.b, found.extra_a)
    slope_s = p.slope_s.copy()
    slope_s[place] = 1.0 / element.resistance_ohm
    source_a = p.source_a.copy()
    source_a[place] *= p.netlist.elements[place].resistance_ohm / element.resistance_ohm
    anew = solve_network(replace(p, slope_s=slope_s, source_a=source_a), closed)
    assert isinstance(anew, Solution)
    reference = p.netlist.reference
    assert np.abs(moved_v - at.inner_v).max() > 0.01, "something moves"
    assert moved_v - moved_v[reference] == pytest.approx(anew.inner_v - anew.inner_v[reference], abs=1e-6)


@pytest.mark.parametrize("ohm", [0.005, 1.5, 500.0])
def test_a_short_to_dark_lamps_that_hang_on_their_leaks_is_told_from_the_sound_network(ohm: float) -> None:
    leds = [Junction(f"E{k}", 2, 0, 7.7e-26, 0.312, 6.9) for k in range(3)]
    p = prepare(Netlist(3, ((), (), ()), (Battery("G", 1, 0, 25.0, 0.01), *leds), (), (), 0, {}, 24.0))
    closed, watched = np.ones(4, dtype=np.bool_), Watched(np.array([1, 2]), np.array([0, 0]))
    at = solve_network(p, closed)
    assert isinstance(at, Solution)
    base = Base(p, p.rest, closed, at, watched)
    ports = [Port(-1, 1, 2, Conductor("S", 1, 2, ohm))]
    for found, volts in (by_rounds(base, [ports], watched), by_loops(LOOPS, base, [ports], watched)):
        assert found[0] is not None
        assert found[0].current_a[0] > 0.01
        assert volts[0] == pytest.approx(anew(base, ports).inner_v[[1, 2]], abs=GREATEST_NOISE_V)
