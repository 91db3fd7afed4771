"""A session in words: a typed line and a case give the case after it and what is to be said. Nothing is decided by the
surface but when to leave and where to print.

    reply = respond(case, card, "S4.1 to G1.- 12.4V", time)      Reply(case, said, then)
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from loombench.app.asbuilt import read_deviation
from loombench.app.cards import StepCard
from loombench.app.case import Case
from loombench.app.codes import codes_read, said_of_codes
from loombench.app.finding import (
    NotePayload,
    answer,
    cannot,
    close,
    next_step,
    not_as_drawn,
    note,
    repaired,
    resumed,
    see,
    suspects,
    take,
    undo,
    verdict,
)
from loombench.app.mending import METHODS, done_text, proving, read_mended
from loombench.app.practice import auto
from loombench.app.search import Search, start
from loombench.app.shown import SHOWN, kept_lines, suspect_lines, verdict_lines, why_lines
from loombench.app.typed import Answer, Command, Reading, Sight, Typed, read_typed
from loombench.app.undrawn import undrawn_lines
from loombench.base.outcome import Outcome
from loombench.base.report import render_all
from loombench.base.wording import Catalogue, catalogue
from loombench.diagnose.hypothesis import halves
from loombench.diagnose.rates import NO_RATES, Rates
from loombench.diagnose.safety import touchable
from loombench.diagnose.verdict import CURED, NOT_BACK
from loombench.evidence.events import (
    Disturbed,
    LeadsCounted,
    NotAsDrawn,
    Note,
    PartUsed,
    ReasonGiven,
    TemporaryMeasure,
)
from loombench.record.store import JobStore, NotKept
from loombench.record.trial import TrialStore
from loombench.text.changes import VERBS, write_change

STAY, NEXT, CARD, DRAW, STOP = "stay", "next", "card", "draw", "stop"
"""What a surface does after a reply: wait for more, show the step on offer, print the job card, draw the
step, leave."""
STATES = ("new", "used", "rebuilt")
LEAST_SHOWN = 0.005


@dataclass(frozen=True)
class Reply:
    """The case after a line, what to say, and what to do then."""

    case: Case
    said: tuple[str, ...] = ()
    then: str = STAY


def begin(
    file: str, complaint: str, folder: Path, case_id: str, time: str, hidden: str = "", seed: int | None = None,
    author: str = "", rates: Rates = NO_RATES, jobs: JobStore | None = None, words: Catalogue | None = None,
) -> Outcome[Search | None]:  # fmt: skip
    """As `app.search.start`; what could not be kept is a problem."""
    try:
        return start(file, complaint, folder, case_id, time, hidden, seed, author, rates, jobs, words)
    except NotKept as refused:
        return Outcome(None, (refused.problem,))


def played(
    search: Search, watch: Callable[[StepCard, float | str], None], words: Catalogue | None = None
) -> Outcome[Search]:
    """A practice case played by the tool itself to its end; what could not be kept is a problem.

    Raises:
        ValueError: it is no practice case.
    """
    if search.practice is None:
        raise ValueError("only a practice case can run by itself")
    try:
        return Outcome(
            replace(
                search, case=auto(search.case, search.practice, watch, time=search.case.events[-1].time, words=words)
            )
        )
    except NotKept as refused:
        return Outcome(search, (refused.problem,))


def respond(case: Case, card: StepCard | None, line: str, time: str, words: Catalogue | None = None) -> Reply:
    """The case after a line. What could not be kept is said, and the case is then as the store has it."""
    words = words or catalogue()
    read = read_typed(case, card, line)
    if read.problems:
        return Reply(case, (render_all(read.problems, {}, words),))
    if read.value is None:
        unknown = words.say("shell.not-understood", said=repr(line.strip()[:80])) if line.strip() else ""
        return Reply(case, (f"  {unknown}" if unknown else words.say("session.empty-word"),))
    try:
        return _done(case, card, read.value, time, words)
    except NotKept as refused:
        return Reply(reread(case), (render_all((refused.problem,), {}, words),), NEXT)


def reread(case: Case) -> Case:
    """The case with what its store has; as it was where that cannot be read."""
    kept = case.store.read(case.id).value
    if len(kept) <= len(case.events):
        return case
    for event in kept[len(case.events) :]:
        case = resumed(case, event)
    return case


def _done(case: Case, card: StepCard | None, typed: Typed, time: str, words: Catalogue) -> Reply:
    if not isinstance(typed, Command):
        after = _entered(case, card, typed, time, words)
        warned = _warned(case, typed, words)
        return Reply(after, (*warned, *kept_lines(case, after, words)), NEXT)
    shown = _shown(case, card, typed, words)
    return shown if shown is not None else _changed(case, card, typed, time, words)


def _entered(case: Case, card: StepCard | None, typed: Answer | Reading | Sight, time: str, words: Catalogue) -> Case:
    match typed:
        case Answer(value=value):
            assert card is not None
            return answer(case, card.id, value, time, words=words)
        case Reading(setup=setup, value=value):
            return take(case, setup, value, time)
        case Sight(load=load, condition=condition, word=word):
            return see(case, load, condition, word, time)


def _warned(case: Case, typed: Typed, words: Catalogue) -> tuple[str, ...]:
    if not isinstance(typed, Reading):
        return ()
    points = [point for point in (typed.setup.red, typed.setup.black) if point is not None]
    bench = case.bench
    fine = all(touchable(bench.vehicle, bench.nets, point, typed.setup.meter) for point in points)
    return () if fine else (words.say("session.unfit-net"),)


def _shown(case: Case, card: StepCard | None, typed: Command, words: Catalogue) -> Reply | None:
    """The commands that alter nothing; None for the others."""
    match typed.word:
        case "help":
            return Reply(case, (words.say("shell.help"),))
        case "stop" | "next" | "card" | "draw":
            return Reply(case, (), {"stop": STOP, "next": NEXT, "card": CARD, "draw": DRAW}[typed.word])
        case "suspects":
            return Reply(case, suspect_lines(case, words, typed.rest == "all"))
        case "verdict":
            return Reply(case, verdict_lines(case, words))
        case "undrawn":
            return Reply(case, undrawn_lines(case, words))
        case "why":
            return Reply(case, why_lines(case, typed.rest, words))
        case "what if":
            return Reply(case, what_if(case, card, typed.rest, words))
    return None


def _changed(case: Case, card: StepCard | None, typed: Command, time: str, words: Catalogue) -> Reply:
    """The commands that add to the case."""
    rest = typed.rest
    if typed.word == "undo":
        after = undo(case, time)
        return Reply(after, kept_lines(case, after, words) or (words.say("session.nothing-undone"),), NEXT)
    if typed.word == "cannot" and card is not None:
        if not rest:
            return Reply(case, (words.say("session.no-reason", word="cannot"),))
        after = cannot(case, card.id, rest, time)
        return Reply(after, kept_lines(case, after, words), NEXT)
    if typed.word in METHODS:
        return _mended(case, card, typed, time, words)
    if typed.word == "not as drawn":
        return _deviation(case, rest, time, words)
    if typed.word in ("close", "yes", "no"):
        return _closing(case, card, typed, time, words)
    if typed.word == "codes" and rest:
        return _codes(case, rest, time, words)
    payload = _payload(typed)
    if payload is None:
        how = "session.parts-how" if typed.word == "part" else "session.no-reason"
        return Reply(case, (words.say(how, word=typed.word),))
    after = note(case, payload, time)
    said = kept_lines(case, after, words)
    if isinstance(payload, TemporaryMeasure):
        said = (words.say("session.temporary-warning"), *said)
    return Reply(after, said, NEXT if isinstance(payload, Disturbed) else STAY)


def _mended(case: Case, card: StepCard | None, typed: Command, time: str, words: Catalogue) -> Reply:
    done = read_mended(case, card, typed.word, typed.rest, words)
    if not done.group:
        key = "session.many-suspects" if done.among else "session.mended-what"
        names = "; ".join(done.among[:SHOWN])
        return Reply(case, (words.say(key, said=repr(typed.rest), names=names, word=typed.word),))
    found = {half for group in case.verdict.groups for half in halves(group)}
    if case.verdict.state in (CURED, NOT_BACK) and found.issuperset(halves(done.group)):
        # The proof stands on what was seen after the repair; how it was done is only added to the record.
        told = note(case, Note(done_text(case.bench, done.group, done.method, words)), time)
        return Reply(told, kept_lines(case, told, words))
    after = repaired(case, done.group, time, done.method)
    proof = proving(after, done.method, words)
    return Reply(after, (*kept_lines(case, after, words), *([proof] if proof else [])), NEXT)


def _payload(typed: Command) -> NotePayload | None:
    """What a command adds to the record; None where it lacks its words."""
    rest = typed.rest
    if typed.word == "disturbed":
        return Disturbed(rest)
    if not rest:
        return None
    match typed.word:
        case "temporary":
            return TemporaryMeasure(rest)
        case "because":
            return ReasonGiven(rest)
        case "note":
            return Note(rest)
        case "part":
            return part_used(rest)
    return None


def _codes(case: Case, text: str, time: str, words: Catalogue) -> Reply:
    read = codes_read(case, text)
    if read.value is None:
        return Reply(case, (render_all(read.problems, {}, words),))
    after = note(case, read.value, time)
    weighed = len(after.course.observations) > len(case.course.observations)
    said = (*kept_lines(case, after, words), *said_of_codes(case, read.value, words))
    return Reply(after, said, NEXT if weighed else STAY)


def part_used(text: str) -> PartUsed | None:
    """`lamp 12V 55W no 433-1 x2 used`: marks in any order, the rest is the name."""
    name, number, quantity, state = [], "", "1", STATES[0]
    pieces = iter(text.split())
    for piece in pieces:
        if piece in STATES:
            state = piece
        elif piece == "no":
            number = next(pieces, "")
        elif piece[:1] == "x" and piece[1:].isdecimal():
            quantity = piece[1:]
        else:
            name.append(piece)
    return PartUsed(" ".join(name), number, quantity, state) if name else None


def _deviation(case: Case, text: str, time: str, words: Catalogue) -> Reply:
    if not text:
        return Reply(case, (words.say("session.no-reason", word="not as drawn"),))
    made = not_as_drawn(case, text, time)
    said = [*kept_lines(case, made.value, words)]
    payload = made.value.events[-1].payload
    if isinstance(payload, NotAsDrawn) and payload.change:
        read = read_deviation(case.bench.vehicle, payload.change, time)
        if read.value is not None:
            said.append(words.say("session.to-file", line=write_change(read.value, case.bench.vehicle)))
        return Reply(made.value, tuple(said), NEXT)
    if made.problems:
        said.insert(0, render_all(made.problems, {}, words))
    said.append(words.say("session.kept-as-words", verbs=", ".join(VERBS)))
    return Reply(made.value, tuple(said))


def _closing(case: Case, card: StepCard | None, typed: Command, time: str, words: Catalogue) -> Reply:
    said = typed.rest if typed.word == "close" else typed.word
    if case.course.closed:
        return Reply(case, (words.say("session.closed"),))
    if said not in ("yes", "no") or (typed.word != "close" and card is not None):
        key = "session.leads-how" if typed.word == "close" else "shell.not-understood"
        return Reply(case, (words.say(key, said=repr(typed.word)),))
    counted = note(case, LeadsCounted(said == "yes"), time)
    after = close(counted, time)
    return Reply(after, kept_lines(case, after, words), NEXT)


def what_if(case: Case, card: StepCard | None, said: str, words: Catalogue) -> tuple[str, ...]:
    """What an answer would lead to; the case stays as it is."""
    read = read_typed(case, card, said)
    if read.problems:
        return (render_all(read.problems, {}, words),)
    if not isinstance(read.value, Answer | Reading | Sight):
        return (words.say("session.what-if-not"),)
    last = case.events[-1].time
    trial = _entered(replace(case, store=TrialStore()), card, read.value, last, words)
    lines = [words.say("session.what-if", said=said, verdict=verdict(trial, words).text)]
    for one in suspects(trial, words)[:SHOWN]:
        if one.survives and one.share > LEAST_SHOWN:
            lines.append(words.say("session.what-if-suspect", share=f"{one.share:.0%}", text=one.text))
    after = next_step(trial, words)
    return (*lines, words.say("session.what-if-next", step=after.action)) if after else tuple(lines)
