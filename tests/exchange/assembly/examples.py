"""What the examples on the pages of problems do with a whole import.

The files are written to a folder and imported together; `part-of.kbl` is set in a small sound KBL file. Lines of `ask`:
`options A,B`, `accept`, `answers FILE`, `join ONE OTHER`, `most N` (the limit of lines), `held` (show what a circuit
does not hold, else left out), `folder NAME` (the import is written there, where a file is already).
"""

import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from loombench.app.importing import Request, make_import, write_import
from loombench.base.problems import Problem, Span
from loombench.base.wording import catalogue
from loombench.text.limits import LIMITS
from tests.exchange.kblframe import framed

PART_OF_KBL = "part-of.kbl"


def whole_import_problems(files: Mapping[str, str], ask: str) -> Sequence[Problem]:
    """The problems of the import, with the names of the files as they are on the page."""
    with tempfile.TemporaryDirectory() as folder:
        request, into, limits = Request(()), "", LIMITS
        for line in ask.splitlines():
            verb, *words = line.split()
            if verb == "options":
                request = replace(request, codes=tuple(words))
            elif verb == "accept":
                request = replace(request, accept=True)
            elif verb == "answers":
                request = replace(request, answers=f"{folder}/{words[0]}")
            elif verb == "join":
                request = replace(request, joins=((words[0], words[1]),))
            elif verb == "held":
                continue
            elif verb == "most":
                limits = replace(limits, most_statements=int(words[0]))
            else:
                into = f"{folder}/{words[0]}"
        for name, text in files.items():
            path = Path(folder) / name
            path.parent.mkdir(exist_ok=True)
            path.write_text(framed(text) if name == PART_OF_KBL else text, encoding="utf-8")
        data = [f"{folder}/{name}" for name in files if f"{folder}/{name}" != request.answers and "/" not in name]
        made = make_import(replace(request, files=tuple(data)), limits)
        problems = [one for one in made.problems if one.code != "import-not-held" or "held" in ask.split()]
        if into and made.value is not None:
            problems += write_import(made.value, Path(into))
        return [_without(one, folder) for one in problems]


def _without(item: Problem, folder: str) -> Problem:
    def shown(text: str) -> str:
        return text.replace(f"{folder}/", "")

    spans = tuple(Span(shown(span.file), span.line, span.column, span.end_column) for span in item.spans)
    return replace(item, spans=spans, facts=tuple((name, shown(catalogue().text(fact))) for name, fact in item.facts))
