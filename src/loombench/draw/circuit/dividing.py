"""The loads of a function in two groups that have as little in common as possible, for two pages instead of one.

Each page then shows its loads with their whole feed and return and reads from top to bottom by itself; what feeds both
is on both.
"""

from loombench.draw.circuit.taking import Taking, taking_part
from loombench.draw.circuit.ways import Net
from loombench.vehicle.model import Vehicle

MOST_SHARE = 0.75
"""A page that would still have more than this share of the links is no page less."""
Group = tuple[tuple[str, ...], Taking]


def divided(vehicle: Vehicle, net: Net, loads: tuple[str, ...]) -> tuple[Group, Group] | None:
    """The two groups with what takes part in each; None where one of them would still need everything."""
    if len(loads) < 2:
        return None
    feed = {load: _feed(net, load) for load in loads}
    order = sorted(loads, key=lambda load: feed[load])
    feeds = [feed[load] for load in order]
    middle = len(order) / 2
    at = min(range(1, len(order)), key=lambda cut: (_common(feeds[cut - 1], feeds[cut]) + 2.0 * abs(cut - middle), cut))
    groups = [tuple(load for load in loads if load in some) for some in (order[:at], order[at:])]
    takings = [taking_part(vehicle, net, some) for some in groups]
    whole = len(taking_part(vehicle, net, loads).links)
    if any(len(taking.links) > MOST_SHARE * whole for taking in takings):
        return None
    return (groups[0], takings[0]), (groups[1], takings[1])


def _feed(net: Net, load: str) -> tuple[int, ...]:
    """The way of a load from the supply as numbers, so that loads fed alike stand beside each other."""
    ends = [point for link in net.of_name.get(load, ()) for point in (link.a, link.b)]
    fed = [point for point in ends if point in net.far] or ends
    here = min(fed, key=lambda point: (net.far.get(point, 0), point), default=None)
    steps: list[int] = []
    while here is not None and net.far.get(here, 0) > 0:
        link = min(
            (one for one in net.at[here] if net.far.get(one.other(here), len(net.far)) < net.far[here]),
            key=lambda one: net.place[id(one)],
            default=None,
        )
        if link is None:
            break
        steps.append(net.place[id(link)])
        here = link.other(here)
    return tuple(reversed(steps))


def _common(one: tuple[int, ...], two: tuple[int, ...]) -> int:
    """How many steps two ways have in common from the supply on."""
    count = 0
    for a, b in zip(one, two, strict=False):
        if a != b:
            break
        count += 1
    return count
