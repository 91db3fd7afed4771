"""What a page about paper shows: a small document is printed where something is wrong.

without     typst is not installed
failing     typst cannot set the document
drawing     a drawing is broken
nowhere     the folder is not there
"""

import sys
import tempfile
from collections.abc import Mapping, Sequence
from contextlib import ExitStack
from pathlib import Path
from types import SimpleNamespace
from unittest.mock import patch

from loombench.base.problems import Problem
from loombench.paper.document import Document, Paragraph, Svg
from loombench.paper.output import write_all


class SettingError(Exception):
    """Stands for what typst raises."""


def _refuse(*_: object, **__: object) -> bytes:
    raise SettingError("the document did not converge\nhint: none")


def _refuse_drawings(_: bytes, sys_inputs: Mapping[str, str], **__: object) -> bytes:
    if '"Svg"' in sys_inputs["document"]:
        raise SettingError("failed to parse SVG")
    return b"%PDF"


def paper_problems(ask: str) -> Sequence[Problem]:
    """The problems of printing under that condition."""
    document = Document("Job card", "Job 2026-014", (Paragraph("E7 dead."),))
    with tempfile.TemporaryDirectory() as name, ExitStack() as stack:
        folder = Path(name)
        match ask:
            case "without":
                stack.enter_context(patch.dict(sys.modules, {"typst": None}))
            case "failing":
                broken = SimpleNamespace(compile=_refuse, TypstError=SettingError)
                stack.enter_context(patch.dict(sys.modules, {"typst": broken}))
            case "drawing":
                broken = SimpleNamespace(compile=_refuse_drawings, TypstError=SettingError)
                stack.enter_context(patch.dict(sys.modules, {"typst": broken}))
                document = Document("Job card", "Job 2026-014", (Svg("<svg", 80.0, "The circuit of E7"),))
            case "nowhere":
                stack.enter_context(patch.dict(sys.modules, {"typst": None}))
                folder = folder / "not there"
            case _:
                raise ValueError(ask)
        return write_all(document, folder, "card").problems
