"""Loads of a made-up vehicle, with their way out to a side of a bay and back to a stud there."""

from collections.abc import Sequence

from benchmarks.fleetdraw import Drawing, Lead
from benchmarks.fleetpage import Zone


def side_of(d: Drawing, z: Zone) -> str:
    return d.chance.choice(z.sides)


def loads_on(d: Drawing, z: Zone, side: str, kind: str, count: int, label: str) -> list[tuple[str, str]]:
    """Some like loads; the plus and minus point of each."""
    letters = {"lamp": "E", "led": "E", "motor": "M", "heater": "R", "solenoid": "Y", "horn": "B"}[
        kind.partition(" ")[0]
    ]
    pins = ("+", "-") if kind.startswith(("led", "motor")) else ("1", "2")
    found = []
    for k in range(count):
        name = d.name(letters, z)
        z.page.parts.append(
            f'{kind} at {side} "{label}{f", {k + 1}" if count > 1 else ""}"'.replace(" ", f" {name} ", 1)
        )
        found.append((f"{name}.{pins[0]}", f"{name}.{pins[1]}"))
    return found


def fed(d: Drawing, z: Zone, start: str, side: str, lead: Lead, loads: Sequence[tuple[str, str]]) -> None:
    """From a point in the zone's loom out to loads on a side, and back to a stud there."""
    at, loom = d.out_to(z, side, start, lead)
    d.fan(loom, z.page, z, at, lead, d.metres(0.3, 1.0), [plus for plus, _ in loads])
    for _, minus in loads:
        d.ground(loom, z, minus, side, lead.carrying(lead.current_a / len(loads)))
