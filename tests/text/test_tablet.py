"""Example files as a tablet would have typed them: curly quotes, long dashes, `mm²`, hard spaces, decimal commas.

Each loads to the same vehicle as the file itself. The text within quotes is kept as it was typed, so it is left alone.
"""

import re
from dataclasses import fields, is_dataclass
from pathlib import Path

import pytest

from loombench.base.problems import Span
from loombench.text.load import load_sources, load_text
from loombench.vehicle.module import When
from tests.text.test_cases import ALL
from tests.text.test_notation_page import BLOCKS, whole

_DECIMAL = re.compile(r"(?<![\w.])(\d+)\.(\d+)(?=[A-Za-z%])")
_SIZE = re.compile(r"(?<=\d)mm2\b")
_APART = re.compile(r"(?<![\w.,-])(\d+(?:,\d+)?)(?=(?:m|V|A|W|Ah|mm²|mm2)\b)")


def mangled(text: str) -> str:
    """The text as a tablet types it; what is quoted stays, and the name of a file too."""
    return "\n".join(_line(line) for line in text.split("\n"))


def _line(line: str) -> str:
    pieces = line.split('"')
    for index in range(0, len(pieces), 2):
        piece = _APART.sub("\\1\u202f", _SIZE.sub("mm²", _DECIMAL.sub(r"\1,\2", pieces[index])))
        pieces[index] = piece.replace("-", "–").replace(" ", "\u00a0")
    made = pieces[0]
    for index in range(1, len(pieces), 2):
        made += f"“{pieces[index]}”{pieces[index + 1]}" if index + 1 < len(pieces) else f'"{pieces[index]}'
    return made


def without_places(value: object) -> object:
    """The value without its places in a file and the words of its rules as written, so that two loads compare."""
    if isinstance(value, Span):
        return None
    if is_dataclass(value) and not isinstance(value, type):
        written = ("text",) if isinstance(value, When) else ()
        kept = [item.name for item in fields(value) if item.compare and item.name not in written]
        return (type(value).__name__, *(without_places(getattr(value, name)) for name in kept))
    if isinstance(value, (tuple, list)):
        return tuple(without_places(item) for item in value)
    if hasattr(value, "items"):
        return {key: without_places(item) for key, item in value.items()}
    return value


@pytest.mark.parametrize("path", ALL, ids=lambda path: path.name)
def test_an_example_typed_on_a_tablet_is_the_same_vehicle(path: Path) -> None:
    plain = load_sources(path)
    main, *others = plain.sources
    texts = {Path(name).relative_to(Path(main).parent).as_posix(): mangled(plain.sources[name]) for name in others}
    typed = mangled(plain.sources[main])
    assert typed != plain.sources[main]
    loaded = load_text(typed, main, texts.get)
    assert loaded.problems == ()
    assert without_places(loaded.value) == without_places(plain.outcome.value)


@pytest.mark.parametrize("block", BLOCKS, ids=lambda block: block[1].split("\n")[2][:30])
def test_every_statement_of_the_notation_can_be_typed_on_a_tablet(block: tuple[str, str]) -> None:
    text = whole(*block)
    plain, typed = load_text(text), load_text(mangled(text))
    assert [item.code for item in typed.problems] == [item.code for item in plain.problems]
    assert without_places(typed.value) == without_places(plain.value)


def test_the_mangling_does_what_it_says() -> None:
    line = 'lamp E7-b 12V 5.5W "left-hand" # one'
    assert mangled(line) == "lamp\u00a0E7–b\u00a012\u202fV\u00a05,5\u202fW\u00a0“left-hand”\u00a0#\u00a0one"
    assert mangled("S4.2 (GY 0.75mm2 2m)") == "S4.2\u00a0(GY\u00a00,75\u202fmm²\u00a02\u202fm)"


def test_a_difference_would_be_seen() -> None:
    one, two = (load_text(f'loombench 1\nvehicle "A" 12V\nlamp E7 {watts}W\n').value for watts in (5, 6))
    assert without_places(one) != without_places(two)
