"""Several lines on one pin: each wire after the first gets a place of its own beside the pin, and runs along to it.

What is joined inside a box shares one place: its bars branch, wires do not.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from types import MappingProxyType

from loombench.draw.layout.items import LINK, RAIL, Item, Plan, Port, Run

OFFSETS_MM = (2.5, -2.5, 5.0, -5.0)
"""The further ones for pins like a battery's: a thick wire that begins on a thin one reads as fed through it."""
CLEAR_MM = 2.4
"""So far from other pins on the same side a line may stand."""


def forked(items: Mapping[str, Item], runs: Iterable[Run]) -> Plan:
    """The plan with a fork for each line after the first on a pin, as long as there is room beside the pin."""
    made = dict(items)
    taken: dict[tuple[str, str], int] = {}
    shared: dict[tuple[str, str], tuple[str, str]] = {}
    done: list[Run] = []
    for run in runs:
        ends = []
        for end in (run.start, run.end):
            if run.sort != LINK or end not in shared:
                count = taken[end] = taken.get(end, 0) + 1
                place = _fork(made, end, count - 1) if count > 1 else end
                if run.sort == LINK:
                    shared[end] = place
            else:
                place = shared[end]
            ends.append(place)
        done.append(replace(run, start=ends[0], end=ends[1]))
    return Plan(MappingProxyType(made), tuple(done))


def _fork(items: dict[str, Item], end: tuple[str, str], number: int) -> tuple[str, str]:
    item = items[end[0]]
    port = next(one for one in item.ports if one.key == end[1])
    if item.sort == RAIL or port.x_mm is None:
        return end
    for offset in OFFSETS_MM:
        x = port.x_mm + offset
        near = [one.x_mm for one in item.on(port.side) if one is not port and one.x_mm is not None]
        if not 0.0 <= x <= item.width_mm or any(abs(x - other) < CLEAR_MM for other in near):
            continue
        made = Port(f"{port.key}~{number}", "", port.side, x, port.y_mm, port.key)
        items[item.key] = replace(item, ports=(*item.ports, made))
        return (item.key, made.key)
    return end
