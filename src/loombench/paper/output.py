"""A document printed in every form there is: HTML always, PDF where it can be made."""

from pathlib import Path

from loombench.base.outcome import Outcome
from loombench.paper.document import Document
from loombench.paper.files import put
from loombench.paper.html import to_html
from loombench.paper.pdf import to_pdf


def write_html(document: Document, path: Path | str) -> Outcome[Path | None]:
    """Write the document as one HTML file; None with the problem where it could not be written."""
    target = Path(path)
    wrong = put(target, to_html(document).encode("utf-8"))
    return Outcome(None, (wrong,)) if wrong else Outcome(target)


def write_all(document: Document, folder: Path | str, stem: str) -> Outcome[tuple[Path, ...]]:
    """Write `stem.html` and, where it can be made, `stem.pdf`; the files there are now, and what went wrong."""
    place = Path(folder)
    page, print_ = write_html(document, place / f"{stem}.html"), to_pdf(document, place / f"{stem}.pdf")
    files = tuple(path for path in (page.value, print_.value) if path is not None)
    return Outcome(files, (*page.problems, *print_.problems))
