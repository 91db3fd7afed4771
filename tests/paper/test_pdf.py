"""The PDF: no text in it means anything to what sets it, and where it cannot be made that is said."""

import re
import sys
from dataclasses import replace
from pathlib import Path
from unittest.mock import patch

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loombench.app.jobcard import job_card
from loombench.base.outcome import Outcome
from loombench.paper.document import Document, Facts, Heading, Paragraph, Svg, Table
from loombench.paper.output import write_all
from loombench.paper.pdf import pages as page_count
from loombench.paper.pdf import pdf_bytes, to_pdf
from tests.paper.hostile import TEXTS, hostile_document
from tests.paper.sample import CARD

any_text = st.text(st.characters(exclude_categories=()), max_size=60)


def pages(made: Outcome[bytes | None]) -> int:
    """How many pages a PDF has that was made without a problem."""
    assert made.problems == ()
    assert made.value is not None
    assert made.value.startswith(b"%PDF-")
    assert made.value.rstrip().endswith(b"%%EOF")
    return page_count(made.value)


def test_a_normal_job_fits_on_one_page() -> None:
    assert pages(pdf_bytes(job_card(CARD))) == 1
    assert pages(pdf_bytes(job_card(CARD, customer=True))) == 1


def test_a_long_job_is_set_smaller_to_fit_on_one_page() -> None:
    """Sixteen steps, four before-and-after pairs."""
    readings = tuple(replace(CARD.readings[k % 5], setup=f"voltmeter E7.{k} to battery post G1.-") for k in range(16))
    document = job_card(
        replace(CARD, readings=readings, pairs=(*CARD.pairs, CARD.pairs[0]), temporary=("a fused lead",))
    )
    assert pages(pdf_bytes(replace(document, one_page=False))) == 2
    assert pages(pdf_bytes(document)) == 1


def test_what_fits_on_no_single_page_keeps_its_size() -> None:
    document = Document("a", "b", tuple(Paragraph(f"line {k}") for k in range(200)), one_page=True)
    assert pdf_bytes(document) == pdf_bytes(replace(document, one_page=False))


def test_a_page_break_makes_a_page() -> None:
    assert pages(pdf_bytes(hostile_document(("a", "b")))) == 2


def test_hostile_texts_are_set() -> None:
    assert pages(pdf_bytes(hostile_document())) > 2


@settings(max_examples=25)
@given(any_text)
def test_any_text_is_set(text: str) -> None:
    blocks = (Paragraph(text), Heading(text), Table((text,), ((text,),)), Facts(((text, text),)))
    assert pages(pdf_bytes(Document(text, text, blocks, text))) >= 1


def test_markup_in_a_text_changes_nothing() -> None:
    """Were it read as markup, a page break would make pages and a panic would stop the setting."""
    texts = ("#pagebreak()", "#panic()", "= x", "#set page(height: 1mm)", "*a*", "$a$", "\\", *TEXTS[:3])
    assert pages(pdf_bytes(Document(texts[0], texts[0], tuple(Paragraph(text) for text in texts)))) == 1


def test_the_same_document_gives_the_same_file() -> None:
    assert pdf_bytes(job_card(CARD)) == pdf_bytes(job_card(CARD))


def test_the_bundled_typeface_is_the_one_used() -> None:
    made = pdf_bytes(job_card(CARD)).value
    assert made is not None
    names = set(re.findall(rb"/BaseFont\s*/[A-Z]{6}\+([A-Za-z]+)", made))
    assert names == {b"IBMPlexSans"}


def test_a_broken_drawing_costs_the_drawing_only(tmp_path: Path) -> None:
    document = Document("t", "s", (Paragraph("before"), Svg("<svg", 80.0, "the circuit"), Paragraph("after")))
    outcome = to_pdf(document, tmp_path / "card.pdf")
    assert outcome.value == tmp_path / "card.pdf"
    assert [item.code for item in outcome.problems] == ["pdf-drawing"]
    assert outcome.usable


def test_without_typst_there_is_the_page_and_a_word(tmp_path: Path) -> None:
    with patch.dict(sys.modules, {"typst": None}):
        outcome = write_all(job_card(CARD), tmp_path, "card")
    assert outcome.value == (tmp_path / "card.html",)
    assert [item.code for item in outcome.problems] == ["pdf-missing"]
    assert outcome.usable


def test_both_are_written_whole(tmp_path: Path) -> None:
    (tmp_path / "card.pdf").write_text("old")
    outcome = write_all(job_card(CARD), tmp_path, "card")
    assert outcome == Outcome((tmp_path / "card.html", tmp_path / "card.pdf"))
    assert sorted(entry.name for entry in tmp_path.iterdir()) == ["card.html", "card.pdf"]
    assert (tmp_path / "card.pdf").read_bytes() == pdf_bytes(job_card(CARD)).value


@pytest.mark.parametrize("stem", ["no/such/folder/card", "x" * 300, "nul\0byte"])
def test_a_place_that_cannot_be_written_is_said(tmp_path: Path, stem: str) -> None:
    outcome = write_all(Document("t", "s", ()), tmp_path, stem)
    assert outcome.value == ()
    assert [item.code for item in outcome.problems] == ["paper-unwritten"] * 2
    assert list(tmp_path.iterdir()) == []
