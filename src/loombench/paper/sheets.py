"""Drawings that fill a page each, as PDF or as a picture: at their own size, one unit of the SVG a millimetre."""

import importlib
import json
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from loombench.base.outcome import Outcome
from loombench.base.problems import error, warning
from loombench.paper.document import Sheet, clean
from loombench.paper.typeface import FOLDER

_SETTING = Path(__file__).parent / "data" / "sheets.typ"
DOTS_PER_INCH = 200.0
PDF, PNG = "pdf", "png"


def sheets_bytes(title: str, sheets: Sequence[Sheet], form: str = PDF) -> Outcome[bytes | None]:
    """All sheets as one PDF, or the only one as PNG; None with the problem where it cannot be set."""
    try:
        typst: Any = importlib.import_module("typst")
    except ImportError:
        return Outcome(None, (warning("pdf-missing"),))
    data = {"title": clean(title), "sheets": [asdict(sheet) | {"alt": clean(sheet.alt)} for sheet in sheets]}
    more = {"ppi": DOTS_PER_INCH} if form == PNG else {}
    try:
        made = typst.compile(
            _SETTING.read_bytes(),
            sys_inputs={"document": json.dumps(data)},
            font_paths=[str(FOLDER)],
            format=form,
            **more,
        )
    except typst.TypstError as wrong:
        return Outcome(None, (error("pdf-failed", reason=(str(wrong).splitlines() or [""])[0][:200]),))
    return Outcome(bytes(made))
