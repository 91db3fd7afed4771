"""All rules over a vehicle."""

from collections.abc import Callable, Iterable

from loombench.base.problems import Problem
from loombench.check import assumed, loaded, protection, supply, wiring
from loombench.check.view import View
from loombench.vehicle.model import Vehicle

Rule = Callable[[View], Iterable[Problem]]

RULES: tuple[Rule, ...] = (
    supply.without_supply,
    supply.batteries,
    supply.bodies,
    supply.loads,
    supply.modules,
    wiring.dead_ends,
    wiring.used_twice,
    wiring.one_sided,
    wiring.unused_controls,
    wiring.colour_changes,
    protection.fuse_above_wire,
    protection.unprotected,
    loaded.loaded,
    assumed.assumed_straps,
    assumed.assumptions,
)


def check(vehicle: Vehicle) -> tuple[Problem, ...]:
    """What is wrong with a vehicle, or worth knowing, rule by rule; errors are what cannot work. Never raises.

    The electrical rules take every part as sound and the engine as off, and settle at most `loaded.MOST_STATES` states.
    """
    view = View(vehicle)
    return tuple(found for rule in RULES for found in rule(view))
