"""Beginning a vehicle for which there is no file: a skeleton with a head of its own, in the bench's folder."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from loombench.app.desk.asking import Asked
from loombench.app.desk.desk import Desk, Task
from loombench.app.desk.saying import Told, told
from loombench.app.starting import Start, start_vehicle


@dataclass(frozen=True)
class Begun:
    """The address of the vehicle that was made; empty where it could not be, and why."""

    vehicle: str
    problems: tuple[Told, ...]


def begin(desk: Desk, asked: Asked, kind: str, name: str, volts: str, form: str, colours: str) -> Begun:
    """Write the file of a new vehicle."""
    made = start_vehicle(desk.place.folder, Start(kind, name, volts, form, colours))
    address = next((one.id for one in desk.shelf().value if one.file == made.value), "")
    return Begun(address, told(made.problems, asked.words))


TASKS: Mapping[str, Task] = MappingProxyType({"vehicle.begin": begin})
