"""What a page about giving a vehicle out shows: the circuit is exported as `ask` says.

FORMAT NAME [phase N] [beside NAME]     `beside`: a file of that name is there already
"""

import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from loombench.app.exporting import export, write_export
from loombench.base.problems import Problem
from loombench.text.load import load_text
from tests.problems.pages import MAIN


def export_problems(files: Mapping[str, str], ask: str) -> Sequence[Problem]:
    """The problems of an export."""
    words = ask.split()
    said = dict(zip(words[2::2], words[3::2], strict=True))
    vehicle = load_text(files[MAIN], MAIN, files.get).value
    made = export(vehicle, words[0], Path(words[1]).name, phase=int(said.get("phase", "0")))
    if made.value is None:
        return made.problems
    with tempfile.TemporaryDirectory() as folder:
        if "beside" in said:
            (Path(folder) / said["beside"]).write_text("", encoding="utf-8")
        problems = (*made.problems, *write_export(made.value, Path(folder) / Path(words[1]).parent).problems)
        return tuple(_without_folder(one, folder) for one in problems)


def _without_folder(item: Problem, folder: str) -> Problem:
    facts = tuple((name, text.replace(f"{folder}/", "")) for name, text in item.facts)
    return replace(item, facts=facts)
