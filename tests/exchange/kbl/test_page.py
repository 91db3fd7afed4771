"""The examples of `docs/import-kbl.md`: each part of a file gives what the page shows below it."""

import re
from collections.abc import Iterator
from pathlib import Path

from loombench.base.wording import catalogue
from loombench.exchange.harness import Harness
from loombench.exchange.kbl.read import read_kbl
from loombench.exchange.variants import chosen
from tests.exchange.kblframe import framed

PAGE = (Path(__file__).parents[3] / "docs" / "import-kbl.md").read_text(encoding="utf-8")
_BLOCK = re.compile(r"^```(?P<kind>kbl|read)(?P<codes>[^\n]*)\n(?P<text>.*?)^```$", re.S | re.M)


def said(part: str, codes: list[str]) -> str:
    """Wires, fitted parts and repairs of a part of a file, as the page prints them."""
    imported = read_kbl(framed(part).encode(), "page.kbl")
    assert imported.harness is not None
    harness, repairs = imported.harness, imported.repairs
    if codes:
        left = chosen(harness, codes)
        assert left.harness is not None
        harness, repairs = left.harness, (*repairs, *left.repairs)
    return "\n".join([*_things(harness), *(f"{code} {count}" for code, count in repairs)]) + "\n"


def _things(harness: Harness) -> Iterator[str]:
    for wire in harness.wires:
        ends = " - ".join(str(end.spot) if end.spot is not None else "open" for end in wire.ends)
        colour = f"{'/'.join(wire.colour.parts)} ({wire.colour.system})"
        words = (ends, wire.signal, colour, f"{wire.area_mm2:g} mm2", f"{wire.length_m:g} m")
        yield f"{wire.number}: {', '.join(word for word in words if word)}"
    for one in harness.fitted:
        yield f"{one.id}: {one.kind} {one.rating_a:g} A in {', '.join(str(spot) for spot in one.spots)}"


def test_each_example_gives_what_the_page_shows() -> None:
    part, shown = "", 0
    for block in _BLOCK.finditer(PAGE):
        if block["kind"] == "kbl":
            part = block["text"]
        else:
            shown += 1
            assert said(part, block["codes"].split()) == block["text"]
    assert shown >= 6


def test_an_altered_example_is_found() -> None:
    block = next(found for found in _BLOCK.finditer(PAGE) if found["kind"] == "kbl")
    assert said(block["text"].replace("58R", "58L"), []) not in PAGE


def test_each_code_the_page_names_is_one() -> None:
    named = {one or two for one, two in re.findall(r"\(`([a-z-]+)`[,)]|`([a-z]+-[a-z-]+)`", PAGE)} - {"gn-br"}
    assert len(named) > 25
    assert sorted(code for code in named if not catalogue().has(f"problem.{code}.title")) == []
