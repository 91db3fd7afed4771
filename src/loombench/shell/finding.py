"""A finding session at the terminal: cards printed, words read. Nothing is decided here."""

import json
import textwrap
from collections.abc import Callable, Mapping
from dataclasses import asdict
from datetime import UTC, datetime
from itertools import count
from pathlib import Path

from loombench.app.cards import Meaning, StepCard
from loombench.app.finding import answer, cannot, close, next_step, opening, suspects, undo, verdict
from loombench.app.practice import auto
from loombench.app.search import Search, practice_answer, write_card
from loombench.base.problems import Problem, as_json
from loombench.base.quantity import Quantity, print_quantity, read_quantity
from loombench.base.report import render_all
from loombench.base.wording import catalogue

Say = Callable[[str], None]
Ask = Callable[[], str | None]

WIDTH = 100


def now() -> str:
    """The time as events bear it."""
    return datetime.now(UTC).isoformat(timespec="seconds")


def card_lines(card: StepCard, number: int) -> list[str]:
    """A step card as lines: the caution first, then where, what to set, where the leads go, what it would mean."""
    minutes = max(1, round(card.cost_s / 60))
    say = catalogue().say
    head, time = say("shell.step", number=number), say("shell.about", minutes=minutes)
    lines = [head + time.rjust(WIDTH - len(head))]
    for caution in card.cautions:
        lines += _wrapped(caution, "  ! ", "    ")
    place = card.place + (f": {card.reach}" if card.reach else "")
    red, black = (
        point + (f" ({side})" if side else "")
        for point, side in ((card.red, card.red_side), (card.black, card.black_side))
    )
    plugs = say("shell.plugs-stay") if card.plugged else say("shell.plugs-as-said")
    rows = [("place", place), ("set", ", ".join(card.settings)), ("red", red), ("black", black)]
    rows += [("plugs", plugs)] if card.red else []
    lines += [f"  {say('shell.' + name):<7}{text}" for name, text in rows if text]
    lines += _wrapped(card.action, "  ", "  ")
    for one in card.meanings:
        lines += _wrapped(_meaning(one, card.unit), "    ", " " * 42)
    if card.then:
        lines += _wrapped(say("shell.after", steps="; ".join(card.then)), "  ", "    ")
    return lines


def _meaning(one: Meaning, unit: str) -> str:
    say = catalogue().say
    ends = (("shell.from", one.low), ("shell.to", one.high)) if unit else ()
    edges = [say(key, value=print_quantity(end, unit)) for key, end in ends if end is not None]
    names = "; ".join(one.suspects)
    return f"{one.mark:<10}{' '.join(edges):<28}{one.text}" + (f": {names}" if names else "")


def _wrapped(text: str, first: str, more: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=more) or [first]


def run_interactive(search: Search, folder: Path, say: Say, ask: Ask) -> None:
    """Cards and answers until the case is closed or the user stops."""
    case, words = search.case, catalogue().say
    for line in opening(case):
        say(f"! {line}")
    number = 0
    while (card := next_step(case)) is not None:
        number += 1
        say("")
        for line in card_lines(card, number):
            say(line)
        while True:
            said = ask()
            if said is None or said == "stop":
                say(words("shell.kept", case=case.id, folder=folder))
                return
            word, _, rest = said.partition(" ")
            if word == "cannot":
                case = cannot(case, card.id, rest, now())
            elif word == "undo":
                case = undo(case, now())
            elif word == "suspects":
                for one in suspects(case):
                    mark = "" if one.survives else words("shell.out")
                    share = f"{one.share:.0%}"
                    say(f"  {mark:<5}" + words("shell.suspect", text=one.text, share=share, against=one.against))
                continue
            elif word == "verdict":
                say(f"  {verdict(case).text}")
                continue
            else:
                if not said and search.practice is not None:
                    value: float | str | None = practice_answer(Search(search.opened, case, search.practice), card.id)
                    say(f"  -> {value}")
                else:
                    value = reading(said, card)
                if value is None:
                    say(
                        words("shell.help") if said == "help" else "  " + words("shell.not-understood", said=repr(said))
                    )
                    continue
                case = answer(case, card.id, value, now())
            break
    finish(Search(search.opened, close(case, now()), search.practice), folder, say)


def reading(said: str, card: StepCard) -> float | str | None:
    """What was typed, as the card wants it; None where it is neither a reading in the unit nor one of the words."""
    if not card.unit:
        return next((word for word in card.choices if word == said), None)
    if card.unit == "ohm" and said.upper() == "OL":
        return float("inf")
    amount = read_quantity(said)
    fits = isinstance(amount, Quantity) and amount.value is not None and amount.unit in ("", card.unit)
    return amount.value if fits and isinstance(amount, Quantity) else None


def run_auto(search: Search, folder: Path, say: Say, machine: bool) -> None:
    """The tool takes its own steps on the practice vehicle."""
    if search.practice is None:
        raise ValueError("only a practice case can run by itself")
    if not machine:
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

    case = auto(search.case, search.practice, watch)
    finish(Search(search.opened, case, search.practice), folder, say, machine)


def finish(search: Search, folder: Path, say: Say, machine: bool = False) -> None:
    """The verdict, the repair proposed, and the job card with its paths."""
    end, words = verdict(search.case), catalogue().say
    card = write_card(search.case, folder)
    hidden = str(search.practice.hidden) if search.practice else ""
    if machine:
        say(
            json.dumps(
                {"event": "verdict", **asdict(end), "hidden": hidden, "card": [str(path) for path in card.value]}
            )
        )
        return
    say("")
    say(end.text)
    for one in end.suspects:
        say(f"  {one}")
    if end.job:
        say(words("shell.repair", job=end.job))
    if hidden:
        say(words("shell.hidden", fault=hidden))
    if card.problems:
        say(render_all(card.problems, {}))
    for path in card.value:
        say(words("shell.card", path=path))


def problem_lines(problems: tuple[Problem, ...], sources: Mapping[str, str], machine: bool) -> str:
    """Problems for a person or, one JSON object a line, for a machine."""
    if not machine:
        return render_all(problems, sources)
    words = catalogue()
    objects = (as_json(one, words.problem(one.code, dict(one.facts))) for one in problems)
    return "\n".join(json.dumps({"event": "problem", **one}) for one in objects)
