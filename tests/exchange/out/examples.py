"""What a page about giving a vehicle out shows: the circuit is exported as `ask` says.

FORMAT NAME [phase N] [beside NAME]     `beside`: a file of that name is there already
back NAME OLD=NEW                       a wire list, in which a name was changed, is read again beside the parts
"""

import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from loombench.app.exporting import export, write_export
from loombench.app.importing import Request
from loombench.app.rejoining import rejoin_files
from loombench.base.problems import Problem
from loombench.base.wording import catalogue
from loombench.exchange.leaving import leave
from loombench.exchange.wirelist.write import write_wirelist
from loombench.text.load import load_text
from loombench.text.write import write
from tests.problems.pages import MAIN


def export_problems(files: Mapping[str, str], ask: str) -> Sequence[Problem]:
    """The problems of an export."""
    words = ask.split()
    if words[0] == "back":
        return _back(files, words[1], *words[2].split("="))
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


def _back(files: Mapping[str, str], name: str, old: str, new: str) -> Sequence[Problem]:
    vehicle = load_text(files[MAIN], MAIN, files.get).value
    text = write_wirelist(leave(vehicle)).replace(old, new)
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / name).write_text(text, encoding="utf-8")
        (Path(folder) / MAIN).write_text(write(replace(vehicle, wires=())), encoding="utf-8")
        problems = rejoin_files(Request((f"{folder}/{name}",)), f"{folder}/{MAIN}").problems
        return [_without_folder(one, folder) for one in problems if one.code == "parts-unknown"]


def _without_folder(item: Problem, folder: str) -> Problem:
    facts = tuple((name, catalogue().text(fact).replace(f"{folder}/", "")) for name, fact in item.facts)
    spans = tuple(replace(span, file=span.file.replace(f"{folder}/", "")) for span in item.spans)
    return replace(item, facts=facts, spans=spans)
