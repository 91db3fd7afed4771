"""The card: cautions first, the complaint word for word, and no silence about codes, proof and leads."""

from dataclasses import replace

from loombench.app.jobcard import JobCard, job_card
from loombench.base.wording import catalogue
from loombench.paper.document import Caution, Document, Facts, Heading, Paragraph, SignatureLines, Table
from tests.paper.sample import CARD

BARE = JobCard("7", "Tipper", "Tarpaulin does not close")


def said(document: Document) -> str:
    """Every text of a card, in order."""
    return "\n".join(_texts((document.title, document.subtitle, document.blocks)))


def _texts(value: object) -> list[str]:
    match value:
        case str():
            return [value]
        case tuple():
            return [text for item in value for text in _texts(item)]
        case Paragraph() | Heading() | Caution() | Facts() | Table() | SignatureLines():
            return [text for item in vars(value).values() for text in _texts(item)]
    return []


def test_the_caution_stands_before_everything_that_was_done() -> None:
    kinds = [type(block) for block in job_card(CARD).blocks]
    assert kinds.index(Caution) < kinds.index(Heading)


def test_the_complaint_is_word_for_word() -> None:
    odd = "  it „flickers“ {again} & again\n#1 "
    assert f"“{odd}”" in said(job_card(replace(CARD, complaint=odd)))


def test_every_card_defers_and_can_be_signed() -> None:
    words = catalogue()
    for card in (CARD, BARE):
        for customer in (False, True):
            document = job_card(card, customer=customer)
            assert words.say("card.defer") in said(document)
            assert isinstance(document.blocks[-1], SignatureLines)


def test_what_is_not_proven_says_so_and_names_what_is_left() -> None:
    card = replace(CARD, proven=False, proof="No access behind the panel.", remaining=("W3 corroded", "E7.2 loose"))
    text = said(job_card(card))
    assert "Not proven. No access behind the panel." in text
    assert "Still possible: W3 corroded; E7.2 loose." in text
    assert "Proven." not in text.replace("Not proven.", "")


def test_a_bare_card_is_not_silent_about_codes_proof_and_leads() -> None:
    text = said(job_card(BARE))
    assert "Not read." in text
    assert "Not proven." in text
    assert "nobody has said that they are out" in text
    assert "None stored." in said(job_card(replace(BARE, codes=())))
    assert "must not leave" in said(job_card(replace(BARE, leads_removed=False)))


def test_readings_out_of_band_are_bold() -> None:
    table = next(block for block in job_card(CARD).blocks if isinstance(block, Table))
    assert [table.rows[at][3] for at in sorted(table.strong)] == ["bad", "bad"]
    assert {row[3] for at, row in enumerate(table.rows) if at not in table.strong} == {"good"}


def test_the_customers_copy_has_no_readings_suspects_or_times() -> None:
    card = replace(CARD, proven=False, remaining=("W3 corroded",))
    text = said(job_card(card, customer=True))
    for absent in ("12.31 V", "W3 corroded", "75 min"):
        assert absent in said(job_card(card))
        assert absent not in text
    assert "Not proven." in text
    assert "38 mV" in text
