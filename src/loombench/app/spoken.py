"""Points and set-ups as a colleague says them: the battery's post and not its contact's inner layer."""

import re

from loombench.base.wording import Catalogue
from loombench.vehicle.condition import Setup
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import WIRE, Point

_GAPS = ((re.compile(r"\(\s*(?:,\s*)+"), "("), (re.compile(r"(?:,\s*)+\)"), ")"), (re.compile(r",(?:\s*,)+"), ","),
         (re.compile(r"\s*\(\s*\)"), ""))  # fmt: skip


def without_gaps(text: str) -> str:
    """A sentence without what is left where a fact is not known: empty brackets, commas with nothing before."""
    for gap, filled in _GAPS:
        text = gap.sub(filled, text)
    return text


def point_text(vehicle: Vehicle, point: Point, words: Catalogue) -> str:
    """A point; a battery's post by that word, anything else by its name."""
    part = vehicle.parts.get(point.part)
    if part is not None and part.kind == "battery":
        return words.say("step.post", point=point.at(WIRE))
    return str(point)


def setup_text(vehicle: Vehicle, setup: Setup, words: Catalogue) -> str:
    """A set-up in one line: meter, leads, condition."""
    leads = [point_text(vehicle, point, words) for point in (setup.red, setup.black) if point is not None]
    joined = words.say("step.leads-join").join(leads)
    return words.say("step.setup", meter=setup.meter, leads=joined, condition=setup.condition)
