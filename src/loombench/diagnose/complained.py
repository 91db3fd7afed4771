"""A complaint as something observed, and the load it is about by the name the forecast knows it by."""

from collections.abc import Sequence
from types import MappingProxyType

import numpy as np

from loombench.diagnose.bench import Bench
from loombench.diagnose.forecast import Forecast, Sights
from loombench.diagnose.observation import (
    ASTRAY,
    AT_ONCE,
    BACKWARDS,
    CUTS_OUT,
    DEAD,
    DIM,
    GLOWS,
    LATER,
    LIT,
    PULSING,
    QUICK,
    STEADY,
    WORKS,
    BatteryFlat,
    FuseSeen,
    LoadSeen,
    Observation,
    Told,
)
from loombench.evidence.complaint import FUSE_SYMPTOMS, Complaint
from loombench.vehicle.condition import Condition

LOOKS = MappingProxyType(
    {
        "dead": DEAD, "dim": DIM, "slow": DIM, "works": WORKS, "always-on": WORKS, "glows": GLOWS, "joins-in": LIT,
        "pulsing": PULSING, "quick": QUICK, "steady": STEADY, "backwards": BACKWARDS, "wrong-place": ASTRAY,
        "cuts-out": CUTS_OUT,
        "one-way": DEAD,
    }
)  # fmt: skip
"""The look that each complaint about a load tells of, in the state it is about."""
SOON = MappingProxyType({"blows-at-once": AT_ONCE, "blows-later": LATER})
OTHER_LOOKS = MappingProxyType({look: symptom for symptom, look in reversed(tuple(LOOKS.items()))})
"""The complaint that tells of a look."""


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


def observed(bench: Bench, complaint: Complaint, repaired: tuple[str, ...] = ()) -> Observation:
    """What a complaint tells: a load's look, how a fuse blows, a flat battery; nothing where it asks for a look."""
    condition = complaint.condition
    if complaint.symptom in FUSE_SYMPTOMS:
        return FuseSeen(complaint.target, True, condition, repaired, SOON.get(complaint.symptom, ""), True)
    if complaint.symptom == "flat":
        return BatteryFlat(complaint.target, condition, repaired)
    if complaint.symptom == "in-doubt":
        return Told(repaired=repaired)
    load = load_named(sound_sights(bench.forecast, condition), complaint.target)
    return LoadSeen(load, LOOKS[complaint.symptom], condition, False, repaired)
