"""Steps by their names: what a case's record says was done, as the step it was."""

import re

from loombench.diagnose.looking import CheckPosition, LookFuse, See
from loombench.diagnose.step import Step
from loombench.diagnose.touching import FeelGrip, ReadInput
from loombench.vehicle.condition import Condition, read_operation
from loombench.vehicle.points import read_point

_SEE = re.compile(r"see (?P<load>\S+) when (?P<condition>.+)")
_LOOK = re.compile(r"look at (?P<fuse>\S+) after (?P<condition>.+)")
_GRIP = re.compile(r"grip of (?P<group>contact (?P<point>\S+))")
_INPUT = re.compile(r"input (?P<part>[^\s.]+)\.(?P<pin>\S+) when (?P<condition>.+)")
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
    if match := _GRIP.fullmatch(name):
        point = read_point(match["point"])
        return None if point is None else FeelGrip(match["group"], point)
    if match := _INPUT.fullmatch(name):
        condition = read_condition(match["condition"])
        return None if condition is None else ReadInput(match["part"], match["pin"], condition)
    return None


def read_condition(text: str) -> Condition | None:
    """The condition that `str(condition)` spells."""
    if text == "at rest":
        return Condition()
    operations = [read_operation(part) for part in text.split(", ")]
    found = tuple(operation for operation in operations if operation is not None)
    return Condition(found) if len(found) == len(operations) else None
