"""Circuit pages written to files."""

from collections.abc import Sequence
from pathlib import Path

from loombench.app.asking import Question
from loombench.app.drawing import Drawings, DrawnPage, cache_folder, layouts_here
from loombench.app.drawnstate import overlay_of
from loombench.base.outcome import Outcome, errors
from loombench.base.problems import error
from loombench.base.wording import Catalogue, catalogue
from loombench.draw.circuit.functions import Function
from loombench.draw.overlay import NOTHING
from loombench.draw.papers import PAPERS
from loombench.paper.document import Sheet
from loombench.paper.files import put
from loombench.paper.sheets import PDF, PNG, sheets_bytes
from loombench.paper.viewer import Shown, Viewer, to_viewer

FORMS = (".svg", ".pdf", ".png", ".html")


def write_drawing(
    title: str, pages: Sequence[DrawnPage], path: Path, words: Catalogue | None = None
) -> Outcome[tuple[Path, ...]]:
    """Write the pages in the form that the file's ending says: PDF and HTML hold all of them, of SVG and PNG there is
    a file for each, numbered where there are several. The files there are now, and what went wrong."""
    words = words or catalogue()
    form = path.suffix.lower()
    if form not in FORMS:
        return Outcome((), (error("drawing-form", name=path.name[:80], allowed=", ".join(FORMS)),))
    if form == ".html":
        return _put(path, to_viewer(viewer_of(title, pages, words)).encode("utf-8"))
    sheets = [Sheet(page.svg, page.width_mm, page.height_mm, page.title) for page in pages]
    if form == ".pdf":
        made = sheets_bytes(title, sheets, PDF)
        return _put(path, made.value) if made.value is not None else Outcome((), made.problems)
    written: list[Path] = []
    for number, sheet in enumerate(sheets, 1):
        target = path if len(sheets) == 1 else path.with_name(f"{path.stem}-{number}{path.suffix}")
        picture = Outcome(sheet.svg.encode()) if form == ".svg" else sheets_bytes(title, [sheet], PNG)
        done = _put(target, picture.value) if picture.value is not None else Outcome((), picture.problems)
        written.extend(done.value)
        if done.problems:
            return Outcome(tuple(written), done.problems)
    return Outcome(tuple(written))


def drawn_for(
    drawings: Drawings,
    functions: Sequence[Function],
    question: Question | None,
    paper: str,
    page: int = 0,
    words: Catalogue | None = None,
) -> Outcome[tuple[DrawnPage, ...]]:
    """All pages of the functions, with the condition and faults of a question laid over; `page` takes one of them."""
    if paper not in PAPERS:
        return Outcome((), (error("drawing-paper", paper=paper[:20], allowed=", ".join(PAPERS)),))
    overlay = overlay_of(drawings.vehicle, question.condition, question.faults) if question else Outcome(NOTHING)
    layouts = layouts_here(cache_folder())
    problems = list(overlay.problems)
    pages: list[DrawnPage] = []
    for function in functions:
        made = drawings.pages(function, layouts, overlay.value, paper, words)
        pages.extend(made.value)
        problems.extend(made.problems)
    chosen = tuple(pages) if page == 0 else tuple(pages[page - 1 : page])
    if page > len(pages) and not errors(problems):
        problems.append(error("drawing-page", number=page, count=len(pages)))
    return Outcome(chosen, tuple(dict.fromkeys(problems)))


def viewer_of(title: str, pages: Sequence[DrawnPage], words: Catalogue) -> Viewer:
    """The pages as a file to look into."""
    shown = tuple(
        Shown(f"{page.function}/{page.number}", f"{page.title} {page.number}/{page.count}", page.svg) for page in pages
    )
    keys = ("find", "page", "in", "out", "whole", "first")
    return Viewer(title, shown, {key: words.say(f"drawing.view-{key}") for key in keys}, words.language)


def _put(path: Path, data: bytes) -> Outcome[tuple[Path, ...]]:
    wrong = put(path, data)
    return Outcome((), (wrong,)) if wrong else Outcome((path,))
