"""Choice on chains with a table as forecast. Reference: an open in a chain of n links, uniform, unit cost: with perfect
probes the best plan needs log2 n probes (4 for 16) against (n-1)(n+2)/(2n) for the walk from the power side."""

import numpy as np
import pytest

from loombench.circuit.fault import Fault
from loombench.diagnose.belief import Belief, update
from loombench.diagnose.bench import Bench
from loombench.diagnose.choose import alone, choose, information, question, surviving, touched
from loombench.diagnose.expected import expected
from loombench.diagnose.hypothesis import SOUND, UNEXPLAINED, Hypotheses, Hypothesis
from loombench.diagnose.looking import Mend, See
from loombench.diagnose.measuring import Measure, cuts
from loombench.diagnose.observation import FuseSeen, LoadSeen, MeterRead
from loombench.diagnose.situation import Situation
from loombench.diagnose.step import Step
from loombench.diagnose.verdict import Verdict, judge
from loombench.vehicle.nets import nets
from tests.diagnose.fakes import ON, Table, at, bare_vehicle, chain


def probes(n: int) -> list[Step]:
    return [Measure(at(f"P{k}"), drop=True) for k in range(1, n)]


def test_the_complaint_is_verified_before_anything_else() -> None:
    belief = update(Belief(chain(8)), [LoadSeen("E1", "dead", ON)])
    steps = [*probes(8), See("E1", ON, True)]
    choice = choose(belief, Situation(), steps)
    assert (choice.reason, choice.step) == ("verify", steps[-1])


def test_a_uniform_chain_is_halved() -> None:
    belief = update(Belief(chain(8)), [LoadSeen("E1", "dead", ON, True)])
    choice = choose(belief, Situation(), probes(8))
    assert choice.step is not None
    assert choice.step.id.startswith("volts P4 ")


@pytest.mark.parametrize(("n", "best", "walk"), [(8, 3.0, 4.375), (16, 4.0, 8.4375)])
def test_finding_a_link_takes_about_the_fewest_probes(n: int, best: float, walk: float) -> None:
    taken = []
    for truth in range(n):
        belief = update(Belief(chain(n)), [LoadSeen("E1", "dead", ON, True)])
        situation, count = Situation(), 0
        while belief.group_share[belief.best()] < 0.9:
            choice = choose(belief, situation, probes(n))
            assert isinstance(choice.step, Measure)
            k = int(choice.step.setup.red.part.removeprefix("P"))
            belief = update(belief, [choice.step.observe(situation, 0.0 if truth < k else 12.0)])
            situation = choice.step.after(belief.bench, situation)
            count += 1
        assert belief.hypotheses.groups[belief.best()] == f"L{truth}"
        taken.append(count)
    assert best <= np.mean(taken) <= best * 1.1 < walk


def test_a_leader_that_no_reading_has_shown_yet_is_confirmed_by_the_one_that_shows_it() -> None:
    belief = update(Belief(chain(6, [0.2, 0.2, 0.2, 60.0, 0.2, 0.2])), [LoadSeen("E1", "dead", ON, True)])
    assert len(surviving(belief)) == 6
    share, reason = question(belief)
    assert reason == "confirm"
    assert share.sum() == pytest.approx(1.0)
    steps = [*probes(6), *(Measure(at(f"D{k}"), drop=True) for k in range(6))]
    # The drop over the suspect itself is the one reading that speaks against all others at once.
    choice = choose(belief, Situation(), steps)
    assert choice.step == Measure(at("D3"), drop=True)
    belief = update(belief, [choice.step.observe(Situation(), 12.1)])
    assert [belief.hypotheses.groups[group] for group in surviving(belief)] == ["L3"]


def test_readings_at_both_ends_of_a_link_leave_no_other_suspect() -> None:
    belief = update(
        Belief(chain(6)), [LoadSeen("E1", "dead", ON, True), MeterRead(at("P3"), 12.0), MeterRead(at("P4"), 0.0)]
    )
    assert [belief.hypotheses.groups[group] for group in surviving(belief)] == ["L3"]
    assert touched(belief)


def test_information_is_that_of_the_partition() -> None:
    bench = chain(4)
    belief = update(Belief(bench), [LoadSeen("E1", "dead", ON, True)])
    step = Measure(at("P2"))
    outcomes = step.outcomes(bench, belief.share, Situation())
    # Half against half, each reading wrong in 2 of 100 and then even over 18 V: close to ln 2.
    assert information(belief, belief.share, outcomes) == pytest.approx(np.log(2.0), rel=0.12)
    np.testing.assert_allclose(outcomes.table.sum(axis=1), 1.0, atol=1e-9)


def test_values_that_cannot_be_told_apart_are_not_cut_apart() -> None:
    bench = chain(4)
    wanted = expected(bench, (at("P2"),), ())
    assert cuts(wanted, np.ones(6, dtype=np.bool_)).tolist() == [6.0]


def test_nothing_left_is_said() -> None:
    belief = update(Belief(chain(4)), [LoadSeen("E1", "dead", ON, True)])
    assert choose(belief, Situation(), []).reason == "nothing-left"


def fused() -> Bench:
    """A blown fuse, or an open wire behind it: without the fuse `F1.out` reads nothing."""
    rows = ((), (Fault("blown", "F1"),), (Fault("open", "L1"),))
    members = (
        Hypothesis("F1", rows[1][0], 1, 1, 1.0),
        Hypothesis("L1", rows[2][0], 2, 2, 1.0),
        Hypothesis(SOUND, None, 0, 0, 0.02),
        Hypothesis(UNEXPLAINED, None, 0, 0, 0.02),
    )
    table = Table({"F1.out": [12.0, 0.0, 12.0]}, {"E1": [1.0, 0.0, 0.0]}, {"F1": [0.0, 1.0, 0.0]})
    vehicle = bare_vehicle()
    return Bench(vehicle, nets(vehicle), Hypotheses(members, rows), table)


def test_a_blown_fuse_is_not_proven_by_readings_but_tried() -> None:
    known = [LoadSeen("E1", "dead", ON, True), MeterRead(at("F1.out"), 0.0), FuseSeen("F1", True, ON)]
    belief = update(Belief(fused()), known)
    new = Mend("F1", (), "E1", ON, 60.0)
    assert alone(belief)
    assert judge(belief, True, True).state == "searching"
    assert choose(belief, Situation(), [new]).step == new
    holds = update(belief, [LoadSeen("E1", "works", ON, True, ("F1",))])
    assert judge(holds, True, True) == Verdict("cured", ("F1",))


def test_where_a_new_fuse_blows_too_and_nothing_else_fits_that_is_said() -> None:
    known = [LoadSeen("E1", "dead", ON, True), MeterRead(at("F1.out"), 0.0), FuseSeen("F1", True, ON)]
    again = update(Belief(fused()), [*known, LoadSeen("E1", "dead", ON, True, ("F1",))])
    assert not surviving(again)
    assert judge(again, True, False) == Verdict("nothing-explains", ())
