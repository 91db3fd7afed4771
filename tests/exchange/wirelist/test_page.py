"""The examples of `docs/import-wire-lists.md`: each list on the page gives the wires and notes shown below it."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from loombench.exchange.colours import meaning
from loombench.exchange.harness import Wire
from loombench.exchange.report import Imported
from loombench.exchange.wirelist.layout import AUTOMATIC, Layout
from loombench.exchange.wirelist.read import read_wirelist

PAGE = Path(__file__).parents[3] / "docs" / "import-wire-lists.md"
_FENCE = re.compile(r"^```(\w+)([^\n]*)\n(.*?)^```$", re.S | re.M)


@dataclass(frozen=True)
class Example:
    """Files by name, the first being the wire list; what the caller tells; what is shown."""

    files: tuple[tuple[str, str], ...]
    layout: Layout
    shown: str


def examples(page: str) -> Iterator[Example]:
    files: list[tuple[str, str]] = []
    for kind, info, text in _FENCE.findall(page):
        if kind == "csv":
            files.append((info.strip(), text))
        elif kind == "text" and files:
            told = dict(word.split("=") for word in info.split())
            yield Example(tuple(files), replace(AUTOMATIC, **told), text)
            files = []


def said(imported: Imported) -> str:
    """The wires, the fuses and the codes of the notes, as the page shows them."""
    lines = [_wire(wire) for wire in imported.harness.wires] if imported.harness else ["nothing is taken over"]
    for one in imported.harness.fitted if imported.harness else ():
        rating = f"{one.rating_a:g} A" if one.rating_a is not None else "?"
        lines.append(f"{one.kind} {one.id}  {rating}  {' '.join(str(spot) for spot in one.spots)}")
    lines += [f"{code} ({times})" for code, times in imported.repairs]
    return "\n".join(lines) + "\n"


def _wire(wire: Wire) -> str:
    ends = " ~ ".join(str(end.spot) if end.spot else "(open)" for end in wire.ends)
    colour = meaning(wire.colour)
    size = f"{wire.area_mm2:.3g} mm2" if wire.area_mm2 is not None else "?"
    length = f"{wire.length_m:g} m" if wire.length_m is not None else "?"
    options = f"  if {' or '.join(wire.options)}" if wire.options else ""
    return f"{wire.id}: {ends}  {colour or '?'}  {size}  {length}{options}"


ALL = tuple(examples(PAGE.read_text(encoding="utf-8")))


def shown_by(example: Example) -> str:
    (name, text), *others = example.files
    more = [(other.encode(), file) for file, other in others]
    return said(read_wirelist(text.encode(), name, example.layout, more))


def test_there_are_examples() -> None:
    assert len(ALL) >= 6


@pytest.mark.parametrize("example", ALL, ids=range(len(ALL)))
def test_an_example_gives_what_the_page_shows(example: Example) -> None:
    assert shown_by(example) == example.shown


def test_an_altered_page_is_found() -> None:
    text = PAGE.read_text(encoding="utf-8")
    planted = text.replace("12;X1;3;", "12;X9;3;", 1)
    assert planted != text
    example = next(examples(planted))
    assert shown_by(example) != example.shown
