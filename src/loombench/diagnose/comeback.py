"""How often a complaint that comes and goes has to be seen to be right after a repair before that says anything.

One good look after a repair is what one sees at most looks anyway. If the fault were still there it would have shown
itself once in n looks with probability 1 - (1 - q)^n, q being the share of looks at which it is there; n is taken so
that this is `SURE` at least: n = ln(1 - SURE) / ln(1 - q). The first of the looks are made with the spot put right
moved, warmed or wetted as the complaint has it; of something wrong elsewhere these tell what the others tell.
"""

import math
from collections.abc import Sequence

from loombench.diagnose.bench import Bench
from loombench.diagnose.expected import tolerance
from loombench.diagnose.likelihood import sound_look
from loombench.diagnose.looking import See
from loombench.diagnose.observation import LoadSeen, Observation
from loombench.diagnose.presence import often
from loombench.diagnose.safety import allowed
from loombench.diagnose.suspect import CONTACT, point_of
from loombench.vehicle.condition import PROVOKING, Condition, Operation

SURE = 0.95
"""A fault that is still there would have shown itself with this probability."""
AS_USUAL = 2.0
"""So many looks is the usual share worth, beside those at which the complaint was or was not there."""


def looks_for(share: float) -> int:
    """Looks until what is there at this share of them has shown itself with `SURE`."""
    return math.ceil(math.log(1.0 - SURE) / math.log(1.0 - share) - 1e-9)


def looks_owed(
    bench: Bench, observations: Sequence[Observation], repaired: tuple[str, ...], load: str, condition: Condition
) -> int:  # fmt: skip
    """Good looks that are still to be made after the last repair; none where it has been seen not to be right since."""
    seen = _looks(observations, load, condition)
    right = sound_look(bench, load, condition)
    since = [one for one in seen if one.repaired == repaired]
    if not repaired or any(one.seen != right for one in since):
        return 0
    before = [one for one in seen if one.repaired != repaired]
    there = sum(one.seen != right for one in before)
    share = (there + AS_USUAL * often()) / (len(before) + AS_USUAL)
    # Seen to be there at the first look says little of how often it is.
    return max(looks_for(min(share, often())) - len(since), 0)


def next_look(
    bench: Bench, observations: Sequence[Observation], repaired: tuple[str, ...], load: str, condition: Condition
) -> See:  # fmt: skip
    """The next of these looks: with the spot put right moved as long as that was not done often enough."""
    moved = [one for one in _looks(observations, load, condition) if one.repaired == repaired]
    provoked = sum(one.condition != condition for one in moved)
    spot = _spot(bench, repaired[-1])
    brought_on = See(load, Condition((Operation(bench.provoked_by, spot), *condition.operations)))
    if spot and provoked < looks_for(tolerance("provoked").value) and allowed(bench, brought_on):
        return brought_on
    return See(load, condition)


def _looks(observations: Sequence[Observation], load: str, condition: Condition) -> list[LoadSeen]:
    """Looks on purpose at a load in a state, whatever spot was moved meanwhile."""
    return [
        one
        for one in observations
        if isinstance(one, LoadSeen) and one.verified and one.load == load and _still(one.condition) == condition
    ]


def _still(condition: Condition) -> Condition:
    return Condition(tuple(one for one in condition.operations if one.verb not in PROVOKING))


def _spot(bench: Bench, group: str) -> str:
    """Where a joint or wire is moved; empty for anything else."""
    for fault in bench.hypotheses.faults_of(group):
        if fault.target.startswith(CONTACT):
            point = point_of(fault)
            return point.part if point is not None else ""
        if fault.target in bench.vehicle.wire_by_id:
            return fault.target
    return ""
