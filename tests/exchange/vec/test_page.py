"""The examples of `docs/import-vec.md`: each piece, put into a sound file, gives what the page shows below it."""

import re
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

from loombench.base.wording import catalogue
from loombench.exchange.harness import Harness
from loombench.exchange.vec.read import read_vec
from tests.exchange.vec.files import (
    composition,
    connector,
    contacting,
    file,
    housing,
    point,
    specification,
    terminal,
    wire,
)

PAGE = (Path(__file__).parents[3] / "docs" / "import-vec.md").read_text(encoding="utf-8")
_BLOCK = re.compile(r"^```(?P<kind>vec|circuit-only|read)\n(?P<text>.*?)^```$", re.S | re.M)
_XSI = 'xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" xmlns:vec="http://www.prostep.org/ecad-if/2011/vec"'
# Where a piece goes that has no namesake in the sound file.
_WITHIN = {"ContactPoint": "k", "Signal": "ss", "VariantConfiguration": "vs"}


def _colour(tag: str, key: str) -> str:
    return f'<{tag} id="{key}"><Key>{key}</Key><ReferenceSystem>IEC 60757</ReferenceSystem></{tag}>'


def sound() -> str:
    """The file that the page tells of."""
    used = "<ReferencedWireElement>we</ReferencedWireElement>"
    made = "<ConductorSpecification>co</ConductorSpecification><InsulationSpecification>in</InsulationSpecification>"
    area = '<CrossSectionArea id="ar"><UnitComponent>mm2</UnitComponent><ValueComponent>0.5</ValueComponent>'
    element = (
        '<WireElement id="we"><Identification>1</Identification><WireElementSpecification>es</WireElementSpecification>'
    )
    return file(
        housing(),
        specification("CoreSpecification", "co", f"{area}</CrossSectionArea>"),
        specification(
            "InsulationSpecification", "in", _colour("BaseColor", "RD"), _colour("FirstIdentificationColor", "YE")
        ),
        specification("WireElementSpecification", "es", made),
        specification("WireSpecification", "ws", f"{element}</WireElement>"),
        specification("SignalSpecification", "ss"),
        specification("VariantConfigurationSpecification", "vs"),
        composition(
            connector("X1"),
            connector("X2"),
            terminal("A", id="A"),
            wire("3", used),
            wire("4", used),
            terminal("S1", "SpliceTerminalRole", id="S"),
        ),
        contacting(
            point("X11", "3a", "tA", "X1.1"),
            point("X21", "3b", "", "X2.1"),
            point("X12", "4a", "", "X1.2"),
            point("S1", "4b", "tS"),
        ),
    )


def with_piece(piece: str) -> str:
    """The sound file with the piece's elements in place of those with the same id, or added where they belong."""
    root = ElementTree.fromstring(sound())
    around = {child: parent for parent in root.iter() for child in parent}
    known = {one.attrib["id"]: one for one in root.iter() if "id" in one.attrib}
    for element in ElementTree.fromstring(f"<piece {_XSI}>{piece}</piece>"):
        old = known.get(element.attrib["id"])
        if old is not None:
            siblings = around[old]
            place = list(siblings).index(old)
            siblings.remove(old)
            siblings.insert(place, element)
        else:
            known[_WITHIN[element.tag]].append(element)
    return ElementTree.tostring(root, encoding="unicode")


def said(text: str) -> str:
    """Wires and what was said, as the page prints them."""
    found = read_vec(text.encode("utf-8"), "page.vec")
    assert found.harness is not None
    return "".join(f"{line}\n" for line in [*_wires(found.harness), *(f"{code} {n}" for code, n in found.repairs)])


def _wires(harness: Harness) -> Iterator[str]:
    for one in harness.wires:
        words = [" - ".join(str(end.spot) if end.spot else "open" for end in one.ends), one.signal, one.clamp]
        words.append(f"{'/'.join(one.colour.parts)} ({one.colour.system})" if one.colour.parts else "")
        words.append(f"{one.area_mm2:g} mm2" if one.area_mm2 is not None else "")
        words.append(f"{one.length_m:g} m" if one.length_m is not None else "")
        words.append(f"if {' or '.join(one.options)}" if one.options else "")
        yield f"{one.number}: {', '.join(word for word in words if word)}"


def test_each_example_gives_what_the_page_shows() -> None:
    text, shown = "", 0
    for block in _BLOCK.finditer(PAGE):
        if block["kind"] == "vec":
            text = with_piece(block["text"])
        elif block["kind"] == "circuit-only":
            text = file(specification("ConnectionSpecification", "cs", block["text"]))
        else:
            shown += 1
            assert said(text) == block["text"]
    assert shown >= 5


def test_the_sound_file_is_sound() -> None:
    assert said(sound()) == "3: X1.1 - X2.1, RD/YE (IEC), 0.5 mm2\n4: X1.2 - S1.1, RD/YE (IEC), 0.5 mm2\n"


def test_an_altered_example_is_found() -> None:
    piece = next(block["text"] for block in _BLOCK.finditer(PAGE) if block["kind"] == "vec")
    assert said(with_piece(piece.replace("935", "936"))) not in PAGE


def test_each_code_the_page_names_is_one() -> None:
    named = set(re.findall(r"`(vec-[a-z-]+)`", PAGE))
    assert len(named) > 10
    assert sorted(code for code in named if not catalogue().has(f"problem.{code}.title")) == []
