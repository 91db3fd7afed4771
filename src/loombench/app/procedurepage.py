"""A procedure on paper and at a terminal: each step with its cautions first, what to set, where the leads go, and where
each answer leads."""

from dataclasses import dataclass
from pathlib import Path

from loombench.app.bandwords import band_text, edge_text
from loombench.app.cards import StepCard
from loombench.app.procedure import STOPPED, Cut, Procedure
from loombench.app.procedureend import End
from loombench.app.proceduretree import NOT_FOLLOWED, Ending, Exit, Left, Printed, Sheet, sheet_of
from loombench.base.outcome import Outcome
from loombench.base.wording import Catalogue, catalogue
from loombench.paper.document import (
    LEFT,
    RIGHT,
    Block,
    Caution,
    Document,
    Facts,
    Heading,
    PageBreak,
    Paragraph,
    Piece,
    Steps,
    Table,
    Together,
)
from loombench.paper.document import Sheet as Drawing
from loombench.paper.output import write_html
from loombench.paper.pdf import to_pdf

MOST_TOGETHER = 1800
"""A step with more signs than this may be parted by the end of a page."""


@dataclass(frozen=True)
class PrintedWith:
    """What is drawn behind the steps: faces as blocks, and pages of their own."""

    blocks: tuple[Block, ...] = ()
    sheets: tuple[Drawing, ...] = ()


NO_DRAWINGS = PrintedWith()


def procedure_document(tree: Procedure, words: Catalogue | None = None, drawn: PrintedWith = NO_DRAWINGS) -> Document:
    """The procedure on paper."""
    words = words or catalogue()
    sheet = sheet_of(tree)
    title = words.say("procedure.title", vehicle=tree.vehicle)
    told = words.say("procedure.complaint", complaint=tree.complaint)
    blocks: list[Block] = [
        Caution(words.say("card.caution"), tree.cautions),
        Facts(summary(tree, sheet, words)),
        Paragraph(words.say("procedure.how"), "quiet"),
    ]
    for step in sheet.steps:
        blocks += _kept(_step(step, words))
    if sheet.ends:
        blocks.append(Heading(words.say("procedure.ends")))
    for end in sheet.ends:
        blocks += _kept(_end(end, words))
    blocks.append(Paragraph(words.say("card.defer"), "quiet"))
    if drawn.blocks:
        blocks += [PageBreak(), *drawn.blocks]
    footer = f"{title} · {tree.complaint}"
    return Document(title, told, tuple(blocks), footer, words.language, sheets=drawn.sheets)


def write_procedure(
    tree: Procedure, path: Path, drawn: PrintedWith = NO_DRAWINGS, words: Catalogue | None = None
) -> Outcome[Path | None]:
    """Write the page as PDF where the name ends so, else as HTML; None with the problem where there is none."""
    document = procedure_document(tree, words, drawn)
    return to_pdf(document, path) if path.suffix.lower() == ".pdf" else write_html(document, path)


def summary(tree: Procedure, sheet: Sheet, words: Catalogue) -> tuple[tuple[str, str], ...]:
    """What stands at the top: what is expected, what the pages cover, what was not followed."""
    say = words.say
    left = sheet.left
    key = "expected-proof" if left.named > 0.0 else "expected-none"
    expected = say(f"procedure.{key}", minutes=_minutes(left.proof_s), mended=_minutes(left.mend_s))
    covers = say("procedure.covers-text", ended=_of_100(sheet.ended, words), named=_of_100(left.named, words))
    size = say(
        "procedure.size-shared" if sheet.shared else "procedure.size-text",
        steps=len(sheet.steps), ends=len(sheet.ends), shared=sheet.shared,
    )  # fmt: skip
    cut = say("procedure.cut-text", least=f"{100.0 * tree.least:g}", depth=tree.depth)
    if any(isinstance(node, Cut) and node.why == STOPPED for node in tree.nodes):
        cut = f"{say('procedure.stopped-text')} {cut}"
    texts = {"expected": expected, "covers": covers, "cut": cut, "size": size}
    return tuple((say(f"procedure.{name}"), text) for name, text in texts.items())


def procedure_lines(tree: Procedure, words: Catalogue | None = None) -> tuple[str, ...]:
    """The procedure for a terminal. Cautions stand before what they are about."""
    words = words or catalogue()
    sheet = sheet_of(tree)
    lines = [words.say("procedure.title", vehicle=tree.vehicle)]
    lines.append(words.say("procedure.complaint", complaint=tree.complaint))
    lines += [f"! {one}" for one in tree.cautions]
    lines += [f"{label}: {text}" for label, text in summary(tree, sheet, words)]
    for step in sheet.steps:
        lines += ["", _head(step, words)]
        lines += [f"  ! {one}" for one in step.card.cautions]
        lines += [f"  {label}: {text}" for label, text in _facts(step.card, words)]
        lines.append(f"  {step.card.action}")
        for one in step.exits:
            means = "; ".join(one.means) or words.say("procedure.many")
            chance = _of_100(one.chance, words)
            lines.append(f"    {_answer(one, step.card, words)} ({chance} %): {means} -> {_to(one, words)}")
    for end in sheet.ends:
        lines += ["", _end_head(end, words), f"  {end.end.text}"]
        for place, job in enumerate(end.end.jobs, 1):
            lines += [f"  ! {one}" for one in job.cautions]
            lines.append(f"  {place}. {job.text}")
        lines += [f"  {label}: {text}" for label, text in _after(end.end, words)]
    return tuple(lines)


def _kept(blocks: tuple[Piece, ...]) -> tuple[Block, ...]:
    return (Together(blocks),) if sum(map(_signs, blocks)) < MOST_TOGETHER else blocks


def _signs(block: Piece) -> int:
    match block:
        case Heading(text=text) | Paragraph(text=text):
            return len(text)
        case Caution(title=title, texts=texts):
            return len(title) + sum(map(len, texts))
        case Facts(pairs=pairs):
            return sum(len(label) + len(value) for label, value in pairs)
        case Table(rows=rows):
            return sum(len(cell) for row in rows for cell in row)
        case Steps(texts=texts):
            return sum(map(len, texts))


def _head(step: Printed, words: Catalogue) -> str:
    return words.say(
        "procedure.step-left" if step.left.named > 0.0 else "procedure.step-head",
        number=step.number, minutes=_minutes(step.cost_s), reach=_of_100(step.reach, words),
        left=_minutes(step.left.proof_s),
    )  # fmt: skip


def _step(step: Printed, words: Catalogue) -> tuple[Piece, ...]:
    card = step.card
    blocks: list[Piece] = [Heading(_head(step, words))]
    if card.cautions:
        blocks.append(Caution(words.say("card.caution"), card.cautions))
    blocks.append(Paragraph(card.action, "strong"))
    facts = _facts(card, words)
    if facts:
        blocks.append(Facts(facts))
    header = tuple(words.say(f"procedure.column-{name}") for name in ("answer", "means", "chance", "left", "to"))
    rows = tuple(
        (_answer(one, card, words), "; ".join(one.means) or words.say("procedure.many"), _of_100(one.chance, words),
         _minutes_left(one.left), _to(one, words))
        for one in step.exits
    )  # fmt: skip
    followed = frozenset(place for place, one in enumerate(step.exits) if one.to not in NOT_FOLLOWED)
    return (*blocks, Table(header, rows, (LEFT, LEFT, RIGHT, RIGHT, LEFT), followed))


def _facts(card: StepCard, words: Catalogue) -> tuple[tuple[str, str], ...]:
    place = card.place + (f": {card.reach}" if card.reach else "")
    red, black = (
        point + (f" ({side})" if side else "")
        for point, side in ((card.red, card.red_side), (card.black, card.black_side))
    )
    plugs = words.say("shell.plugs-stay" if card.plugged else "shell.plugs-as-said") if card.red else ""
    sound = "" if card.nominal is None else edge_text(card.nominal, card.unit)
    texts = {"place": place, "set": ", ".join(card.settings), "red": red, "black": black, "plugs": plugs}
    return tuple((words.say(f"procedure.{name}"), text) for name, text in (texts | {"sound": sound}).items() if text)


def _answer(one: Exit, card: StepCard, words: Catalogue) -> str:
    if one.word:
        text = words.say(f"meaning.{one.word.replace(' ', '-')}")
        return one.word if one.word == text else f"{one.word}: {text}"
    return band_text(one.low, one.high, None, card.unit, words)


def _to(one: Exit, words: Catalogue) -> str:
    if isinstance(one.to, int):
        return words.say("procedure.to-step", number=one.to)
    if one.to in NOT_FOLLOWED:
        return words.say(f"procedure.to-{one.to}")
    return words.say("procedure.to-end", letters=one.to)


def _end_head(end: Ending, words: Catalogue) -> str:
    return words.say("procedure.end-head", letters=end.letters, reach=_of_100(end.reach, words))


def _end(ending: Ending, words: Catalogue) -> tuple[Piece, ...]:
    end = ending.end
    blocks: list[Piece] = [Heading(_end_head(ending, words)), Paragraph(end.text, "strong")]
    keys = tuple(dict.fromkeys(text for job in end.jobs for text in job.cautions))
    if keys:
        blocks.append(Caution(words.say("card.caution"), keys))
    many = len(end.jobs) > 1
    for place, job in enumerate(end.jobs, 1):
        share = _of_100(job.share, words)
        head = words.say("procedure.job-share", place=place, suspect=job.suspect, share=share) if many else ""
        blocks.append(Paragraph(f"{head}\n{job.text}".strip()))
    facts = _after(end, words)
    if facts:
        blocks.append(Facts(facts))
    return tuple(blocks)


def _after(end: End, words: Catalogue) -> tuple[tuple[str, str], ...]:
    texts = {}
    if end.jobs:
        mend = [words.say("procedure.mend-text", minutes=_minutes(end.mend_s))]
        mend += [words.say("procedure.look-after")] if len(end.jobs) > 1 else []
        mend += [words.say("procedure.more", count=end.more)] if end.more else []
        texts["mend"] = ". ".join(mend)
    if end.retest:
        texts["retest"] = "; ".join(end.retest)
    return tuple((words.say(f"procedure.{name}"), text) for name, text in texts.items())


def _minutes(seconds: float) -> str:
    return f"{max(round(seconds / 60.0), 1)}" if seconds > 0.0 else "0"


def _minutes_left(left: Left) -> str:
    return _minutes(left.proof_s) if left.named > 0.0 else "-"


def _of_100(share: float, words: Catalogue) -> str:
    return f"{100.0 * share:.0f}" if share >= 0.005 else words.say("procedure.few")
