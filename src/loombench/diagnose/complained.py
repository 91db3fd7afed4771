"""A complaint as something observed, and the load it is about by the name the forecast knows it by."""

from collections.abc import Sequence
from types import MappingProxyType

import numpy as np

from loombench.diagnose.forecast import Forecast, Sights
from loombench.diagnose.observation import DEAD, DIM, WORKS, FuseSeen, LoadSeen, Observation
from loombench.evidence.complaint import Complaint
from loombench.vehicle.condition import Condition

LOOKS = MappingProxyType({"dead": DEAD, "dim": DIM, "slow": DIM, "works": WORKS, "always-on": WORKS, "glows": DIM})


def sound_sights(forecast: Forecast, condition: Condition) -> Sights:
    """What is seen in the sound vehicle: only row 0 need be right."""
    return forecast.sights(condition, np.zeros(1, dtype=np.intp))


def busiest(sights: Sights, names: Sequence[str]) -> str:
    """Of some loads the one that does most in the sound vehicle, the first of equals; empty where none is known."""
    known = [name for name in names if name in sights.loads]
    return max(known, key=lambda name: abs(float(sights.share[0, sights.loads.index(name)])), default="")


def load_named(sights: Sights, target: str) -> str:
    """The load a person means by `E7`, `M5` or `M5.53-31`: of a part with several the one that does most when sound.

    The target itself where the forecast knows none of it.
    """
    if target in sights.loads:
        return target
    inside = [name for name in sights.loads if name.startswith(f"{target}.")]
    return busiest(sights, inside) or target


def observed(complaint: Complaint, sights: Sights, verified: bool, repaired: tuple[str, ...] = ()) -> Observation:
    """What a complaint says was seen; `sights` are those of its condition."""
    if complaint.symptom == "blows-fuse":
        return FuseSeen(complaint.target, True, complaint.condition, repaired)
    load = load_named(sights, complaint.target)
    return LoadSeen(load, LOOKS[complaint.symptom], complaint.condition, verified, repaired)
