"""What it takes to end a search from somewhere: one suspect put right, or one after the other until it is cured.

Where several are left that nothing parts, they are put right by probability per cost, which is the best order for
independent repairs with a look after each (p over C: Kadane and Simon, after arXiv 1203.3502). A good part replaced
costs its work, and the part and the trust besides.
"""

import numpy as np
import numpy.typing as npt

from loombench.diagnose.bench import Bench
from loombench.diagnose.repair import repair
from loombench.diagnose.rollout import Ending
from loombench.diagnose.situation import Situation, cost_of, reaching_s

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.intp]


def ending(bench: Bench, groups: IntArray) -> Ending:
    """Seconds to put right some of these groups; those that no job is known for, and group -1, take none."""
    jobs = {int(group): _job(bench, int(group)) for group in groups}
    wasted = cost_of("wrong-part")

    def seconds(left: IntArray, weight: FloatArray, situation: Situation) -> float:
        cost = np.array([_cost(bench, jobs[int(group)], situation) for group in left])
        return in_order(weight, cost, wasted if cost.any() else 0.0)

    return seconds


def in_order(weight: FloatArray, cost_s: FloatArray, wasted_s: float) -> float:
    """Expected seconds of repairs in order of probability per cost; each in vain wastes something more."""
    order = np.argsort(-weight / np.maximum(cost_s + wasted_s, 1e-9), kind="stable")
    still, total = 1.0, 0.0
    for one in order:
        total += still * float(cost_s[one])
        still -= float(weight[one])
        total += max(still, 0.0) * wasted_s
    return total


def _job(bench: Bench, group: int) -> tuple[str, float, tuple[str, ...]]:
    if group < 0:
        return "", 0.0, ()
    name = bench.hypotheses.groups[group]
    try:
        job = repair(bench, name)
    except KeyError:
        return name, 0.0, ()
    return name, job.work_s, job.places


def _cost(bench: Bench, job: tuple[str, float, tuple[str, ...]], situation: Situation) -> float:
    name, work_s, places = job
    return 0.0 if name in situation.repaired else work_s + reaching_s(bench.vehicle, situation, *places)
