"""What a page about drawings shows: a small circuit is drawn where something is wrong.

without         no engine is installed
failing         the engine gives up
function WORDS  these are looked for
paper NAME      on this paper
page NUMBER     only this page
file NAME       written to a file of this name
"""

import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from unittest.mock import patch

from loombench.app.drawing import Drawings, layouts_here
from loombench.app.drawingfile import drawn_for, write_drawing
from loombench.base.problems import Problem
from loombench.draw.engine.engines import EngineError
from loombench.text.load import load_text
from tests.diagnose.vehicles import LAMP


class Failing:
    """Stands for an engine that gives up."""

    def lay(self, graph: str) -> str:
        """Never an answer."""
        del graph
        raise EngineError("out of memory")


def drawing_problems(ask: str) -> Sequence[Problem]:
    """The problems under that condition."""
    verb, _, value = ask.partition(" ")
    drawings = Drawings(load_text(LAMP, "rig.circuit").value)
    every = drawings.functions
    match verb:
        case "without":
            with patch.dict(sys.modules, {"py_mini_racer": None, "quickjs": None}):
                return drawings.pages(every[0], layouts_here(None)).problems
        case "failing":
            return drawings.pages(every[0], Failing()).problems
        case "function":
            return drawings.find(value).problems
        case "paper":
            return drawn_for(drawings, every[:1], None, value).problems
        case "page":
            return drawn_for(drawings, every[:1], None, "A4", int(value)).problems
        case "file":
            pages = drawings.pages(every[0], layouts_here(None)).value
            with tempfile.TemporaryDirectory() as folder:
                return write_drawing("rig", pages, Path(folder) / value).problems
        case _:
            raise ValueError(ask)
