"""What the examples on the pages of problems do with files of other formats: each is read by what its name ends in.

A `.vec` or package of it is read as VEC, an `.xml` as XML alone, since most of what can be wrong with a file's form is
the same for every format. In each `{binary HEX}` stands for bytes that no page can show. `ask` may hold lines `limit
NAME NUMBER` for the limits of XML, or of tables where the file is a `.csv`; for a KBL file a line `options CODES`, and
then the problems are those of choosing them. Of a file `part-of.kbl` only the elements that matter are on the page;
`tests.exchange.kblframe` says what stands around them.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from loombench.base.problems import Problem
from loombench.exchange.kbl.read import read_kbl
from loombench.exchange.report import Notes
from loombench.exchange.tables.model import TABLE_LIMITS
from loombench.exchange.tables.read import read_tables
from loombench.exchange.variants import chosen
from loombench.exchange.vec.read import read_vec
from loombench.exchange.wirelist.layout import AUTOMATIC
from loombench.exchange.wirelist.read import read_wirelist
from loombench.exchange.xmlin import XML_LIMITS, read_xml
from tests.exchange.kblframe import framed

PART_OF_KBL = "part-of.kbl"
_BINARY = re.compile(rb"\{binary ([0-9a-f ]+)\}")


def import_problems(files: Mapping[str, str], ask: str) -> Sequence[Problem]:
    """The problems of all files, in order; text tables are read together, the first being the wire list."""
    tables = [(_bytes(text), name) for name, text in files.items() if name.endswith(".csv")]
    if tables and "limit " not in ask:
        (data, name), *others = tables
        return read_wirelist(data, name, AUTOMATIC, others).problems
    return [one for name, text in files.items() for one in _of_file(name, _bytes(text), ask)]


def _bytes(text: str) -> bytes:
    return _BINARY.sub(lambda found: bytes.fromhex(found[1].decode("ascii")), text.encode("utf-8"))


def _of_file(name: str, data: bytes, ask: str) -> Sequence[Problem]:
    notes = Notes()
    words = [line.split() for line in ask.splitlines() if line.startswith("limit ")]
    told = {limit: int(number) for _verb, limit, number in words}
    if ".vec" in name:
        return read_vec(data, name).problems
    if name.endswith(".kbl"):
        return _of_kbl(name, framed(data.decode("utf-8")).encode() if name == PART_OF_KBL else data, ask)
    if name.endswith(".csv"):
        read_tables(data, name, notes, limits=replace(TABLE_LIMITS, **told))
        return notes.problems
    limits = replace(XML_LIMITS, **told)
    read_xml(data, name, notes, (), lambda _parent, _element: True, limits=limits)
    return notes.problems


def _of_kbl(name: str, data: bytes, ask: str) -> Sequence[Problem]:
    imported = read_kbl(data, name)
    codes = [line.split()[1:] for line in ask.splitlines() if line.startswith("options")]
    if codes and imported.harness is not None:
        return chosen(imported.harness, codes[0]).problems
    return imported.problems
