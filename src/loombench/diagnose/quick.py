"""Which hypotheses a step may be chosen without: those that are dear to forecast while few believe in them.

A table answers for nearly all hypotheses at once; the few under which the whole supply breaks down, or of which it is
open what a fuse does, are replayed one by one and take most of the time one would wait. What is read and seen is held
against them as against all others; only which step comes next does not hang on them, until they weigh more or nothing
else is left.
"""

import numpy as np
import numpy.typing as npt

from loombench.diagnose.belief import Belief
from loombench.diagnose.observation import FuseSeen, LoadSeen

FloatArray = npt.NDArray[np.float64]
FEW = 0.25
"""What is dear to forecast and together has no more than this part of the belief does not shape the choice."""


def quick(belief: Belief, share: FloatArray, repaired: tuple[str, ...]) -> FloatArray:
    """[hypotheses] the weights, 0 for those that are left out: dear in the state of the complaint, and few."""
    told = next((one for one in belief.observations if isinstance(one, LoadSeen | FuseSeen)), None)
    if told is None:
        return share
    dear = belief.bench.forecast.dear(told.condition)
    ends = belief.hypotheses.rows_after(repaired)
    explained = np.where(belief.hypotheses.unexplained, 0.0, share)
    left_out = dear[ends.low] | dear[ends.high]
    if explained[left_out].sum() > FEW * explained.sum():
        return share
    return np.where(left_out, 0.0, share)
