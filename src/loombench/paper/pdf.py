"""A document as PDF, set by typst. It is the only place that knows typst, and does not need it to be loaded.

The setting is a fixed text; what is to be set is handed over as JSON and arrives as strings, so that no sign in them
means anything.
"""

import dataclasses
import importlib
import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

from loombench.base.outcome import Outcome
from loombench.base.problems import Problem, error, warning
from loombench.paper.document import Block, Caution, Document, Svg, Table, Together, clean
from loombench.paper.files import put
from loombench.paper.look import LOOK, Look
from loombench.paper.typeface import FAMILY, FOLDER

_SETTING = Path(__file__).parent / "data" / "document.typ"
_PAGES = re.compile(rb"/Type\s*/Pages\b.*?/Count\s+(\d+)", re.S)
SCALES = (0.94, 0.88, 0.82)
_LONGEST_WORD = 30
_WORD = re.compile(rf"\S{{{_LONGEST_WORD},}}")
_PIECE = re.compile(r"(\S{12})(?=\S)")


def to_pdf(document: Document, path: Path | str) -> Outcome[Path | None]:
    """Write the document to `path`; its value is None with the problem where there is no PDF.

    A drawing that cannot be set is replaced by its description, and that is said.
    """
    made = pdf_bytes(document)
    if made.value is None:
        return Outcome(None, made.problems)
    target = Path(path)
    wrong = put(target, made.value)
    return Outcome(None, (*made.problems, wrong)) if wrong else Outcome(target, made.problems)


def pdf_bytes(document: Document) -> Outcome[bytes | None]:
    """The PDF itself; None with the problem where typst is not there or cannot set the document."""
    try:
        typst: Any = importlib.import_module("typst")
    except ImportError:
        return Outcome(None, (warning("pdf-missing"),))
    problems: list[Problem] = []
    try:
        return Outcome(_set(typst, document))
    except typst.TypstError as wrong:
        drawings = sum(isinstance(block, Svg) for block in document.blocks) + len(document.sheets)
        if not drawings:
            return Outcome(None, (error("pdf-failed", reason=_first_line(wrong)),))
        problems.append(warning("pdf-drawing", count=drawings, reason=_first_line(wrong)))
    try:
        blocks = tuple(_in_words(block) for block in document.blocks)
        described = tuple(Caution(sheet.alt, ()) for sheet in document.sheets)
        return Outcome(_set(typst, replace(document, blocks=(*blocks, *described), sheets=())), tuple(problems))
    except typst.TypstError as wrong:
        return Outcome(None, (error("pdf-failed", reason=_first_line(wrong)),))


def _set(typst: Any, document: Document) -> bytes:
    """The PDF at full size, or at the first of the smaller sizes that takes one page, if one page is wanted; drawings
    have a page each and do not count."""
    full = _set_in(typst, document, LOOK)
    wanted = 1 + len(document.sheets)
    if not document.one_page or pages(full) == wanted:
        return full
    for scale in SCALES:
        made = _set_in(typst, document, LOOK.smaller(scale))
        if pages(made) == wanted:
            return made
    return full


def pages(made: bytes) -> int:
    """How many pages a PDF has, by the count in its page tree (ISO 32000-2, 7.7.3.2)."""
    tree = _PAGES.search(made)
    return int(tree[1]) if tree else 0


def _set_in(typst: Any, document: Document, look: Look) -> bytes:
    data = {
        "title": clean(document.title),
        "subtitle": _breakable(document.subtitle),
        "footer": _breakable(document.footer),
        "language": document.language,
        "family": FAMILY,
        "look": dataclasses.asdict(look),
        "blocks": [_block(block) for block in document.blocks],
        "sheets": [dataclasses.asdict(sheet) | {"alt": clean(sheet.alt)} for sheet in document.sheets],
    }
    made = typst.compile(
        _SETTING.read_bytes(), sys_inputs={"document": json.dumps(data)}, font_paths=[str(FOLDER)], format="pdf"
    )
    return bytes(made)


def _block(block: Block) -> dict[str, object]:
    fields: dict[str, object] = {"kind": type(block).__name__}
    for name, value in vars(block).items():
        fields[name] = value if isinstance(block, Svg) and name == "text" else _cleaned(value)
    if isinstance(block, Together):
        fields["blocks"] = [_block(one) for one in block.blocks]
    if isinstance(block, Table):
        fields |= {"align": block.alignment, "narrow": block.narrow, "strong": sorted(block.strong)}
    return fields


def _cleaned(value: object) -> object:
    """Every text within, made harmless."""
    if isinstance(value, str):
        return _breakable(value)
    return [_cleaned(item) for item in value] if isinstance(value, tuple) else value


def _breakable(text: str) -> str:
    """A text whose endless words may be broken, by spaces of no width, so that none runs off the paper."""
    return _WORD.sub(lambda word: _PIECE.sub("\\1\u200b", word[0]), clean(text))


def _in_words(block: Block) -> Block:
    return Caution(block.alt, ()) if isinstance(block, Svg) else block


def _first_line(wrong: Exception) -> str:
    return (str(wrong).splitlines() or [""])[0][:200]
