"""The files a case is printed to: the job card, the customer's copy, the step on show."""

from dataclasses import replace
from pathlib import Path

from loombench.app.cards import StepCard
from loombench.app.case import Case
from loombench.app.casedrawing import case_sheets, step_document
from loombench.app.drawing import cache_folder, layouts_here
from loombench.app.findingcard import job_card
from loombench.base.outcome import Outcome
from loombench.base.problems import Level
from loombench.base.wording import Catalogue
from loombench.paper.output import write_all, write_html


def write_card(
    case: Case, folder: Path, customer: bool = False, words: Catalogue | None = None
) -> Outcome[tuple[Path, ...]]:
    """The job card with its circuit behind it, or the customer's copy without, as HTML and, where the PDF extra is
    there, PDF; the paths written. A circuit that cannot be drawn is missed and no more."""
    document = job_card(case, words, customer)
    if customer:
        return write_all(document, folder, f"{case.id}-customer")
    drawn = case_sheets(case, layouts_here(cache_folder()), words)
    written = write_all(replace(document, sheets=drawn.value), folder, case.id)
    missed = (replace(problem, level=Level.WARNING) for problem in drawn.problems)
    return Outcome(written.value, (*written.problems, *missed))


def write_step(case: Case, card: StepCard, folder: Path, words: Catalogue | None = None) -> Outcome[Path | None]:
    """The step on show, drawn: circuit, faces and place in one HTML file; the path written."""
    drawn = step_document(case, card, layouts_here(cache_folder()), words)
    written = write_html(drawn.value, folder / f"{case.id}-step.html")
    return Outcome(written.value, (*drawn.problems, *written.problems))
