"""What is put together: the statements of a vehicle as values, to be written in the notation by whoever may."""

from dataclasses import dataclass

from loombench.base.problems import Span
from loombench.exchange.assembly.names import Renamed
from loombench.vehicle.model import Wire


@dataclass(frozen=True)
class PartText:
    """A part's line and the rows below it. `answered` is where the answer stands that it was made from."""

    kind: str
    id: str
    words: str = ""
    rows: tuple[str, ...] = ()
    place: str = ""
    label: str = ""
    answered: Span | None = None


@dataclass(frozen=True)
class PlaceText:
    """A place by its name, and what the file says of it."""

    id: str
    note: str = ""


@dataclass(frozen=True)
class Sheet:
    """A vehicle's statements in the order they are written. `looms` are those of the wires, first come first."""

    name: str
    voltage_v: float
    colours: str
    places: tuple[PlaceText, ...]
    parts: tuple[PartText, ...]
    wires: tuple[Wire, ...]
    looms: tuple[str, ...]
    renamed: tuple[Renamed, ...] = ()
