"""Step cards and verdicts at the terminal, and a practice case that runs by itself. Nothing is decided here."""

import json
from collections.abc import Mapping
from dataclasses import asdict
from datetime import UTC, datetime
from itertools import count
from pathlib import Path

from loombench.app.bandwords import band_text, edge_text
from loombench.app.cardfiles import write_card
from loombench.app.cards import Meaning, StepCard
from loombench.app.finding import opening, verdict
from loombench.app.search import Search
from loombench.app.session import played
from loombench.app.shown import verdict_lines
from loombench.base.problems import Problem, as_json
from loombench.base.quantity import print_quantity
from loombench.base.report import render_all
from loombench.base.wording import Catalogue, catalogue
from loombench.shell.saying import WIDTH, Say, saying, wrapped

LABELS = ("place", "set", "red", "black", "plugs", "sound")
"""What stands before the lines of a card."""
BANDS = ("good", "bad", "between")
"""How far from the sound vehicle a reading is."""


def now() -> str:
    """The time as events bear it."""
    return datetime.now(UTC).astimezone().isoformat(timespec="seconds")


def card_lines(card: StepCard, number: int, words: Catalogue | None = None) -> list[str]:
    """A step card as lines: the caution first, then where, what to set, where the leads go, what it would mean."""
    minutes = max(1, round(card.cost_s / 60))
    words = words or catalogue()
    say = words.say
    head, time = say("shell.step", number=number), say("shell.about", minutes=minutes)
    lines = [head + time.rjust(WIDTH - len(head))]
    for caution in card.cautions:
        lines += wrapped(caution, "  ! ", "    ")
    place = card.place + (f": {card.reach}" if card.reach else "")
    red, black = (
        point + (f" ({side})" if side else "")
        for point, side in ((card.red, card.red_side), (card.black, card.black_side))
    )
    plugs = say("shell.plugs-stay") if card.plugged else say("shell.plugs-as-said")
    rows = [("place", place), ("set", ", ".join(card.settings)), ("red", red), ("black", black)]
    rows += [("plugs", plugs)] if card.red else []
    rows += [] if card.nominal is None else [("sound", edge_text(card.nominal, card.unit))]
    width = max(len(say(f"shell.{name}")) for name in LABELS) + 1
    lines += [f"  {say('shell.' + name):<{width}}{text}" for name, text in rows if text]
    lines += wrapped(card.action, "  ", "  ")
    for one in card.meanings:
        lines += _meaning(one, card, words)
    return lines + later_lines(card, words)


def later_lines(card: StepCard, words: Catalogue) -> list[str]:
    """What will likely come after a step, so that tools are fetched once."""
    steps = "; ".join(dict.fromkeys(card.then))
    return wrapped(words.say("shell.after", steps=steps), "  ", "    ") if steps else []


def _meaning(one: Meaning, card: StepCard, words: Catalogue) -> list[str]:
    """One band or word of the answer, and who would then be likeliest."""
    names = "; ".join(one.suspects) or words.say("shell.many")
    unit = card.unit
    if not unit:
        return wrapped(f"{one.mark:<14}{one.text}: {names}", "    ", " " * 18)
    band = band_text(one.low, one.high, card.nominal, unit, words)
    wide = max(len(words.say(f"card.{mark}")) for mark in BANDS) + 3
    return wrapped(f"{words.say(f'card.{one.mark}'):<{wide}}{band:<24}{names}", "    ", " " * (wide + 28))


def run_auto(search: Search, folder: Path, say: Say, machine: bool, words: Catalogue | None = None) -> None:
    """The tool takes its own steps on the practice vehicle."""
    words = words or catalogue()
    if not machine:
        say = saying(say)
        for line in opening(search.case, words):
            say(f"! {line}")
    numbers = count(1)

    def watch(card: StepCard, said: float | str) -> None:
        if machine:
            say(json.dumps({"event": "step", "card": asdict(card), "answer": said}))
            return
        say("")
        for line in card_lines(card, next(numbers), words):
            say(line)
        say(f"  -> {print_quantity(said, card.unit) if isinstance(said, float) else said}")

    done = played(search, watch, words)
    if done.problems:
        say(problem_lines(done.problems, {}, machine, words))
    else:
        finish(done.value, folder, say, machine, words)


def finish(search: Search, folder: Path, say: Say, machine: bool = False, words: Catalogue | None = None) -> None:
    """The verdict, the repair proposed, and the job card with its paths."""
    words = words or catalogue()
    end = verdict(search.case, words)
    card, copy = (write_card(search.case, folder, customer, words) for customer in (False, True))
    hidden = search.practice.secret if search.practice else ""
    if machine:
        say(
            json.dumps(
                {
                    "event": "verdict",
                    **asdict(end),
                    "hidden": hidden,
                    "card": [str(path) for path in card.value],
                    "customer": [str(path) for path in copy.value],
                }
            )
        )
        return
    say("")
    for line in verdict_lines(search.case, words):
        say(line)
    if hidden:
        say(words.say("shell.hidden", fault=hidden))
    if card.problems:
        say(render_all(card.problems, {}, words))
    for path in card.value:
        say(words.say("shell.card", path=path))
    for path in copy.value:
        say(words.say("shell.customer", path=path))


def problem_lines(
    problems: tuple[Problem, ...], sources: Mapping[str, str], machine: bool, words: Catalogue | None = None
) -> str:
    """Problems for a person or, one JSON object a line, for a machine."""
    words = words or catalogue()
    if not machine:
        return render_all(problems, sources, words)
    objects = (as_json(one, words) for one in problems)
    return "\n".join(json.dumps({"event": "problem", **one}) for one in objects)
