"""What the examples on the pages of problems do with files of other formats: each is read by what its name ends in.

An `.xml` is read as XML alone, since most of what can be wrong with a file's form is the same for every format. In it
`{binary HEX}` stands for bytes that no page can show. `ask` may hold lines `limit NAME NUMBER` for the limits of XML,
or of tables where the file is a `.csv`.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from loombench.base.problems import Problem
from loombench.exchange.report import Notes
from loombench.exchange.tables.model import TABLE_LIMITS
from loombench.exchange.tables.read import read_tables
from loombench.exchange.xmlin import XML_LIMITS, read_xml

_BINARY = re.compile(rb"\{binary ([0-9a-f ]+)\}")


def import_problems(files: Mapping[str, str], ask: str) -> Sequence[Problem]:
    """The problems of all files, in order."""
    return [one for name, text in files.items() for one in _of_file(name, _bytes(text), ask)]


def _bytes(text: str) -> bytes:
    return _BINARY.sub(lambda found: bytes.fromhex(found[1].decode("ascii")), text.encode("utf-8"))


def _of_file(name: str, data: bytes, ask: str) -> Sequence[Problem]:
    notes = Notes()
    words = [line.split() for line in ask.splitlines()]
    told = {limit: int(number) for verb, limit, number in words if verb == "limit"}
    if name.endswith(".csv"):
        read_tables(data, name, notes, limits=replace(TABLE_LIMITS, **told))
        return notes.problems
    limits = replace(XML_LIMITS, **told)
    read_xml(data, name, notes, (), lambda _parent, _element: True, limits=limits)
    return notes.problems
