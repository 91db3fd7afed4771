"""Which observations each hypothesis changes: what it would show otherwise than the sound vehicle does.

A likelihood does not tell this. To a reading of 0 V where 12 V should be, what leaves 6 V there is as bad an
explanation as what changes nothing; but of two faults at once it may be the one half.
"""

from dataclasses import replace

import numpy as np
import numpy.typing as npt

from loombench.diagnose.belief import Belief
from loombench.diagnose.bench import FEW, Bench
from loombench.diagnose.excerpt import excerpt
from loombench.diagnose.expected import expected
from loombench.diagnose.likelihood import input_table, load_table, log_wrong
from loombench.diagnose.observation import InputSeen, LoadSeen, MeterRead, Observation

FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]

CHANGES = 0.05
"""A look is changed where the chance of any word for it is another by so much, or its likelihood by so many nats."""


def changes(belief: Belief) -> BoolArray:
    """[observations, hypotheses] True where a hypothesis would show something else than the sound vehicle.

    Of a few hypotheses all are asked of every observation; of many those that were weighed by it, since a state that
    nobody has computed for all is dear.
    """
    every = len(belief.hypotheses.members) <= FEW
    bench = replace(belief.bench, supply=None)
    rows = []
    for observation, support in zip(belief.observations, belief.support, strict=True):
        used = None if every else support != log_wrong(observation, belief.bench)
        some = excerpt(bench, used)
        found = _differs(observation, some.bench)
        rows.append(
            _differs_in(support, belief.bench) if found is None else some.over(found.astype(np.float64), 0.0) > 0.0
        )
    return np.array(rows, dtype=np.bool_).reshape(len(rows), len(belief.hypotheses.members))


def _differs(observation: Observation, bench: Bench) -> BoolArray | None:
    """[hypotheses] whether each shows something else; None where the likelihood tells as much."""
    sound = bench.hypotheses.sound
    match observation:
        case MeterRead():
            wanted = expected(bench, (observation.setup,), observation.repaired)
            low, high, error = wanted.low[:, 0], wanted.high[:, 0], wanted.error[:, 0]
            apart = np.maximum(np.abs(low - low[sound]), np.abs(high - high[sound])) > error
            return np.asarray(apart | wanted.anything[:, 0])
        case LoadSeen():
            return _words(load_table(bench, observation), sound)
        case InputSeen():
            return _words(input_table(bench, observation), sound)
    return None


def _words(chance: FloatArray, sound: int) -> BoolArray:
    return np.asarray((np.abs(chance - chance[sound]) > CHANGES).any(axis=1))


def _differs_in(support: FloatArray, bench: Bench) -> BoolArray:
    """What has two answers is changed where one of them is likelier or less likely."""
    return np.asarray(np.abs(support - support[bench.hypotheses.sound]) > CHANGES)
