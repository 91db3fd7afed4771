"""What is still to be opened at the end of a search, against sums worked out by hand."""

import numpy as np
import pytest

from loombench.app.case import bench_for
from loombench.diagnose.bench import Bench
from loombench.diagnose.ending import ending
from loombench.diagnose.repair import repair
from loombench.diagnose.situation import Situation, reaching_s
from loombench.diagnose.standings import Standings
from loombench.vehicle.condition import Condition, Operation
from tests.diagnose.vehicles import LAMP, vehicle
from tests.reference.diagnosis.dictionary import TableTest


@pytest.fixture(scope="module")
def bench() -> Bench:
    return bench_for(vehicle(LAMP))


def places_of(bench: Bench) -> dict[int, tuple[str, ...]]:
    """For each group with a job the places of it."""
    found = {}
    for number, name in enumerate(bench.hypotheses.groups):
        try:
            found[number] = repair(bench, name).places
        except KeyError:
            continue
    return found


def test_one_suspect_costs_the_way_to_it_and_nothing_where_that_is_open(bench: Bench) -> None:
    places = places_of(bench)
    some = np.array(sorted(places))
    seconds = ending(bench, some)
    ways = [reaching_s(bench.vehicle, Situation(), *places[int(one)]) for one in some]
    assert [seconds(some[k : k + 1], np.ones(1), Situation()) for k in range(len(some))] == pytest.approx(ways)
    assert max(ways) > 0.0
    for one in some:
        assert seconds(np.array([one]), np.ones(1), Situation().at(*places[int(one)])) == 0.0


def test_suspects_that_nothing_parts_are_reached_one_after_the_other(bench: Bench) -> None:
    places = places_of(bench)
    one, other = next(
        (a, b) for a in places for b in places if a < b and places[a] and places[b] and set(places[a]) != set(places[b])
    )
    both = np.array([one, other])
    seconds = ending(bench, both)
    work = [repair(bench, bench.hypotheses.groups[group]).work_s for group in both]
    # So likely that it comes first, whatever it takes: the other is reached in one case of ten thousand.
    first_s = reaching_s(bench.vehicle, Situation(), *places[one])
    second_s = reaching_s(bench.vehicle, Situation().at(*places[one]), *places[other])
    assert 0.9999 / work[0] > 0.0001 / work[1]
    found = seconds(both, np.array([0.9999, 0.0001]), Situation())
    assert found == pytest.approx(first_s + 0.0001 * second_s)
    assert second_s > 0.0


def test_a_standing_forgets_what_has_been_done_and_keeps_what_is_open(bench: Bench) -> None:
    test = TableTest("t", (0, 1), 3.0, place="behind", reach=8.0)
    standings = Standings(bench, [test])
    start = standings.number(Situation())
    opened = standings.after(0, start)
    assert standings.number(Situation(done=frozenset({"other"}))) == start
    assert opened != start
    assert (standings.one_s(0, start), standings.one_s(0, opened)) == (11.0, 3.0)
    assert standings.least_s(start).tolist() == [3.0]
    moved = Situation(condition=Condition((Operation("set", "S4", "on"),)))
    assert standings.number(moved) not in (start, opened)
