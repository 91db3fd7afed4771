"""What the loads of a function do where a vehicle stands in some state, as somebody who looks and listens says it."""

from collections.abc import Iterable
from dataclasses import dataclass

from loombench.base.quantity import print_quantity
from loombench.base.wording import Catalogue
from loombench.circuit.observe import LoadSight
from loombench.vehicle.model import Vehicle

DEAD, DIM, FULL = "dead", "dim", "full"
LIT, TURNING = ("lamp", "led"), ("motor",)


@dataclass(frozen=True)
class Working:
    """One load: its name and label, `light` is full, dim or dead, `text` says it in words, `current` is empty where
    none flows."""

    load: str
    label: str
    light: str
    text: str
    current: str


def working(vehicle: Vehicle, sights: Iterable[LoadSight], words: Catalogue) -> tuple[Working, ...]:
    """What some loads do."""
    return tuple(_said(vehicle, one, words) for one in sights)


def _said(vehicle: Vehicle, sight: LoadSight, words: Catalogue) -> Working:
    kind = "lit" if sight.kind in LIT else "turns" if sight.kind in TURNING else "works"
    text = words.say(f"web.circuit.{kind}-{sight.light}")
    if sight.pulsing:
        text = words.say("web.circuit.pulsing", text=text)
    if sight.kind in TURNING and sight.light != DEAD and sight.way < 0:
        text = words.say("web.circuit.backwards", text=text)
    current = print_quantity(sight.current_a, "A", 3) if sight.current_a >= 1e-3 else ""
    return Working(sight.id, _label(vehicle, sight.id), sight.light, text, current)


def _label(vehicle: Vehicle, load: str) -> str:
    """What is written on a load."""
    part = vehicle.parts.get(load) or vehicle.parts[load.rpartition(".")[0]]
    inner = next((one.label for one in part.elements if load == f"{part.id}.{one.name}"), "")
    return ", ".join(text for text in dict.fromkeys((part.label, inner)) if text)
