"""A job's papers: the card and the customer's copy as a page or PDF, the file to take along, what is found so far."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from loombench.app.case import Case
from loombench.app.casedrawing import case_sheets
from loombench.app.desk.asking import Asked
from loombench.app.desk.desk import Desk, Task
from loombench.app.desk.saying import Told, told
from loombench.app.eventwords import event_text
from loombench.app.findingcard import card_facts, job_card
from loombench.app.inspection import inspection, sheet_document
from loombench.app.jobcard import CardPair
from loombench.base.problems import Problem
from loombench.base.wording import Catalogue
from loombench.evidence.events import Undone
from loombench.evidence.replay import effective
from loombench.paper.document import Document, Heading, Table
from loombench.paper.html import to_html
from loombench.paper.pdf import pdf_bytes

PAGE, PDF, FILE = "page", "pdf", "file"


@dataclass(frozen=True)
class Printed:
    """A paper as bytes, HTML or PDF; None where it could not be made."""

    data: bytes | None
    problems: tuple[Told, ...] = ()


@dataclass(frozen=True)
class FoundSoFar:
    """What the card would say now of cause, proof and repair, and the same before and after."""

    proven: bool
    cause: str
    proof: str
    remaining: tuple[str, ...]
    repair: str
    pairs: tuple[CardPair, ...]
    problems: tuple[Told, ...] = ()


def found_so_far(desk: Desk, asked: Asked, case: str) -> FoundSoFar:
    """What the search has come to."""
    found = desk.case(case, asked)
    if found.value is None:
        return FoundSoFar(False, "", "", (), "", (), told(found.problems, asked.words))
    card = card_facts(found.value, asked.words)
    return FoundSoFar(card.proven, card.cause, card.proof, card.remaining, card.repair, card.pairs)


def printed(
    desk: Desk, asked: Asked, case: str, form: str, customer: bool = False, linked: tuple[str, ...] = ()
) -> Printed:
    """A job's paper: the card (`customer`: the copy without suspects) as a `page` that links its style or as `pdf`, or
    the `file` to take along, with drawings and timeline and all it needs within."""
    found = desk.case(case, asked)
    if found.value is None:
        return Printed(None, told(found.problems, asked.words))
    here, words = found.value, asked.words
    document, problems = job_card(here, words, customer), list[Problem]()
    if form == FILE:
        document = replace(document, blocks=(*document.blocks, *_timeline(here, words)))
    if not customer:
        sheets = case_sheets(here, desk.layouts, words)
        document, problems = replace(document, sheets=sheets.value), [*sheets.problems]
    asked.go_on()
    if form == PDF:
        made = pdf_bytes(document)
        return Printed(made.value, told((*problems, *made.problems), words))
    return Printed(_html(document, linked if form == PAGE else ()), told(problems, words))


def inspected(desk: Desk, asked: Asked, vehicle: str, what: str, linked: tuple[str, ...]) -> Printed:
    """The list of what must work in which state, of all loads or those that `what` names, as a page that links its
    style."""
    found = desk.vehicle(vehicle)
    if found.value is None:
        return Printed(None, told(found.problems, asked.words))
    made = inspection(found.value.opened.vehicle, what, asked.words)
    if made.value is None:
        return Printed(None, told(made.problems, asked.words))
    return Printed(_html(sheet_document(made.value, asked.words), linked), told(made.problems, asked.words))


def _html(document: Document, linked: tuple[str, ...]) -> bytes:
    return to_html(document, linked).encode("utf-8", "replace")


def _timeline(case: Case, words: Catalogue) -> tuple[Heading | Table, ...]:
    """All events in order, those taken back among them."""
    standing = {one.number for one in effective(case.events)}
    rows = []
    for one in case.events:
        text = event_text(case.bench, case.events, one.payload, words)
        gone = one.number not in standing and not isinstance(one.payload, Undone)
        rows.append((one.time[:16].replace("T", " "), words.say("web.record.gone", text=text) if gone else text))
    header = (words.say("web.record.when"), words.say("web.record.what"))
    return Heading(words.say("web.record.timeline")), Table(header, tuple(rows))


TASKS: Mapping[str, Task] = MappingProxyType(
    {"record.found": found_so_far, "record.printed": printed, "inspection": inspected}
)
