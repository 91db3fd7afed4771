"""A session at the terminal: the card, a line, what follows from it, until the case is closed or the person leaves."""

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from loombench.app.cardfiles import write_card, write_step
from loombench.app.cards import StepCard
from loombench.app.case import Case
from loombench.app.codes import names_module
from loombench.app.eventwords import event_text
from loombench.app.finding import next_step, opening, verdict
from loombench.app.mending import mend_lines
from loombench.app.search import Search, kept_in, only_opened, practice_answer
from loombench.app.session import CARD, DRAW, NEXT, STOP, Reply, respond
from loombench.app.shown import standing, verdict_lines
from loombench.app.typed import present, read_typed
from loombench.base.report import render_all
from loombench.base.wording import Catalogue, catalogue
from loombench.shell.ahead import working_ahead
from loombench.shell.finding import card_lines, finish, later_lines, now
from loombench.shell.saying import Say, grey, harmless, saying
from loombench.shell.waiting import waiting

Ask = Callable[[str], str | None]
LEFT_OPEN = ("searching", "one-class")
"""Verdicts after which something may still be tried."""


def run_session(search: Search, folder: Path, out: Say, ask: Ask, words: Catalogue | None = None) -> None:
    """Cards and answers. Every answer is on the disk before the next card is shown."""
    say, words = saying(out), words or catalogue()

    try:
        _greet(search, say, words)
        case, typed = _codes(search, say, ask, words)
        _go_on(replace(search, case=case), folder, out, ask, typed, words)
    except KeyboardInterrupt:
        say("")
    else:
        return
    say(words.say("shell.kept", case=search.case.id, folder=kept_in(search.case, folder)))


def _go_on(search: Search, folder: Path, out: Say, ask: Ask, typed: str | None, words: Catalogue) -> None:
    """Cards and answers; `typed` is an answer given already."""
    say = saying(out)
    number, last, show = 0, "", True
    while True:
        with waiting(words):
            case, card = search.case, next_step(search.case, words)
        if show and card is not None:
            number, last = number + (card.id != last), card.id
            _show(search, card, number, out, words)
        elif show:
            _no_step(search, say, words)
        if typed is None:
            prompt = _prompt(search, card)
            with working_ahead(search.case, card, words):
                typed = ask(prompt)
        said, typed = typed, None
        if said is None:
            break
        if not said and search.practice is not None and card is not None:
            said = _practice(practice_answer(search, card.id))
            say(f"  -> {said}")
        with waiting(words):
            reply = respond(case, card, said, now(), words)
        for text in reply.said:
            say(text)
        search, show = replace(search, case=reply.case), reply.then == NEXT
        if reply.case.course.closed and not case.course.closed:
            finish(search, folder, say, words=words)
            return
        if reply.then == CARD:
            _print(reply, folder, say, words)
        if reply.then == DRAW and card is not None:
            _draw(reply, card, folder, say, words)
        if reply.then == STOP:
            break
    say(words.say("shell.kept", case=search.case.id, folder=kept_in(search.case, folder)))


def _greet(search: Search, say: Say, words: Catalogue) -> None:
    case = search.case
    for line in opening(case, words):
        say(f"! {line}")
    if not only_opened(case):
        last = event_text(case.bench, case.events, case.events[-1].payload, words)
        say(words.say("session.resumed", count=len(case.events), last=last))
    if search.practice is not None:
        say(words.say("session.practice"))


def _codes(search: Search, say: Say, ask: Ask, words: Catalogue) -> tuple[Case, str | None]:
    """Asks for the codes of a vehicle before anything is touched; a practice vehicle has none. Gives the case, and what
    was typed where that was a command instead."""
    case = search.case
    if search.practice is not None or not only_opened(case):
        return case, None
    say(words.say("session.codes-ask"))
    said = ask("> ")
    if not said:
        return case, None
    with waiting(words):
        read = read_typed(case, None, said)
        if not names_module(case, said) and (read.value is not None or read.problems):
            return case, said
        reply = respond(case, None, f"codes {said}", now(), words)
    for line in reply.said:
        say(line)
    return reply.case, None


def _show(search: Search, card: StepCard, number: int, out: Say, words: Catalogue) -> None:
    say = saying(out)
    say("")
    for line in card_lines(replace(card, then=()), number, words):
        say(line)
    if card.kind == "mend":
        for told in mend_lines(search.case, card, words):
            say(f"  {told}")
    say("  " + standing(search.case, card.place, words))
    out(grey("  " + words.say("shell.draw-hint")))
    for line in later_lines(card, words):
        out(grey(harmless(line)))


def _no_step(search: Search, say: Say, words: Catalogue) -> None:
    case = search.case
    say("")
    for line in verdict_lines(case, words):
        say(line)
    if not case.course.closed and verdict(case).state in LEFT_OPEN:
        say(words.say("session.ended"))
    say(words.say("session.closed" if case.course.closed else "session.leads-ask"))


def _prompt(search: Search, card: StepCard | None) -> str:
    """The state the vehicle is taken to be in stands before the mark, since a reading is taken in it."""
    return f"[{harmless(str(present(search.case, card)))}] > "


def _practice(said: float | str) -> str:
    if isinstance(said, str):
        return said
    return "OL" if math.isinf(said) else f"{said:g}"


def _print(reply: Reply, folder: Path, say: Say, words: Catalogue) -> None:
    for customer, key in ((False, "shell.card"), (True, "shell.customer")):
        made = write_card(reply.case, folder, customer, words)
        if made.problems:
            say(render_all(made.problems, {}, words))
        for path in made.value:
            say(words.say(key, path=path))


def _draw(reply: Reply, card: StepCard, folder: Path, say: Say, words: Catalogue) -> None:
    with waiting(words):
        made = write_step(reply.case, card, folder, words)
    if made.problems:
        say(render_all(made.problems, {}, words))
    if made.value is not None:
        say(words.say("shell.drawn", path=made.value))
