"""Reading `docs/problems/<code>.md` and running the examples in them.

A page begins with a head between two `---` lines. `source:` says which part of the program gives the problem: load,
files, names, condition, complaint, change, edit, save, skeleton, fault, check, evidence, record, paper, drawing, face,
import, whole-import, export or desk. `limits:` may lower limits so that an example stays short. An example is one or
more blocks `circuit` (a second one names its file), `json` (a case's record) or `file NAME` (data of another format),
for some sources a block `ask` with what is typed, and a block `expect` with the report.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

_HEAD = re.compile(r"\A---\n(?P<head>.*?)\n---\n(?P<body>.*)\Z", re.S)
_FENCE = re.compile(r"^```(?P<info>[^\n]*)\n(?P<text>.*?)^```$", re.S | re.M)
MAIN = "example.circuit"
RECORD = "case-2026-014.jsonl"


@dataclass(frozen=True)
class Example:
    """One example: files by name, what is typed, and the report expected."""

    files: Mapping[str, str]
    ask: str
    expect: str


@dataclass(frozen=True)
class Page:
    """A page: its head, its prose without the blocks, its examples."""

    code: str
    head: Mapping[str, str]
    prose: str
    examples: tuple[Example, ...] = field(default=())


def read_page(code: str, text: str) -> Page:
    """The page of a text.

    Raises:
        ValueError: there is no head, or an `expect` block without a circuit before it.
    """
    match = _HEAD.match(text)
    if match is None:
        raise ValueError(f"{code}: the page has no head")
    head = dict(line.split(": ", 1) for line in match["head"].splitlines() if line)
    examples: list[Example] = []
    files: dict[str, str] = {}
    ask = ""
    for fence in _FENCE.finditer(match["body"]):
        words = fence["info"].split()
        if words[:1] == ["circuit"]:
            files[words[1] if len(words) > 1 else MAIN] = fence["text"]
        elif words[:1] == ["json"]:
            files[RECORD] = fence["text"]
        elif words[:1] == ["file"] and len(words) == 2:
            files[words[1]] = fence["text"]
        elif words[:1] == ["ask"]:
            ask = fence["text"].rstrip("\n")
        elif words[:1] == ["expect"]:
            if not files and not ask:
                raise ValueError(f"{code}: an expectation without anything to read")
            examples.append(Example(dict(files), ask, fence["text"].rstrip("\n")))
            files, ask = {}, ""
    prose = _FENCE.sub("", match["body"]).strip()
    return Page(code, head, prose, tuple(examples))
