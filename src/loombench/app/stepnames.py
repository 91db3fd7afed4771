"""Steps by the names a record keeps them under, in words."""

import re

from loombench.app.stepwords import short
from loombench.base.wording import Catalogue
from loombench.diagnose.stepname import MEND, read_step

_MEASURED = re.compile(
    r"(?P<what>volts|ohms|amps at|millivolts) (?P<red>\S+)(?: to (?P<black>\S+))? when (?P<condition>.+)"
)


def step_text(name: str, words: Catalogue) -> str:
    """The step that `Step.id` names; the name itself where it is none that is known here."""
    step = read_step(name)
    if step is not None:
        return short(step, words)
    if name.startswith(MEND):
        return words.say("short.mend", what=name.removeprefix(MEND))
    match = _MEASURED.fullmatch(name)
    if match is None:
        return name
    what = words.say(f"short.{match['what'].replace(' ', '-')}")
    key = "short.read-between" if match["black"] else "short.read"
    return words.say(key, what=what, red=match["red"], black=match["black"], condition=match["condition"])
