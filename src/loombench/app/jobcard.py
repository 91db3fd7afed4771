"""The job card: what came in, what was measured, what was wrong and why, what was done, and how it was proven.

    document = job_card(JobCard(number="2026-014", vehicle="Library van 3", complaint="Rear light is dead.", ...))

All values are texts as they are to be read; nothing is worked out here. What nobody said is left out, except what a
card must not be silent about: codes, proof, leads, and the sentence that defers to maker, local rules and licence.
"""

import re
from dataclasses import dataclass

from loombench.base.ink import INK
from loombench.base.wording import Catalogue, catalogue
from loombench.paper.document import (
    RIGHT,
    Block,
    Caution,
    Document,
    Facts,
    Heading,
    Paragraph,
    SignatureLines,
    Svg,
    Table,
)

STROKES = re.compile(r"(?:M\d{1,4} \d{1,4}(?:L\d{1,4} \d{1,4})+)+")
"""A signature as path data: each stroke a move and lines, in a field of 1000 by 300."""
SIGNATURE_MM = 60.0
GOOD, BAD, BETWEEN = "good", "bad", "between"
NEW, USED, REBUILT = "new", "used", "rebuilt"


@dataclass(frozen=True)
class CardReading:
    """A reading: where the leads were and how the vehicle was set, what was expected, what was read, and whether that
    is good, bad or between (empty where nothing was expected)."""

    setup: str
    expected: str
    read: str
    verdict: str = ""


@dataclass(frozen=True)
class CardPair:
    """The same thing before and after the repair, under the same set-up."""

    what: str
    before: str
    after: str


@dataclass(frozen=True)
class CardPart:
    """A part used: how many, with its number, and whether new, used or rebuilt."""

    name: str
    number: str = ""
    quantity: str = "1"
    condition: str = NEW


@dataclass(frozen=True)
class CardTime:
    """How long something took."""

    what: str
    minutes: float


@dataclass(frozen=True)
class CardPhoto:
    """A photo kept with the job: when it was taken, what it shows, and its SHA-256."""

    time: str
    text: str
    sha256: str


@dataclass(frozen=True)
class CardSignature:
    """Who signed: `role` technician or customer, the name, when, and the strokes (empty: on paper). `overtaken` where
    something was entered after it."""

    role: str
    name: str
    time: str
    strokes: str
    overtaken: bool


@dataclass(frozen=True)
class JobCard:
    """The facts of a job.

    `details` are further pairs of label and value for the head (plate, hours, dates, who). `complaint` is word for
    word; `reproduced` how it was seen on purpose. `codes` are those saved first; None where no one looked, empty where
    there were none. `proof` says what the proof is, or where not `proven` what is missing; `remaining` are the suspects
    then left. `temporary` is what was done for the time being only. `leads_removed` is None where nobody said so.
    `worked_minutes` are those of the work clock, None where it was not used; `agreed` what the customer agreed to.
    """

    number: str
    vehicle: str
    complaint: str
    details: tuple[tuple[str, str], ...] = ()
    reproduced: str = ""
    codes: tuple[str, ...] | None = None
    cautions: tuple[str, ...] = ()
    readings: tuple[CardReading, ...] = ()
    proven: bool = False
    cause: str = ""
    why: str = ""
    proof: str = ""
    remaining: tuple[str, ...] = ()
    repair: str = ""
    parts: tuple[CardPart, ...] = ()
    pairs: tuple[CardPair, ...] = ()
    times: tuple[CardTime, ...] = ()
    leads_removed: bool | None = None
    temporary: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    worked_minutes: float | None = None
    agreed: str = ""
    photos: tuple[CardPhoto, ...] = ()
    signatures: tuple[CardSignature, ...] = ()


def job_card(card: JobCard, words: Catalogue | None = None, customer: bool = False) -> Document:
    """The card as a document. The customer's copy leaves out what is for the technician: cautions at work,
    readings, suspects, notes and times."""
    say = (words or catalogue()).say
    blocks: list[Block] = [Facts(card.details, columns=2)] if card.details else []
    if card.cautions and not customer:
        blocks.append(Caution(say("card.caution"), card.cautions))
    blocks += _complaint(card, words or catalogue())
    if card.readings and not customer:
        blocks += _readings(card.readings, words or catalogue())
    blocks += _finding(card, words or catalogue(), customer)
    blocks += _work(card, words or catalogue(), customer)
    blocks += [Paragraph(say("card.defer"), "quiet")]
    blocks += _signed(card, words or catalogue())
    title = say("card.customer-title" if customer else "card.title", vehicle=card.vehicle)
    number = say("card.number", number=card.number)
    return Document(title, number, tuple(blocks), f"{number} · {card.vehicle}", (words or catalogue()).language, True)


def _complaint(card: JobCard, words: Catalogue) -> list[Block]:
    codes = (
        words.say("card.codes-unread") if card.codes is None else ", ".join(card.codes) or words.say("card.codes-none")
    )
    pairs = [(words.say("card.said"), words.say("card.quoted", text=card.complaint))]
    if card.reproduced:
        pairs.append((words.say("card.reproduced"), card.reproduced))
    pairs.append((words.say("card.codes"), codes))
    if card.agreed:
        pairs.append((words.say("card.agreed"), card.agreed))
    return [Heading(words.say("card.complaint")), Facts(tuple(pairs))]


def _readings(readings: tuple[CardReading, ...], words: Catalogue) -> list[Block]:
    header = tuple(words.say(f"card.{name}") for name in ("setup", "expected", "read", "verdict"))
    rows = tuple(
        (one.setup, one.expected, one.read, words.say(f"card.{one.verdict}") if one.verdict else "") for one in readings
    )
    bad = frozenset(at for at, one in enumerate(readings) if one.verdict == BAD)
    return [Heading(words.say("card.readings")), Table(header, rows, ("left", RIGHT, RIGHT, "left"), bad)]


def _finding(card: JobCard, words: Catalogue, customer: bool) -> list[Block]:
    pairs = [(words.say("card.cause"), card.cause)] if card.cause else []
    if card.why:
        pairs.append((words.say("card.why"), card.why))
    said = words.say("card.proven" if card.proven else "card.not-proven", proof=card.proof).rstrip()
    blocks: list[Block] = [Heading(words.say("card.found"))]
    if pairs:
        blocks.append(Facts(tuple(pairs)))
    blocks.append(Paragraph(said, "strong"))
    if card.remaining and not card.proven and not customer:
        blocks.append(Paragraph(words.say("card.remaining", suspects="; ".join(card.remaining))))
    return blocks


def _work(card: JobCard, words: Catalogue, customer: bool) -> list[Block]:
    blocks: list[Block] = [Heading(words.say("card.work"))]
    if card.repair:
        blocks.append(Paragraph(card.repair))
    if card.parts:
        header = tuple(words.say(f"card.{name}") for name in ("part", "part-number", "quantity", "condition"))
        rows = tuple(
            (part.name, part.number, part.quantity, words.say(f"card.{part.condition}")) for part in card.parts
        )
        blocks.append(Table(header, rows, ("left", "left", RIGHT, "left")))
    if card.pairs:
        header = tuple(words.say(f"card.{name}") for name in ("same-setup", "before", "after"))
        blocks += [
            Heading(words.say("card.verified")),
            Table(header, tuple((pair.what, pair.before, pair.after) for pair in card.pairs), ("left", RIGHT, RIGHT)),
        ]
    if card.temporary:
        blocks.append(Caution(words.say("cardextra.temporary-title"), card.temporary))
    leads = {True: "card.leads-removed", False: "card.leads-left", None: "card.leads-unsaid"}[card.leads_removed]
    if not customer:
        blocks += [Paragraph(note) for note in card.notes]
    blocks.append(Paragraph(words.say(leads), "normal" if card.leads_removed else "strong"))
    if card.times and not customer:
        each = ", ".join(words.say("card.time", what=one.what, minutes=f"{one.minutes:.0f}") for one in card.times)
        total = f"{sum(one.minutes for one in card.times):.0f}"
        blocks.append(Paragraph(words.say("card.times", each=each, total=total)))
    if card.worked_minutes is not None:
        blocks.append(Paragraph(words.say("card.worked", minutes=f"{card.worked_minutes:.0f}")))
    if card.photos:
        header = tuple(words.say(f"card.{name}") for name in ("photo", "photo-time"))
        table = Table(header, tuple((one.text or "-", one.time) for one in card.photos))
        blocks += [Heading(words.say("card.photos")), table]
    return blocks


def _signed(card: JobCard, words: Catalogue) -> list[Block]:
    """Who signed on the screen, then a line for each who did not."""
    say, blocks = words.say, list[Block]()
    drawn = [one for one in card.signatures if signature_svg(one.strokes)]
    for one in drawn:
        key = "card.signed-overtaken" if one.overtaken else "card.signed-by"
        text = say(key, who=say(f"card.signed-{one.role}"), name=one.name, time=one.time)
        blocks += [Svg(signature_svg(one.strokes), SIGNATURE_MM, text), Paragraph(text)]
    left = [role for role in ("technician", "customer") if role not in {one.role for one in drawn}]
    if left:
        first, *others = (say(f"card.signed-{role}") for role in left)
        blocks.append(SignatureLines((first, say("card.signed-date"), *others)))
    return blocks


def signature_svg(strokes: str) -> str:
    """Strokes as a drawing of ours; empty where they are none."""
    if not STROKES.fullmatch(strokes):
        return ""
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1000 300" width="1000" height="300">'
        f'<path d="{strokes}" fill="none" stroke="{INK}" stroke-width="5" stroke-linecap="round" '
        'stroke-linejoin="round"/></svg>'
    )
