"""The effects of single faults as CSV, as a page to search in, and as lines for a terminal."""

from pathlib import Path

from loombench.app.effects import EffectsTable
from loombench.app.effectswords import COLUMNS, count_text, effect_rows, heads
from loombench.base.outcome import Outcome
from loombench.base.problems import Problem
from loombench.base.wording import Catalogue, catalogue
from loombench.exchange.csvout import csv_text
from loombench.paper.browse import Browsable, to_browsable
from loombench.paper.files import put
from loombench.text.names import read_condition
from loombench.vehicle.condition import Condition
from loombench.vehicle.model import Vehicle

AT_REST = "at rest"


def states_of(vehicle: Vehicle, texts: tuple[str, ...]) -> Outcome[tuple[Condition, ...]]:
    """The states that texts name, each `S4=on, S6=on` or `at rest`."""
    found: list[Condition] = []
    problems: list[Problem] = []
    for text in texts:
        if text.strip() == AT_REST:
            found.append(Condition())
            continue
        read = read_condition(vehicle, text)
        problems += read.problems
        found.append(read.value)
    return Outcome(tuple(found), tuple(problems))


def effects_csv(vehicle: Vehicle, table: EffectsTable, words: Catalogue | None = None) -> str:
    """The table as CSV (RFC 4180), a row for each fault and state where it shows something."""
    words = words or catalogue()
    return csv_text(heads(words), (row.cells for row in effect_rows(vehicle, table, words)))


def effects_page(vehicle: Vehicle, table: EffectsTable, words: Catalogue | None = None) -> str:
    """The table as one HTML file."""
    words = words or catalogue()
    say = words.say
    notes = [say("effects.defer"), say("effects.intro"), count_text(table, words)]
    notes += [say("effects.left", count=table.left)] if table.left else []
    return to_browsable(
        Browsable(
            say("effects.title", vehicle=table.vehicle),
            say("effects.subtitle", faults=len(table.faults), states=len(table.states)),
            tuple(notes),
            heads(words),
            tuple(row.cells for row in effect_rows(vehicle, table, words)),
            COLUMNS.index("state"),
            (say("effects.search"), say("effects.choose"), say("effects.every"), say("effects.shown")),
            words.language,
        )
    )


def effects_lines(
    vehicle: Vehicle, table: EffectsTable, words: Catalogue | None = None, short: bool = False
) -> tuple[str, ...]:
    """The table for a terminal: a line for each fault and state where it shows something; `short` without these."""
    words = words or catalogue()
    say = words.say
    lines = [say("effects.title", vehicle=table.vehicle), say("effects.states", states="; ".join(table.states))]
    lines.append(count_text(table, words))
    lines += [say("effects.left", count=table.left)] if table.left else []
    for row in () if short else effect_rows(vehicle, table, words):
        one = dict(zip(COLUMNS, row.cells, strict=True))
        what = [one[name] for name in ("seen", "tester", "opens", "hot") if one[name]]
        marks = f"{say('effects.group')} {one['group']} ({one['alike']}), {say('effects.steps')} {one['steps']}"
        lines.append(f"{one['fault']}  [{one['state']}]  {' | '.join(what)}  {marks}")
    return tuple(lines)


def write_text(text: str, path: Path) -> Problem | None:
    """Write a file whole or not at all; why not, where it cannot be."""
    return put(path, text.encode("utf-8"))
