"""Which function lowers which kind: inner elements by their kind, housings (contacts and metal) by the part's."""

from collections.abc import Callable, Mapping
from types import MappingProxyType

from loombench.circuit.lowering.builder import Builder
from loombench.circuit.lowering.loads import (
    lower_conductor,
    lower_diode,
    lower_generic,
    lower_heater,
    lower_lamp,
    lower_led,
    lower_motor,
    lower_plain,
    lower_sensor,
)
from loombench.circuit.lowering.protection import lower_breaker, lower_cutout, lower_fuse
from loombench.circuit.lowering.relays import lower_coil, lower_relay_contact
from loombench.circuit.lowering.sources import lower_alternator, lower_battery, lower_converter
from loombench.circuit.lowering.timed import lower_flasher, lower_timer
from loombench.circuit.lowering.wiring import (
    lower_connector,
    lower_contacts,
    lower_point,
    lower_strap,
    lower_stud,
    lower_terminals,
)
from loombench.vehicle.model import Inner, Part

InnerLaw = Callable[[Builder, Part, Inner], None]
Housing = Callable[[Builder, Part], None]

INNER_LAWS: Mapping[str, InnerLaw] = MappingProxyType(
    {
        "battery": lower_battery,
        "alternator": lower_alternator,
        "converter": lower_converter,
        "fuse": lower_fuse,
        "fuselink": lower_fuse,
        "breaker": lower_breaker,
        "cutout": lower_cutout,
        "relay-coil": lower_coil,
        "relay-contact": lower_relay_contact,
        "lamp": lower_lamp,
        "led": lower_led,
        "motor": lower_motor,
        "heater": lower_heater,
        "solenoid": lower_heater,
        "horn": lower_heater,
        "resistor": lower_heater,
        "diode": lower_diode,
        "sensor": lower_sensor,
        "terminator": lower_plain,
        "bus-node": lower_plain,
        "conductor": lower_conductor,
        "flasher": lower_flasher,
        "timer": lower_timer,
        "generic": lower_generic,
    }
)
"""By `Inner.kind`; a relay's are its coil and contacts."""

HOUSINGS: Mapping[str, Housing] = MappingProxyType(
    {
        "connector": lower_connector,
        "splice": lower_point,
        "body": lower_point,
        "stud": lower_stud,
        "strap": lower_strap,
        "socket": lower_terminals,
        "plug": lower_terminals,
        "cable": lower_terminals,
        "carrier": lower_contacts,
        "switch": lower_contacts,
        "unit": lower_contacts,
        "module": lower_contacts,
        "relay": lower_contacts,
    }
    | {kind: lower_contacts for kind in INNER_LAWS if kind not in ("relay-coil", "relay-contact", "conductor")}
)
"""By `Part.kind`: how its pins meet the wires. A strap's conductor is part of its housing."""
