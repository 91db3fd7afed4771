"""Checking a vehicle that was opened: the rules over what could be understood."""

from collections.abc import Iterable

from loombench.app.vehicles import Opened
from loombench.base.problems import Level, Problem, as_json
from loombench.base.wording import catalogue
from loombench.check.run import check


def check_vehicle(opened: Opened) -> tuple[Problem, ...]:
    """What the rules find in a vehicle, beside the problems met when it was read."""
    return check(opened.vehicle)


def problems_json(problems: Iterable[Problem]) -> list[dict[str, object]]:
    """Problems for machines, worst first: code, level, spans, facts and the sentences of the catalogue."""
    words, order = catalogue(), [Level.ERROR, Level.WARNING, Level.NOTE]
    ranked = sorted(problems, key=lambda item: order.index(item.level))
    return [as_json(item, words.problem(item.code, dict(item.facts))) for item in ranked]
