"""The plain values a finding session shows: a step card, suspects, a verdict. Surfaces print them and add nothing."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Meaning:
    """One band of answers. `mark` is good, bad or between, or the word to answer with; for a number `low` and `high`
    bound it (None = open). `text` says what it is, `suspects` name what would then be likeliest, likeliest first."""

    mark: str
    text: str
    low: float | None
    high: float | None
    suspects: tuple[str, ...]


@dataclass(frozen=True)
class StepCard:
    """One action. The cautions are shown before it.

    `unit` is V or ohm where a number is asked for, empty where one of `choices` is. `place` with `reach` says where and
    how to get there; `settings` what to set, in order, each as typed (`S4=on`); `red`, `black` name the points and
    `red_side`, `black_side` which side of the contact; `plugged` whether everything stays plugged. `nominal` is what a
    sound vehicle would show. `then` are the two steps likely to come after, in short.
    """

    id: str
    kind: str
    cautions: tuple[str, ...]
    action: str
    place: str
    reach: str
    settings: tuple[str, ...]
    red: str
    red_side: str
    black: str
    black_side: str
    plugged: bool
    unit: str
    choices: tuple[str, ...]
    nominal: float | None
    meanings: tuple[Meaning, ...]
    why: str
    cost_s: float
    then: tuple[str, ...]


@dataclass(frozen=True)
class Suspect:
    """Something that may be wrong. `group` is its name in the model, `share` its part of the belief (on demand),
    `against` how many readings speak against it, `survives` whether it is still in the running."""

    group: str
    text: str
    share: float
    against: int
    survives: bool


@dataclass(frozen=True)
class VerdictCard:
    """What may be said now. `state` as in `diagnose.verdict`; `groups` and `suspects` name what it is about; `job` is
    the repair proposed for the first of them with its `cautions`, and `retest` what is to be seen again after it;
    `odd` what was observed and speaks against even the first suspect."""

    state: str
    proven: bool
    text: str
    groups: tuple[str, ...]
    suspects: tuple[str, ...]
    job: str
    cautions: tuple[str, ...]
    retest: tuple[str, ...]
    odd: tuple[str, ...] = ()
