"""Every kind of part is complete: notation, law, faults, a form for the circuit simulator, and a page that is true."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from loombench.draw.shapes import Wanted
from loombench.draw.symbol import SYMBOLS
from loombench.text.partline import EXAMPLES
from loombench.vehicle.kinds import KINDS, KindSpec
from tests.draw.sheet import kind_symbols
from tests.kinds import HEADINGS, cited, kind_complaints, page_complaints, read_kind_page, shown
from tools.symbols import picture

PAGES = Path(__file__).parents[1] / "docs" / "kinds"
INDEX = "README"


def page(kind: str) -> str:
    """The text of a kind's page; empty where there is none."""
    path = PAGES / f"{kind}.md"
    return path.read_text(encoding="utf-8") if path.is_file() else ""


def unpaged(kinds: list[str], pages: list[str], index: str) -> list[str]:
    """What is wrong between the kinds, the pages and the index of pages."""
    linked = re.findall(r"\]\(([\w-]+)\.md\)", index)
    missing = [f"{kind} has no page" for kind in kinds if kind not in pages]
    missing += [f"{name} is a page of no kind" for name in pages if name not in kinds]
    return missing + [f"{kind} is linked {linked.count(kind)} times" for kind in kinds if linked.count(kind) != 1]


def test_each_kind_has_its_page_and_each_page_its_kind() -> None:
    pages = sorted(path.stem for path in PAGES.glob("*.md") if path.stem != INDEX)
    assert unpaged(sorted(KINDS), pages, page(INDEX)) == []


def test_each_kind_has_the_line_that_messages_show() -> None:
    assert set(EXAMPLES) == set(KINDS)
    assert [kind for kind, line in EXAMPLES.items() if line.split()[0] != kind] == []


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_kind(kind: str) -> None:
    assert page_complaints(KINDS[kind], page(kind)) == ()


def test_each_picture_is_what_is_drawn() -> None:
    """`tools/symbols.py` draws them anew."""
    kept = {path.stem: path.read_text(encoding="utf-8") for path in (PAGES / "symbols").glob("*.svg")}
    assert kept == {symbol.kind: picture(symbol) for symbol in kind_symbols()}


def test_a_kind_without_symbol_and_a_symbol_without_a_pin_are_found(monkeypatch: pytest.MonkeyPatch) -> None:
    (circuit,) = read_kind_page(page("lamp")).of("circuit")
    drawn = SYMBOLS["lamp"]
    monkeypatch.setattr("tests.kinds.symbol_of", lambda part: replace(drawn(part, Wanted()), pins=()))
    wanted = ("lamp: its symbol has no pin E7.1", "lamp: its symbol has no pin E7.2")
    assert kind_complaints(KINDS["lamp"], circuit.text) == wanted
    monkeypatch.setattr("tests.kinds.SYMBOLS", {})
    assert kind_complaints(KINDS["lamp"], circuit.text) == ("lamp: no symbol",)


def test_a_planted_kind_is_found() -> None:
    planted = KindSpec("dynamo", ("1", "2"), through=("1", "2"), inner="dynamo")
    assert unpaged([planted.kind], [], "") == ["dynamo has no page", "dynamo is linked 0 times"]
    assert page_complaints(planted, "") == (f"dynamo: title and headings are to be # dynamo, {', '.join(HEADINGS)}",)
    bare = "".join(f"\n## {heading}\n" for heading in HEADINGS)
    assert page_complaints(planted, f"# dynamo\n{bare}") == ("dynamo: 0 circuits instead of one",)
    as_lamp = page("lamp").replace("# lamp", "# dynamo", 1).replace("lamp E7", "dynamo E7")
    (said,) = page_complaints(planted, as_lamp)
    assert said.startswith("dynamo: the circuit does not load: kind-unknown")


HEAD = 'loombench 1\nvehicle "Planted" 12V\nbattery G1 70Ah\n'


def test_a_kind_that_is_not_in_its_circuit_is_found() -> None:
    assert kind_complaints(KINDS["lamp"], HEAD) == ("lamp: its circuit has no part of it",)


def test_a_part_that_nothing_comes_of_is_found() -> None:
    """A generic part without numbers and without wires: no element, no fault."""
    said = kind_complaints(KINDS["generic"], f"{HEAD}generic A9 1 2\n")
    assert said == ("generic: nothing of it is lowered", "generic: the catalogue has no fault of it")


def test_an_element_that_the_sheet_leaves_out_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tests.kinds.write_spice", lambda *_: "* nothing\n")
    (circuit,) = read_kind_page(page("lamp")).of("circuit")
    assert "lamp: E7 has no line for the circuit simulator" in kind_complaints(KINDS["lamp"], circuit.text)


def test_an_element_without_a_law_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tests.kinds.INNER_LAWS", {})
    (circuit,) = read_kind_page(page("lamp")).of("circuit")
    assert "lamp: no law of its element lamp" in kind_complaints(KINDS["lamp"], circuit.text)


def test_a_housing_that_is_not_listed_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tests.kinds.BARE_HOUSINGS", frozenset({"lamp"}))
    for kind, said in (("lamp", "listed as only a housing"), ("stud", "only a housing, and not listed as one")):
        (circuit,) = read_kind_page(page(kind)).of("circuit")
        assert kind_complaints(KINDS[kind], circuit.text) == (f"{kind}: {said}",)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("`1` and `2`", "`1`", "its pin `2` is not named"),
        ("21 W (5 to 60)", "20 W (5 to 60)", "where it is missing '21 W (5 to 60), estimate' is taken"),
        ("| `55W` | rated power | 21 W (5 to 60), estimate |\n", "", "the number in W is not told"),
        ("| `55W` |", "| `55Ah` |", "55Ah is no number of it"),
        ("0.55 1 (from memory)", "0.6 1 (from memory)", "the table has 0.55 1 (from memory)"),
        ("0.55 1 (from memory)", "0.55 1 (printed)", "the table has 0.55 1 (from memory)"),
        ("`filament:current-exponent` 0.55 1 (from memory)", "`filament:current-exponent`", "the table has 0.55 1"),
        ("filament:current-exponent", "filament:exponent", "no such row"),
        ("open E7\n", "", "its faults are\nopen E7"),
        ("12.36 V", "12.35 V", "the readings are\n"),
        ("```readings E7\n", "```readings E9\n", "E9 has no rows"),
        ("```readings E7\n", "```readings E7 S4=on\n", "is not understood"),
        ("```readings E7\n", "```text\n", "no reading is shown"),
        ("## Law", "## Laws", "title and headings"),
        ("symbols/lamp.svg", "symbols/horn.svg", "its symbol is not shown"),
        ("A circle with a cross.", "", "its symbol is not told in words"),
    ],
)
def test_an_untrue_page_is_found(old: str, new: str, said: str) -> None:
    text = page("lamp")
    planted = re.sub(r"\s+".join(map(re.escape, old.split(" "))), lambda _: new, text, count=1)
    assert planted != text
    complaints = page_complaints(KINDS["lamp"], planted)
    assert any(said in one for one in complaints), complaints


def test_a_law_without_a_figure_and_a_table_with_a_wrong_mark_are_found() -> None:
    assert list(cited("As everybody knows.")) == ["no figure or table is cited"]
    assert list(cited("`relay.csv` (printed)")) == []
    (said,) = cited("`relay.csv` (estimate)")
    assert said.startswith("`relay.csv` (estimate): marked estimate")


def test_a_number_that_a_kind_gains_has_to_be_told() -> None:
    spec = KINDS["lamp"]
    grown = replace(spec, numbers={**spec.numbers, "lm": "flux_lm"})
    assert "lamp: the number in lm is not told" in page_complaints(grown, page("lamp"))


def test_the_part_of_a_page_is_the_first_of_its_kind() -> None:
    (circuit,) = read_kind_page(page("body")).of("circuit")
    of = shown("body", circuit.text)
    assert not isinstance(of, str)
    assert of.part.id == "chassis"
