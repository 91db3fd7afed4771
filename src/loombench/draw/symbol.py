"""The symbol of a part: which of the drawings of `draw.symbols` a kind gets."""

from collections.abc import Callable, Mapping
from types import MappingProxyType

from loombench.draw.shapes import Symbol, Wanted
from loombench.draw.symbols.boxed import boxed
from loombench.draw.symbols.cable import cable
from loombench.draw.symbols.carrier import carrier
from loombench.draw.symbols.metal import body, splice, stud
from loombench.draw.symbols.module import module
from loombench.draw.symbols.plugs import connector, socket
from loombench.draw.symbols.relay import flasher, relay, timer
from loombench.draw.symbols.switch import switch
from loombench.draw.symbols.twopole import two_pole
from loombench.draw.symbols.unit import alternator, bus_node, converter, sensor, unit
from loombench.vehicle.model import Part

Drawing = Callable[[Part, Wanted], Symbol]

PLAIN_WANTED = Wanted()


def _two_pole(part: Part, wanted: Wanted) -> Symbol:
    return two_pole(part, wanted) if len(part.pins) == 2 and len(part.elements) == 1 else boxed(part, wanted)


def _sensor(part: Part, wanted: Wanted) -> Symbol:
    return sensor(part, wanted) if len(part.pins) == 3 else _two_pole(part, wanted)


SYMBOLS: Mapping[str, Drawing] = MappingProxyType(
    {
        "battery": _two_pole, "fuse": _two_pole, "fuselink": _two_pole, "breaker": _two_pole, "lamp": _two_pole,
        "led": _two_pole, "motor": _two_pole, "heater": _two_pole, "solenoid": _two_pole, "horn": _two_pole,
        "resistor": _two_pole, "diode": _two_pole, "cutout": _two_pole, "terminator": _two_pole, "generic": _two_pole,
        "sensor": _sensor, "switch": switch, "relay": relay, "timer": timer, "flasher": flasher, "unit": unit,
        "converter": converter, "alternator": alternator, "bus-node": bus_node,
        "splice": splice, "stud": stud, "body": body, "strap": _two_pole, "connector": connector, "socket": socket,
        "plug": socket, "carrier": carrier, "cable": cable, "module": module,
    }
)  # fmt: skip
"""The drawing of each kind of part."""


def symbol_of(part: Part, wanted: Wanted = PLAIN_WANTED) -> Symbol:
    """The symbol of a part, drawn in the state and with the pins that are wanted."""
    return SYMBOLS[part.kind](part, wanted)
