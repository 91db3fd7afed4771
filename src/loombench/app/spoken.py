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


def kind_text(kind: str, words: Catalogue) -> str:
    """What a kind of part or element is called."""
    return words.say(f"kind.{kind}") if words.has(f"kind.{kind}") else kind


def method_text(method: str, words: Catalogue) -> str:
    """How something was put right: the word it begins with in the language, the rest as it was typed."""
    word, comma, more = method.partition(", ")
    return f"{words.say(f'method.{word}')}{comma}{more}" if words.has(f"method.{word}") else method


def plain_setup(setup: Setup, words: Catalogue) -> str:
    """A set-up in one line, without the vehicle it is about."""
    leads = words.say("step.leads-join").join(str(point) for point in (setup.red, setup.black) if point is not None)
    return words.say("step.setup", meter=words.say(f"meter.{setup.meter}"), leads=leads, condition=setup.condition)


def setup_text(vehicle: Vehicle, setup: Setup, words: Catalogue) -> str:
    """A set-up in one line: meter, leads, condition."""
    leads = [point_text(vehicle, point, words) for point in (setup.red, setup.black) if point is not None]
    joined = words.say("step.leads-join").join(leads)
    return words.say("step.setup", meter=words.say(f"meter.{setup.meter}"), leads=joined, condition=setup.condition)
