"""What it takes to end a search from somewhere: to reach what is to be put right, from where one then stands.

Suspects that nothing parts are put right by probability per cost, which is the best order for independent repairs with
a look after each (p over C: Kadane and Simon, after arXiv 1203.3502). The work itself, and what is put right in vain
before it, is the same whatever was tested, as long as all that can be parted has been; so the outlook of a step leaves
it out. What is still to be opened for it is not the same.
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
    """Seconds to open what is still closed until the right one of these groups is put right; none for what no job is
    known for."""
    jobs = {int(group): _jobs(bench, int(group)) for group in groups}
    work_s = {group: sum(job.work_s for job in of) for group, of in jobs.items()}

    def seconds(left: IntArray, weight: FloatArray, situation: Situation) -> float:
        found, wrong = 0.0, 1.0
        for place in in_order(weight, [work_s[int(group)] for group in left]):
            waiting = (job for job in jobs[int(left[place])] if job.group not in situation.repaired)
            places = [place for job in waiting for place in job.places]
            found += wrong * reaching_s(bench.vehicle, situation, *places)
            situation, wrong = situation.at(*places), wrong - float(weight[place])
        return found

    return seconds


def in_order(weight: Sequence[float] | FloatArray, cost_s: Sequence[float]) -> tuple[int, ...]:
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
