"""What kinds of vehicle look like from above, as plain outlines of our own: front at the left.

Points are shares of length (0 at the front, 1 at the rear) and of width (-1 at the right edge, 1 at the left edge):
seen from above with the front at the left, the vehicle's right side is up.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from loombench.vehicle.model import Vehicle

Points = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Outline:
    """The closed `body`, further open `lines` (windscreen, joints), and `wheels` as (along, across, length share)."""

    body: Points
    lines: tuple[Points, ...] = ()
    wheels: tuple[tuple[float, float, float], ...] = ()
    slim: float = 1.0
    """Width of the vehicle against that of a van."""


def _both(half: Points) -> Points:
    """A closed outline from its right half, front to rear."""
    return (*half, *((x, -y) for x, y in reversed(half)))


def _axles(*along: float, size: float = 0.07) -> tuple[tuple[float, float, float], ...]:
    return tuple((x, side * 0.92, size) for x in along for side in (-1.0, 1.0))


def _across(x: float, reach: float = 0.9) -> Points:
    return ((x, -reach), (x, reach))


OUTLINES: Mapping[str, Outline] = MappingProxyType(
    {
        "van": Outline(
            _both(((0.0, -0.55), (0.03, -0.85), (0.12, -1.0), (0.98, -1.0), (1.0, -0.92))),
            (((0.17, -0.92), (0.13, -0.6), (0.13, 0.6), (0.17, 0.92)), _across(0.3), _across(0.975, 0.85)),
            _axles(0.14, 0.76),
        ),
        "car": Outline(
            _both(((0.0, -0.5), (0.04, -0.85), (0.25, -0.97), (0.8, -0.97), (0.96, -0.85), (1.0, -0.55))),
            (
                ((0.36, -0.85), (0.31, -0.5), (0.31, 0.5), (0.36, 0.85)),
                ((0.78, -0.8), (0.83, -0.5), (0.83, 0.5), (0.78, 0.8)),
            ),
            _axles(0.18, 0.8, size=0.1),
        ),
        "coach": Outline(
            _both(((0.0, -0.88), (0.02, -1.0), (0.99, -1.0), (1.0, -0.94))),
            (((0.04, -0.9), (0.02, -0.6), (0.02, 0.6), (0.04, 0.9)), _across(0.1, 0.96), _across(0.88, 0.96)),
            _axles(0.2, 0.68, 0.78, size=0.06),
        ),
        "lorry": Outline(
            _both(((0.0, -0.85), (0.02, -1.0), (0.22, -1.0), (0.22, -0.45), (0.27, -0.45), (0.27, -1.0), (1.0, -1.0))),
            (((0.05, -0.9), (0.03, -0.6), (0.03, 0.6), (0.05, 0.9)),),
            _axles(0.12, 0.78, size=0.07),
        ),
        "trailer": Outline(
            _both(((0.0, -0.04), (0.02, -0.1), (0.22, -0.7), (0.22, -1.0), (1.0, -1.0))),
            (((0.22, -0.7), (0.22, 0.7)),),
            _axles(0.66, size=0.1),
            0.9,
        ),
        "tractor": Outline(
            _both(((0.0, -0.32), (0.02, -0.38), (0.5, -0.42), (0.55, -0.62), (0.92, -0.62), (0.95, -0.2), (1.0, -0.2))),
            (((0.5, -0.42), (0.5, 0.42)),),
            (
                *((0.2, side * 0.72, 0.16) for side in (-1.0, 1.0)),
                *((0.78, side * 0.88, 0.34) for side in (-1.0, 1.0)),
            ),
            1.1,
        ),
        "machine": Outline(
            _both(((0.0, -0.62), (0.03, -0.78), (0.97, -0.78), (1.0, -0.62))),
            (
                ((0.34, 0.78), (0.34, 0.12), (0.66, 0.12), (0.66, 0.78)),
                ((0.0, -0.32), (0.9, -0.32)),
                ((0.0, -0.02), (0.9, -0.02)),
            ),
            _axles(0.2, 0.8, size=0.16),
            1.1,
        ),
    }
)  # fmt: skip
"""By the words of `vehicle.model.FORMS`."""

_SAID: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "trailer": ("trailer",),
        "coach": ("coach", "bus", "minibus"),
        "tractor": ("tractor",),
        "lorry": ("lorry", "truck", "tipper", "flatbed", "fire"),
        "van": ("van", "camper", "ambulance"),
        "car": ("car", "saloon", "estate", "pick-up"),
        "machine": ("telehandler", "sweeper", "loader", "digger", "excavator", "machine"),
    }
)
USUAL = "van"


def form_of(vehicle: Vehicle) -> tuple[str, bool]:
    """What a vehicle is drawn as, and whether that is only taken from the words of its name, or from nothing."""
    if vehicle.form in OUTLINES:
        return vehicle.form, False
    words = [word.strip(".,;:\"'()").lower() for word in vehicle.name.split()]
    for form, known in _SAID.items():
        if any(word in known for word in words):
            return form, True
    return USUAL, True
