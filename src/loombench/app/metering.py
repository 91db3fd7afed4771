"""A meter between two points of a vehicle that stands in some state: what it shows, and what stands before using it."""

from dataclasses import dataclass

from loombench.app.circuits import Circuits
from loombench.base.wording import Catalogue
from loombench.circuit.meter import MeterReading, read
from loombench.circuit.operate import Situation
from loombench.diagnose.safety import touchable
from loombench.facts.meter import meter_value
from loombench.vehicle.condition import Condition, Setup
from loombench.vehicle.points import Point

METERS = ("voltmeter", "low-impedance", "test-lamp", "led-tester", "ohmmeter", "buzzer", "clamp", "min-max")
"""Those a person holds in the hand, in the order in which they are offered."""
OHMS, CLAMP = ("ohmmeter", "buzzer"), "clamp"
LIVE = "live"
SWING = 0.05
"""Ends nearer to each other than this, in the unit of the display, are one figure."""


@dataclass(frozen=True)
class Shown:
    """What a meter shows, `said` in words of the page's language. `refused` says why it is not to be put there, and
    nothing is shown then; `live` that an ohmmeter is on a live circuit; `remarks` are sentences on what the display
    does; `low` and `high` the ends over a rhythm, in `unit`."""

    text: str
    said: str
    unit: str
    value: float | None
    low: float | None
    high: float | None
    live: bool
    refused: str
    remarks: tuple[str, ...]


def before(meter: str, words: Catalogue) -> str:
    """The caution before a meter is used."""
    return words.say("caution.ohms-dead") if meter in OHMS else words.say("caution.leads")


def shown(
    circuits: Circuits, situation: Situation, meter: str, red: Point, black: Point | None, words: Catalogue
) -> Shown:
    """What a meter shows between two points; a clamp takes the red one's wires. Leads have the usual
    resistance (`lead-ohms`)."""
    points = [point for point in (red, black) if point is not None]
    if not all(touchable(circuits.vehicle, circuits.nets, point, meter) for point in points):
        classes = {circuits.nets.strictest(point) for point in points} - {""}
        why = words.say("web.circuit.refused", classes=", ".join(sorted(classes)) or "?")
        return Shown("", "", "", None, None, None, False, why, ())
    setup = Setup(Condition(), red, None if meter == CLAMP else black, meter, meter_value("lead-ohms").value)
    found = read(situation, setup)
    remarks = tuple(
        words.say(f"web.circuit.flag-{flag}") for flag in found.flags if words.has(f"web.circuit.flag-{flag}")
    )
    return Shown(
        found.text,
        _said(found, words),
        found.unit,
        found.value,
        found.low,
        found.high,
        LIVE in found.flags,
        "",
        remarks,
    )


def _said(found: MeterReading, words: Catalogue) -> str:
    """The display in words; with the ends beside it where the meter holds them or a rhythm goes on."""
    number = found.text.removesuffix(" (floating)")
    key = f"shows.{number.replace(',', '').replace(' ', '-')}"
    text = words.say(key) if words.has(key) else number.replace("ohm", "Ω")
    if found.low is None or found.high is None or not abs(found.high - found.low) > SWING:
        return text
    ends = (f"{words.say(f'web.circuit.{name}')} {end:.2f} {found.unit.replace('ohm', 'Ω')}"
            for name, end in (("least", found.low), ("most", found.high)))  # fmt: skip
    return " · ".join((text, *ends))
