"""Steps by their names: what a case's record says was done, as the step it was."""

import re

from loombench.diagnose.looking import CheckPosition, LookFuse, See
from loombench.diagnose.step import Step
from loombench.vehicle.condition import Condition, read_operation

_SEE = re.compile(r"see (?P<load>\S+) when (?P<condition>.+)")
_LOOK = re.compile(r"look at (?P<fuse>\S+) after (?P<condition>.+)")
_CHECK = re.compile(r"check position of (?P<control>\S+)")
MEND = "mend "


def read_step(name: str) -> Step | None:
    """The step without a meter that `Step.id` names; None where it names none. Names are not looked up."""
    if match := _SEE.fullmatch(name):
        condition = read_condition(match["condition"])
        return None if condition is None else See(match["load"], condition)
    if match := _LOOK.fullmatch(name):
        condition = read_condition(match["condition"])
        return None if condition is None else LookFuse(match["fuse"], condition)
    if match := _CHECK.fullmatch(name):
        return CheckPosition(match["control"])
    return None


def read_condition(text: str) -> Condition | None:
    """The condition that `str(condition)` spells."""
    if text == "at rest":
        return Condition()
    operations = [read_operation(part) for part in text.split(", ")]
    found = tuple(operation for operation in operations if operation is not None)
    return Condition(found) if len(found) == len(operations) else None
