"""What may have brought a suspect about: keys of the catalogue (`cause.KEY`), each saying what to look for."""

from collections.abc import Mapping
from types import MappingProxyType

from loombench.circuit.fault import Fault
from loombench.diagnose.bench import Bench
from loombench.diagnose.suspect import kind_of, part_of
from loombench.vehicle.model import Vehicle

BY_MODE: Mapping[str, str] = MappingProxyType(
    {"blown": "blown", "wrong": "wrong", "weak": "weak", "swapped": "swapped"}
)
BY_KIND: Mapping[str, str] = MappingProxyType(
    {
        "undrawn": "control",
        "insulation-live": "insulation",
        "insulation-pair": "insulation",
        "relay-coil": "relay",
        "relay-contact": "relay",
    }
)
KNOWN = ("wire", "contact", "blade", "ring", "splice", "strap", "insulation", "cavity", "relay", "switch", "control",
         "lamp", "motor", "module")  # fmt: skip


def cause(vehicle: Vehicle, fault: Fault) -> str:
    """The key of what brings a fault about."""
    if fault.mode in BY_MODE:
        return BY_MODE[fault.mode]
    what = kind_of(vehicle, fault)
    key = BY_KIND.get(what, what)
    part = part_of(vehicle, fault)
    whole = part.kind if part is not None else ""
    return key if key in KNOWN else whole if whole in KNOWN else "part"


def causes(bench: Bench, group: str) -> tuple[str, ...]:
    """The keys of what brings the faults of a group about, each once, in the order of the catalogue.

    Raises:
        KeyError: there is no such group, or it is none that can be repaired.
    """
    faults = [one.fault for one in bench.hypotheses.members if one.group == group and one.fault is not None]
    if not faults:
        raise KeyError(group)
    return tuple(dict.fromkeys(cause(bench.vehicle, fault) for fault in faults))
