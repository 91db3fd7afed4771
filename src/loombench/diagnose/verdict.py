"""When the search may stop, and what may then be said.

A fault is proven where it has been made to come and go (the complaint was seen on purpose, one thing was put right, the
complaint is gone), or where every other suspect has a reading that it does not survive, one reading at least shows the
fault itself, and none that fits nothing is left unquestioned. A blown fuse is a symptom: only a new one that holds
proves it. Where one reading speaks even against the one suspect that is left, or where others are out only because
their repair did not help, that suspect is named as not proven: its own repair has to show it. A share of belief,
however large, is no proof; but with a small one left to the others another reading is asked for.
"""

from dataclasses import dataclass, replace

import numpy as np

from loombench.diagnose.belief import Belief, against_leader, spoken_for
from loombench.diagnose.choose import NEGLIGIBLE, alone, surviving
from loombench.diagnose.doubt import ALL_BUT_PROVEN, doubted, symptom
from loombench.diagnose.hypothesis import SOUND, halves, paired
from loombench.diagnose.likelihood import sound_look
from loombench.diagnose.observation import LoadSeen
from loombench.diagnose.putright import put_right, still_wrong

SEARCHING, PROVEN, CURED, ONE_CLASS, NOTHING_EXPLAINS, NOT_REPRODUCED, NOT_BACK = (
    "searching", "proven", "cured", "one-class", "nothing-explains", "not-reproduced", "not-back",
)  # fmt: skip
DOUBT = 0.5
"""From this share on the case is said to fit nothing in the model."""


@dataclass(frozen=True)
class Verdict:
    """`state` is searching, proven, cured, one-class, nothing-explains, not-reproduced or, where a fault that comes and
    goes has not come back since one thing was put right, not-back.

    `groups` are the suspects it is about, likeliest first: one where proven or cured; those that no step offered parts
    where one-class; all that survive while searching. `odd` are the observations, by number, that speak against even
    the first of a class. `proven` is true for proven and cured only.
    """

    state: str
    groups: tuple[str, ...]
    odd: tuple[int, ...] = ()

    @property
    def proven(self) -> bool:
        """Whether the card may say so."""
        return self.state in (PROVEN, CURED)


def judge(belief: Belief, reproduced: bool | None, steps_left: bool, looks_owed: int = 0) -> Verdict:
    """The verdict. `reproduced`: whether the complaint was there when it was looked at on purpose, None before that;
    `steps_left`: a step is offered that tells something; `looks_owed`: good looks after the last repair that are still
    to be made where it comes and goes."""
    names = belief.hypotheses.groups
    groups = tuple(names[group] for group in surviving(belief) if belief.group_share[group] > NEGLIGIBLE)
    cured = cured_by(belief)
    if cured:
        if belief.bench.presence >= 1.0:
            return Verdict(CURED, (cured,))
        # It was away before without anything having been done.
        return Verdict(SEARCHING if looks_owed else NOT_BACK, (cured,))
    if reproduced is False:
        return Verdict(NOT_REPRODUCED, groups)
    if belief.unexplained > DOUBT and not spoken_for(belief):
        return Verdict(NOTHING_EXPLAINS, groups)
    odd = against_leader(belief)
    if reproduced and _settled(belief, groups):
        return Verdict(ONE_CLASS, groups, odd) if odd or _by_repair(belief) else Verdict(PROVEN, groups)
    if not steps_left:
        # Every suspect has a reading that it does not survive, and none is left that could speak for one again.
        return Verdict(ONE_CLASS, groups, odd) if groups else Verdict(NOTHING_EXPLAINS, ())
    return Verdict(SEARCHING, groups)


def _settled(belief: Belief, groups: tuple[str, ...]) -> bool:
    """Whether one suspect is left and nothing more is to be asked of it."""
    named = groups == (belief.hypotheses.groups[belief.best()],) and groups[0] != SOUND
    return named and alone(belief) and not symptom(belief) and doubted(belief, ALL_BUT_PROVEN) is None


def _by_repair(belief: Belief) -> bool:
    """Whether others are out for no other reason than that the complaint stayed when they were put right: what is then
    left over rests on the readings that made the choice so small, and on nothing of its own."""
    kept = [
        row
        for row, one in enumerate(belief.observations)
        if not (isinstance(one, LoadSeen) and one.verified and one.repaired)
    ]
    if len(kept) == len(belief.observations):
        return False
    before = replace(
        belief,
        observations=tuple(belief.observations[row] for row in kept),
        support=tuple(belief.support[row] for row in kept),
    )
    return sum(bool(before.group_share[group] > NEGLIGIBLE) for group in surviving(before)) > 1


def cured_by(belief: Belief) -> str:
    """The group whose repair put a load right that had been seen, on purpose and in the same state, not to be right;
    the pair of groups where both were put right and it is the best explanation. Empty where something else is seen not
    to be right after all that was put right: there is another fault then."""
    found = _come_and_gone(belief)
    if found and belief.bench.presence >= 1.0 and still_wrong(belief.bench, belief.observations):
        return ""
    best = belief.hypotheses.groups[belief.best()]
    both = found in halves(best) and set(put_right(belief.observations)).issuperset(halves(best))
    return best if both else found


def _come_and_gone(belief: Belief) -> str:
    """As `cured_by`, by what each repair changed alone: two where the one before changed how the load was wrong; none
    where the load was seen not to be right after it all the same, as where the fault comes and goes."""
    found = of = ""
    before: dict[tuple[str, str], tuple[str, tuple[str, ...]]] = {}
    helped: dict[tuple[str, str], str] = {}
    for one in belief.observations:
        if not isinstance(one, LoadSeen) or not one.verified:
            continue
        about = (one.load, str(one.condition))
        was = before.get(about)
        since = one.repaired[len(was[1]) :] if was else ()
        if one.seen != sound_look(belief.bench, one.load, one.condition):
            if was and len(since) == 1 and one.seen != was[0]:
                helped[about] = since[0]
            before[about] = (one.seen, one.repaired)
        elif len(since) == 1:
            of = one.load
            found = paired(helped[about], since[0]) if about in helped else since[0]
        elif len(since) == 2 and paired(*since) in belief.hypotheses.groups:
            # They were put right together: both may have been needed.
            found, of = since[-1], one.load
    return "" if belief.bench.presence < 1.0 and _back(belief, found, of) else found


def _back(belief: Belief, group: str, load: str) -> bool:
    """Whether a load was seen not to be right, on purpose and in whatever state, after a group was put right."""
    return any(
        isinstance(one, LoadSeen) and one.verified and one.load == load and halves(group)[-1] in one.repaired
        and one.seen != sound_look(belief.bench, load, one.condition)
        for one in belief.observations
    )  # fmt: skip


def ranking(belief: Belief) -> tuple[tuple[str, float], ...]:
    """The groups with their shares, largest first, without those next to nothing."""
    order = np.argsort(-belief.group_share, kind="stable")
    shares = ((belief.hypotheses.groups[group], float(belief.group_share[group])) for group in order)
    return tuple((name, share) for name, share in shares if share > NEGLIGIBLE)
