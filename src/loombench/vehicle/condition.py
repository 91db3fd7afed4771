"""The state a vehicle is put in, as the ordered operations from rest that lead there, and a measurement's set-up.

History decides (which relay pulled in first, which fuse blew), so a condition is a sequence and not a set of values.
Rest is: every control in its rest position, engine off, all plugged, nothing pulled, trailers unplugged, awake.

    S4=on   key=run   engine=run   unplug X12   plug X12   pull F12   insert F12   couple X50   wait 30s   supply 12.1V
"""

import re
from dataclasses import dataclass

from loombench.base.quantity import Quantity, read_quantity
from loombench.vehicle.points import Point

ENGINE = "engine"
ENGINE_STATES = ("off", "crank", "run")
METERS = (
    "voltmeter", "low-impedance", "test-lamp", "led-tester", "ohmmeter", "buzzer", "clamp", "min-max", "scope",
)  # fmt: skip


@dataclass(frozen=True)
class Operation:
    """One thing done: `verb` is set, unplug, plug, pull, insert, couple, uncouple, wait or supply.

    `target` is a control id or alias, `engine`, or a part (a plug of it as `A2.X3`); `value` is the position's name,
    or seconds for wait, or volts for supply, as text.
    """

    verb: str
    target: str = ""
    value: str = ""

    def __str__(self) -> str:
        if self.verb == "set":
            return f"{self.target}={self.value}"
        unit = {"wait": "s", "supply": "V"}.get(self.verb, "")
        return f"{self.verb} {self.target or self.value}{unit}"


@dataclass(frozen=True)
class Condition:
    """Operations in order, from rest."""

    operations: tuple[Operation, ...] = ()

    def then(self, *operations: Operation) -> "Condition":
        """This condition with more done after it."""
        return Condition(self.operations + operations)

    def __str__(self) -> str:
        return ", ".join(str(operation) for operation in self.operations) or "at rest"


@dataclass(frozen=True)
class Setup:
    """All that a reading depends on: the condition, where the leads are, which meter.

    `meter` is voltmeter, low-impedance, test-lamp, led-tester, ohmmeter, buzzer, clamp, min-max or scope. `red` and
    `black` are points; for the clamp `red` is a wire end (the jaw points away from it) and `black` is None. With
    `lead_ohm` in series. A supply given in the condition holds for this reading.
    """

    condition: Condition
    red: Point
    black: Point | None
    meter: str = "voltmeter"
    lead_ohm: float = 0.0

    def __str__(self) -> str:
        leads = f"{self.meter} {self.red}" + (f" to {self.black}" if self.black else "")
        return f"{leads}, {self.condition}"


_SET = re.compile(r"(?P<target>[^\s=]+)\s*=\s*(?P<value>[^\s=]+)")
_VERB = re.compile(r"(?P<verb>unplug|plug|pull|insert|couple|uncouple)\s+(?P<target>\S+)")
_AMOUNT = re.compile(r"(?P<verb>wait|supply)\s+(?P<value>.+)")


def read_operation(text: str) -> Operation | None:
    """The operation a text spells; None where it spells none. Names are not looked up here."""
    word = text.strip()
    if match := _VERB.fullmatch(word):
        return Operation(match["verb"], match["target"])
    if match := _AMOUNT.fullmatch(word):
        amount = read_quantity(match["value"])
        unit = {"wait": "s", "supply": "V"}[match["verb"]]
        if isinstance(amount, Quantity) and amount.value is not None and amount.unit == unit and amount.value >= 0:
            return Operation(match["verb"], "", f"{amount.value:g}")
        return None
    if match := _SET.fullmatch(word):
        return Operation("set", match["target"], match["value"])
    return None
