"""The page for the browser: whatever it holds is shown as text, and it needs and loads nothing else."""

import base64
import re
from html.parser import HTMLParser
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.paper.document import Caution, Document, Heading, Paragraph, Svg, Table, clean
from loombench.paper.html import to_html
from loombench.paper.look import LOOK
from loombench.paper.typeface import CUTS, WEIGHTS
from tests.paper.hostile import TEXTS, hostile_document

OURS = {
    "html", "head", "meta", "title", "style", "body", "main", "header", "footer", "section", "h1", "h2", "p", "dl",
    "dt", "dd", "table", "thead", "tbody", "tr", "th", "td", "ol", "li", "img", "hr", "div",
}  # fmt: skip
ATTRIBUTES = {"lang", "charset", "http-equiv", "content", "name", "dir", "class", "src", "alt", "width"}
any_text = st.text(st.characters(exclude_categories=()), max_size=60)


class Seen(HTMLParser):
    """What a browser would make of a page: its tags, attributes and texts."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str]] = []
        self.texts: list[str] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes.extend((name, value or "") for name, value in attrs)

    def handle_data(self, data: str) -> None:
        self.texts.append(data)


def check_harmless(page: str) -> Seen:
    seen = Seen(page)
    assert set(seen.tags) <= OURS
    assert {name for name, _ in seen.attributes} <= ATTRIBUTES
    assert all(value.startswith("data:image/svg+xml;base64,") for name, value in seen.attributes if name == "src")
    assert [address for address in re.findall(r"url\((.{0,12})", page) if address != '"data:font/w'] == []
    page.encode("utf-8")
    return seen


def test_hostile_texts_are_shown_as_they_are() -> None:
    seen = check_harmless(to_html(hostile_document()))
    for text in TEXTS:
        assert clean(text) in seen.texts or not clean(text)


@given(any_text)
def test_any_text_is_shown_as_it_is(text: str) -> None:
    blocks = (Paragraph(text), Heading(text), Caution(text, (text,)), Table((text,), ((text,),)), Svg(text, 10.0, text))
    seen = check_harmless(to_html(Document(text, text, blocks, text)))
    count = 2 + (1 + 1 + 2 + 2) + 1 + 1  # head and title, blocks, foot, title of the window
    assert not clean(text).strip() or seen.texts.count(clean(text)) == count


@given(any_text)
def test_a_clean_text_is_clean_and_printable_text_is_left_alone(text: str) -> None:
    assert clean(clean(text)) == clean(text)
    plain = "".join(sign for sign in text if sign.isprintable())
    assert clean(plain) == plain.replace("\ufeff", "")


@pytest.mark.parametrize("sign", ["\u202e", "\u202d", "\u2066", "\ud800", "\x00", "\x1b"])
def test_what_could_turn_or_hide_a_reading_is_dropped(sign: str) -> None:
    assert clean(f"12{sign}.4 V") == "12.4 V"


def test_the_same_document_gives_the_same_page() -> None:
    assert to_html(hostile_document()) == to_html(hostile_document())


def test_the_typeface_travels_with_the_page_as_far_as_it_is_needed() -> None:
    plain, greek = to_html(Document("Lamp 12.4 V", "", ())), to_html(Document("Lamp 12 Ω", "", ()))
    assert plain.count("@font-face") == len(WEIGHTS)
    assert greek.count("@font-face") == 2 * len(WEIGHTS)
    assert len(plain) < 100_000
    assert {"Latin1", "Greek", "Cyrillic"} <= set(CUTS)


def test_a_drawing_has_the_typeface_within_as_an_image_sees_nothing_of_its_page() -> None:
    svg = '<svg xmlns="http://www.w3.org/2000/svg" width="9mm"><text>12 Ω</text></svg>'
    page = to_html(Document("Lamp", "", (Svg(svg, 9.0, "lamp"), Svg("no drawing", 9.0, "none"))))
    shown, other = (
        base64.b64decode(data).decode() for data in re.findall(r'src="data:image/svg\+xml;base64,([^"]*)"', page)
    )
    assert re.sub("<style>.*</style>", "", shown, flags=re.DOTALL) == svg
    assert shown.count("@font-face") == 2 * len(WEIGHTS)
    assert ElementTree.fromstring(shown).tag.endswith("svg")
    assert other == "no drawing"


def contrast(one: str, other: str) -> float:
    """Contrast of two colours by WCAG 2.2 (W3C, 2023), section "contrast ratio" with "relative luminance"."""

    def luminance(colour: str) -> float:
        parts = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
        linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_all_text_reaches_the_highest_contrast_level() -> None:
    """WCAG 2.2, success criterion 1.4.6 (level AAA): at least 7:1."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast(LOOK.ink, LOOK.paper) >= 7
    assert contrast(LOOK.quiet, LOOK.paper) >= 7


def test_a_table_with_ragged_rows_cannot_be_made() -> None:
    with pytest.raises(ValueError, match="2 cells"):
        Table(("a", "b"), (("1",),))
    with pytest.raises(ValueError, match="2 cells"):
        Table(("a", "b"), (), ("left",))


def test_columns_of_short_cells_are_narrow_but_never_all() -> None:
    assert Table(("a", "b"), (("x" * 25, "1 V"),)).narrow == (False, True)
    assert Table(("a", "b"), (("x", "1 V"),)).narrow == (False, True)
    assert Table(("a", "b"), (("x", "1\n2"),)).narrow == (True, False)


def test_a_page_that_links_its_style_has_none_within_and_leaves_the_policy_to_the_server() -> None:
    page = to_html(Document("Card", "7", (Paragraph("x"),)), ("/fonts/style.css", "/paper.css"))
    assert page.count('<link rel="stylesheet" href="/') == 2
    for absent in ("<style", "style=", "http-equiv", "data:font"):
        assert absent not in page
