"""What to do about a suspect: the job, what it takes, where it is, and what must be asked before it."""

from dataclasses import dataclass

from loombench.circuit.fault import Fault
from loombench.diagnose.bench import Bench
from loombench.diagnose.place import suspect_places
from loombench.diagnose.safety import group_allowed
from loombench.diagnose.situation import cost_of
from loombench.diagnose.suspect import JOINING, kind_of, other_point, part_of, point_of, stretch

FUSES = ("fuse", "fuselink", "breaker")
BETWEEN = "|"
"""Between the positions of a control that may be the one it is in; no position's name has it."""


@dataclass(frozen=True)
class Repair:
    """One job. `key` names its sentence in the catalogue (`repair.KEY`), `facts` what the sentence needs.

    `allowed` is False where only the maker's procedure counts. `cause_first` is True where the thing has probably been
    destroyed by something else, which is to be found before it is renewed.
    """

    group: str
    key: str
    facts: tuple[tuple[str, str], ...]
    places: tuple[str, ...]
    work_s: float
    part: str
    allowed: bool
    cause_first: bool = False


def repair(bench: Bench, group: str) -> Repair:
    """The job for a group of the hypotheses.

    Raises:
        KeyError: there is no such group, or it is none that can be repaired.
    """
    return bench.once(_repair, group)


def _repair(bench: Bench, group: str) -> Repair:
    faults = bench.hypotheses.faults_of(group)
    if not faults:
        raise KeyError(group)
    fault = faults[0]
    key, cost = _job(bench, fault)
    part = part_of(bench.vehicle, fault)
    facts = dict(_facts(bench, fault))
    if fault.mode == "position":
        facts["to"] = BETWEEN.join(dict.fromkeys(one.to for one in faults))
    return Repair(
        group,
        key,
        tuple(facts.items()),
        suspect_places(bench.vehicle, fault),
        cost_of(cost),
        part.id if part else "",
        group_allowed(bench, group),
        part is not None and part.kind in FUSES and any(one.mode == "blown" for one in faults),
    )


def _job(bench: Bench, fault: Fault) -> tuple[str, str]:
    what = kind_of(bench.vehicle, fault)
    part = part_of(bench.vehicle, fault)
    if fault.mode == "position":
        return "control", "repair-control"
    if fault.mode in JOINING:
        return _parting(fault, what)
    if fault.target in bench.vehicle.wire_by_id:
        return "wire", "repair-wire"
    if fault.target.startswith("contact "):
        return {"ring": ("ring", "repair-ground"), "splice": ("splice", "repair-wire")}.get(
            what, ("terminal", "repair-contact")
        )
    if part is not None and part.kind in FUSES:
        return "breaker" if part.kind == "breaker" else "fuse", "repair-fuse"
    if part is not None and part.kind == "strap":
        return "strap", "repair-ground"
    if part is not None and part.kind == "relay":
        return "relay", "repair-relay"
    if what == "lamp":
        return "lamp", "repair-lamp"
    return "part", "repair-part"


def _parting(fault: Fault, what: str) -> tuple[str, str]:
    """What is joined and should not be."""
    if fault.mode == "swapped":
        return "swapped", "repair-contact"
    if fault.mode == "leak":
        return "wet", "repair-contact"
    jobs = {
        "insulation": ("chafe", "repair-wire"),
        "insulation-live": ("chafe-live", "repair-wire"),
        "insulation-pair": ("chafe-pair", "repair-wire"),
        "cavity": ("bridge", "repair-contact"),
    }
    return jobs.get(what, ("part", "repair-part"))


def _facts(bench: Bench, fault: Fault) -> tuple[tuple[str, str], ...]:
    vehicle = bench.vehicle
    facts = {"target": fault.target, "to": fault.to, "place": ", ".join(_place_notes(bench, fault))}
    wire = vehicle.wire_by_id.get(fault.target)
    if wire is not None:
        size = wire.size_text or f"{wire.area_mm2.nominal:g} mm2"
        facts |= {"a": str(wire.a), "b": str(wire.b), "colour": str(wire.colour), "size": size, "loom": wire.loom}
        facts["length"] = f"{wire.length_m} m"
    part = part_of(vehicle, fault)
    if part is not None:
        rating = " ".join(_number(part.params.get(name), unit) for name, unit in (("rated_v", "V"), ("rated_a", "A")))
        facts |= {"part": part.id, "kind": part.kind, "label": part.label, "rating": " ".join(rating.split())}
        control = vehicle.controls.get(fault.target)
        if control is not None:
            facts |= {"wanted": control.rest, "control": control.alias or control.id}
    point = point_of(fault)
    other = other_point(fault)
    beside = vehicle.wire_by_id.get(fault.to)
    if other is not None:
        facts["other_colour"] = ", ".join(str(one.colour) for one in vehicle.wires_at.get(other, ()))
    if beside is not None:
        facts |= {"other_a": str(beside.a), "other_b": str(beside.b), "other_colour": str(beside.colour)}
    if fault.mode == "short" and point is not None:
        facts["stretch"] = ", ".join(stretch(vehicle, fault.target))
    if point is not None:
        facts["point"] = str(point)
        wires = vehicle.wires_at.get(point, ())
        facts["colour"] = ", ".join(str(one.colour) for one in wires)
    return tuple(facts.items())


def _number(band: object, unit: str) -> str:
    return f"{band} {unit}" if band is not None else ""


def _place_notes(bench: Bench, fault: Fault) -> list[str]:
    names = suspect_places(bench.vehicle, fault)
    places = bench.vehicle.places
    return [f"{name} ({places[name].note})" if name in places and places[name].note else name for name in names]
