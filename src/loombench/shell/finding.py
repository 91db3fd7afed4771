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
from loombench.base.wording import catalogue
from loombench.shell.saying import WIDTH, Say, saying, wrapped


def now() -> str:
    """The time as events bear it."""
    return datetime.now(UTC).astimezone().isoformat(timespec="seconds")


def card_lines(card: StepCard, number: int) -> list[str]:
    """A step card as lines: the caution first, then where, what to set, where the leads go, what it would mean."""
    minutes = max(1, round(card.cost_s / 60))
    say = catalogue().say
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
    lines += [f"  {say('shell.' + name):<7}{text}" for name, text in rows if text]
    lines += wrapped(card.action, "  ", "  ")
    for one in card.meanings:
        lines += _meaning(one, card)
    return lines + later_lines(card)


def later_lines(card: StepCard) -> list[str]:
    """What will likely come after a step, so that tools are fetched once."""
    steps = "; ".join(dict.fromkeys(card.then))
    return wrapped(catalogue().say("shell.after", steps=steps), "  ", "    ") if steps else []


def _meaning(one: Meaning, card: StepCard) -> list[str]:
    """One band or word of the answer, and who would then be likeliest."""
    names = "; ".join(one.suspects) or catalogue().say("shell.many")
    unit = card.unit
    if not unit:
        return wrapped(f"{one.mark:<14}{one.text}: {names}", "    ", " " * 18)
    band = band_text(one.low, one.high, card.nominal, unit, catalogue())
    return wrapped(f"{one.mark:<10}{band:<24}{names}", "    ", " " * 38)


def run_auto(search: Search, folder: Path, say: Say, machine: bool) -> None:
    """The tool takes its own steps on the practice vehicle."""
    if not machine:
        say = saying(say)
        for line in opening(search.case):
            say(f"! {line}")
    numbers = count(1)

    def watch(card: StepCard, said: float | str) -> None:
        if machine:
            say(json.dumps({"event": "step", "card": asdict(card), "answer": said}))
            return
        say("")
        for line in card_lines(card, next(numbers)):
            say(line)
        say(f"  -> {print_quantity(said, card.unit) if isinstance(said, float) else said}")

    done = played(search, watch)
    if done.problems:
        say(problem_lines(done.problems, {}, machine))
    else:
        finish(done.value, folder, say, machine)


def finish(search: Search, folder: Path, say: Say, machine: bool = False) -> None:
    """The verdict, the repair proposed, and the job card with its paths."""
    end, words = verdict(search.case), catalogue().say
    card, copy = (write_card(search.case, folder, customer) for customer in (False, True))
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
    for line in verdict_lines(search.case, catalogue()):
        say(line)
    if hidden:
        say(words("shell.hidden", fault=hidden))
    if card.problems:
        say(render_all(card.problems, {}))
    for path in card.value:
        say(words("shell.card", path=path))
    for path in copy.value:
        say(words("shell.customer", path=path))


def problem_lines(problems: tuple[Problem, ...], sources: Mapping[str, str], machine: bool) -> str:
    """Problems for a person or, one JSON object a line, for a machine."""
    if not machine:
        return render_all(problems, sources)
    words = catalogue()
    objects = (as_json(one, words.problem(one.code, dict(one.facts))) for one in problems)
    return "\n".join(json.dumps({"event": "problem", **one}) for one in objects)
