"""What it takes to end a search from somewhere: to put right what is found, from where one then stands.

Suspects that nothing parts are put right by probability per cost, which is the best order for independent repairs with
a look after each (p over C: Kadane and Simon, after arXiv 1203.3502). What that wastes is the same whatever was tested
before, as long as all that can be parted has been; so the outlook of a step leaves it out.
"""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from loombench.diagnose.bench import Bench
from loombench.diagnose.hypothesis import halves
from loombench.diagnose.repair import Repair, repair
from loombench.diagnose.rollout import Ending
from loombench.diagnose.situation import Situation, reaching_s

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.intp]


def ending(bench: Bench, groups: IntArray) -> Ending:
    """Seconds to put right the one of these groups that it is; none for what no job is known for."""
    jobs = {int(group): _jobs(bench, int(group)) for group in groups}

    def seconds(left: IntArray, weight: FloatArray, situation: Situation) -> float:
        return float(weight @ np.array([_cost(bench, jobs[int(group)], situation) for group in left]))

    return seconds


def in_order(weight: Sequence[float], cost_s: Sequence[float]) -> tuple[int, ...]:
    """The order, by place, to put suspects right in: probability per cost, the first of equals first."""
    return tuple(sorted(range(len(weight)), key=lambda one: -weight[one] / max(cost_s[one], 1e-9)))


def _jobs(bench: Bench, group: int) -> tuple[Repair, ...]:
    """The jobs of a group's halves; what nothing is known to be done for has none."""
    found: list[Repair] = []
    for name in halves(bench.hypotheses.groups[group]):
        try:
            found.append(repair(bench, name))
        except KeyError:
            continue
    return tuple(found)


def _cost(bench: Bench, jobs: tuple[Repair, ...], situation: Situation) -> float:
    left = [job for job in jobs if job.group not in situation.repaired]
    places = [place for job in left for place in job.places]
    return sum(job.work_s for job in left) + (reaching_s(bench.vehicle, situation, *places) if left else 0.0)
