"""What there is to know of one part or wire of a drawing: name, place, what can be set, what may be tried as wrong."""

from collections.abc import Iterable
from dataclasses import dataclass

from loombench.app.circuits import Circuits
from loombench.app.operating import Handle
from loombench.app.pinsheet import plug_address, size_text
from loombench.app.suspectwords import fault_text
from loombench.base.wording import Catalogue
from loombench.circuit.fault import Fault
from loombench.diagnose.place import place_of_part
from loombench.diagnose.safety import handleable, touchable
from loombench.draw.cavities import cavities_of
from loombench.vehicle.model import Vehicle


@dataclass(frozen=True)
class PartSheet:
    """A part or a wire. `said` are sentences about it, `kept_off` whether it is nobody's to handle, `sheet` what
    addresses its pin-out (empty without a plug), `faults` what can be tried: as one types it, and in words."""

    name: str
    title: str
    place: str
    note: str
    said: tuple[str, ...]
    kept_off: bool
    handles: tuple[Handle, ...]
    sheet: str
    faults: tuple[tuple[str, str], ...]


def part_sheet(circuits: Circuits, name: str, every: Iterable[Handle], words: Catalogue) -> PartSheet | None:
    """All of a part, or of a wire by its id; None where there is none of that name."""
    vehicle = circuits.vehicle
    faults = tuple((str(one), fault_text(vehicle, one, words)) for one in circuits.faults_at.get(name, ()))
    wire = vehicle.wire_by_id.get(name)
    if wire is not None:
        said = words.say("web.circuit.wire-to", colour=wire.colour, size=size_text(wire), to=f"{wire.a} – {wire.b}")
        kept_off = not all(touchable(vehicle, circuits.nets, end) for end in (wire.a, wire.b))
        return PartSheet(name, name, ", ".join(wire.via), "", (said,), kept_off, (), "", faults)
    part = vehicle.parts.get(name)
    if part is None:
        return None
    place = place_of_part(vehicle, name)
    note = vehicle.places[place].note if place in vehicle.places else ""
    own = tuple(one for one in every if one.part == name)
    plug = next((one for one in part.plugs if cavities_of(part, one)), "")
    sheet = plug_address(name, plug, part.halves[0] if part.halves else "") if cavities_of(part, plug) else ""
    kept_off = not handleable(vehicle, circuits.nets, name)
    return PartSheet(name, part_text(vehicle, name), place, note, (), kept_off, own, sheet, faults)


def part_text(vehicle: Vehicle, name: str) -> str:
    """A part with what is written on it; a wire by its ends and colour."""
    wire = vehicle.wire_by_id.get(name)
    if wire is not None:
        return f"{name} {wire.colour}"
    return f"{name} {vehicle.parts[name].label}".strip()


def laid(vehicle: Vehicle, faults: Iterable[Fault], words: Catalogue) -> tuple[tuple[str, str], ...]:
    """Faults laid in to try: as one types them, and in words."""
    return tuple((str(one), fault_text(vehicle, one, words)) for one in faults)
