"""A complaint as something observed, and the load it is about by the name the forecast knows it by."""

from types import MappingProxyType

from loombench.diagnose.forecast import Sights
from loombench.diagnose.observation import DEAD, DIM, WORKS, FuseSeen, LoadSeen, Observation
from loombench.evidence.complaint import Complaint

LOOKS = MappingProxyType({"dead": DEAD, "dim": DIM, "slow": DIM, "works": WORKS, "always-on": WORKS})


def load_named(sights: Sights, target: str) -> str:
    """The load a person means by `E7`, `M5` or `M5.53-31`: of a part with several the one that does most when sound.

    The target itself where the forecast knows none of it.
    """
    if target in sights.loads:
        return target
    inside = [number for number, name in enumerate(sights.loads) if name.startswith(f"{target}.")]
    if not inside:
        return target
    return sights.loads[max(inside, key=lambda number: (abs(sights.share[0, number]), -number))]


def observed(complaint: Complaint, sights: Sights, verified: bool, repaired: tuple[str, ...] = ()) -> Observation:
    """What a complaint says was seen; `sights` are those of its condition."""
    if complaint.symptom == "blows-fuse":
        return FuseSeen(complaint.target, True, complaint.condition, repaired)
    load = load_named(sights, complaint.target)
    return LoadSeen(load, LOOKS[complaint.symptom], complaint.condition, verified, repaired)
