"""The state a vehicle is put in, as the ordered operations from rest that lead there, and a measurement's set-up.

History decides (which relay pulled in first, which fuse blew), so a condition is a sequence and not a set of values.
Rest is: every control in its rest position, engine off, all plugged, nothing pulled, trailers unplugged, awake.

    S4=on   key=run   engine=run   unplug X12   plug X12   pull F12   insert F12   couple X50   wait 30s   supply 12.1V

An aid is a thing put on the vehicle for a test. Wherever it stands among the operations it is there from rest, as it is
put on with the circuit switched off.

    limiter F12         a lamp in the socket in place of the fuse
    substitute E7       a lamp on the plug in place of the load
    ground E7.2         a lead from there to battery minus
    feed E7.1 10A       a lead from battery plus to there, with a fuse
    swap K3 with K4     two like relays changed over
    actuate A2.X1/14    an output of a module switched on with the scan tool
    release A2.X1/14    the wire of one pin out of a module's plug, which stays on
    wiggle X12          moved by hand, one spot
    heat X12   wet X12  warmed, or sprayed with water
"""

import re
from dataclasses import dataclass

from loombench.base.quantity import Quantity, read_quantity
from loombench.vehicle.points import Point

ENGINE = "engine"
ENGINE_STATES = ("off", "crank", "run")
METERS = (
    "voltmeter", "low-impedance", "test-lamp", "led-tester", "ohmmeter", "buzzer", "clamp", "min-max", "scope",
    "scan-tool", "millivoltmeter", "running-clamp",
)  # fmt: skip
SCAN_TOOL = "scan-tool"
RUNNING = "running-clamp"
CLAMPS = ("clamp", RUNNING)
"""Meters round the leads at one point: what flows in the end, and what flows while the circuit still works."""
PROVOKING = ("wiggle", "heat", "wet")
"""What may bring on what comes and goes."""
AIDS = ("limiter", "substitute", "ground", "feed", "swap", "actuate", "release", *PROVOKING)
VERBS = ("set", "unplug", "plug", "pull", "insert", "couple", "uncouple", "wait", "supply", *AIDS)


@dataclass(frozen=True)
class Operation:
    """One thing done: `verb` is one of `VERBS`.

    `target` is a control id or alias, `engine`, a part (a plug of it as `A2.X3`), for ground, feed, actuate and release
    a point; `value` is the position's name, or seconds for wait, volts for supply, ampere of the fuse for feed, or the
    other relay for swap, as text.
    """

    verb: str
    target: str = ""
    value: str = ""

    def __str__(self) -> str:
        if self.verb == "set":
            return f"{self.target}={self.value}"
        if self.verb == "swap":
            return f"swap {self.target} with {self.value}"
        if self.verb == "feed":
            return f"feed {self.target} {self.value}A"
        unit = {"wait": "s", "supply": "V"}.get(self.verb, "")
        return f"{self.verb} {self.target or self.value}{unit}"


@dataclass(frozen=True)
class Condition:
    """Operations in order, from rest."""

    operations: tuple[Operation, ...] = ()

    def then(self, *operations: Operation) -> "Condition":
        """This condition with more done after it."""
        return Condition(self.operations + operations)

    @property
    def aids(self) -> tuple[Operation, ...]:
        """What is put on for a test, in order."""
        return tuple(operation for operation in self.operations if operation.verb in AIDS)

    @property
    def plain(self) -> "Condition":
        """The same without aids."""
        return Condition(tuple(operation for operation in self.operations if operation.verb not in AIDS))

    @property
    def pause(self) -> tuple[Operation, ...]:
        """Where something is set, left for a stated time and then set otherwise: these operations, to the end.

        It is what lets a breaker cool, so it is done as it stands here, however the vehicle was set before.
        """
        done = self.operations
        for k, operation in enumerate(done[:-1]):
            later = (one.value for one in done[k + 1 :] if (one.verb, one.target) == ("set", operation.target))
            waits = operation.verb == "set" and done[k + 1].verb == "wait"
            if waits and any(value != operation.value for value in later):
                return done[k:]
        return ()

    def __str__(self) -> str:
        return ", ".join(str(operation) for operation in self.operations) or "at rest"


@dataclass(frozen=True)
class Setup:
    """All that a reading depends on: the condition, where the leads are, which meter.

    `meter` is one of `METERS`. `red` and `black` are points; for a clamp `red` is a wire end (the jaw points away
    from it) and for the scan tool a module's input, and `black` is None. With `lead_ohm` in series. A supply given in
    the condition holds for this reading.
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
_VERB = re.compile(
    r"(?P<verb>unplug|plug|pull|insert|couple|uncouple|limiter|substitute|ground|actuate|release|wiggle|heat|wet)\s+(?P<target>\S+)"
)
_SWAP = re.compile(r"swap\s+(?P<target>\S+)\s+with\s+(?P<value>\S+)")
_FEED = re.compile(r"feed\s+(?P<target>\S+)\s+(?P<value>\S+)")
_AMOUNT = re.compile(r"(?P<verb>wait|supply)\s+(?P<value>.+)")


def read_operation(text: str) -> Operation | None:
    """The operation a text spells; None where it spells none. Names are not looked up here."""
    word = text.strip()
    if match := _VERB.fullmatch(word):
        return Operation(match["verb"], match["target"])
    if match := _SWAP.fullmatch(word):
        return Operation("swap", match["target"], match["value"])
    if match := _FEED.fullmatch(word):
        return _amount("feed", match["target"], match["value"], "A")
    if match := _AMOUNT.fullmatch(word):
        return _amount(match["verb"], "", match["value"], {"wait": "s", "supply": "V"}[match["verb"]])
    if match := _SET.fullmatch(word):
        return Operation("set", match["target"], match["value"])
    return None


def _amount(verb: str, target: str, text: str, unit: str) -> Operation | None:
    amount = read_quantity(text)
    if isinstance(amount, Quantity) and amount.value is not None and amount.unit == unit and amount.value >= 0:
        return Operation(verb, target, f"{amount.value:g}")
    return None
