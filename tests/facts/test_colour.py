"""Wire colours: read within a system, unsure where the letters are, written so that they read back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.facts.colour import (
    SYSTEMS,
    ColourState,
    WireColour,
    colour_letters,
    colour_system,
    read_colour,
    write_colour,
)


@pytest.mark.parametrize(
    ("system", "text", "colour"),
    [
        ("IEC", "GY/RD", "grey / red"),
        ("IEC", "GY-RD", "grey / red"),
        ("iec", "gyrd", "grey / red"),
        ("IEC", "GNYE", "green / yellow"),
        ("IEC", "WH / BN / BK", "white / brown / black"),
        ("DIN", "brge", "brown / yellow"),
        ("German", "rt–ws", "red / white"),
        ("DIN", "hgn", "light green"),
        ("British", "N/W", "brown / white"),
        ("British", "GP", "green / violet"),
        ("Japanese", "GR/R", "grey / red"),
        ("Japanese", "Br", "brown"),
        ("Japanese", "BrY", "brown / yellow"),
        ("Japanese", "R-Y", "red / yellow"),
        ("North American", "LT GRN/WHT", "light green / white"),
        ("north-american", "BK", "black"),
        ("French", "BA", "white"),
        ("Italian", "RN", "red / black"),
        ("Swedish", "SB", "black"),
    ],
)
def test_certain(system: str, text: str, colour: str) -> None:
    reading = read_colour(system, text)
    assert reading.state is ColourState.CERTAIN
    assert str(reading.colour) == colour


@pytest.mark.parametrize(
    ("system", "text", "colours"),
    [
        ("Japanese", "BR", {"brown", "black / red"}),
        ("Japanese", "LG", {"light green", "blue / green"}),
        ("Japanese", "GR", {"grey", "green / red"}),
        ("Japanese", "BL", {"blue", "black / blue"}),
        ("French", "B", {"blue", "white"}),
        ("French", "B/N", {"blue / black", "white / black"}),
    ],
)
def test_not_sure_gives_all_readings(system: str, text: str, colours: set[str]) -> None:
    reading = read_colour(system, text)
    assert reading.state is ColourState.AMBIGUOUS
    assert reading.colour is None
    assert {str(candidate) for candidate in reading.candidates} == colours


@pytest.mark.parametrize(
    ("system", "text", "unknown"),
    [
        ("IEC", "QQ/RD", ("QQ",)),
        ("IEC", "sw", ("sw",)),
        ("DIN", "BK", ("BK",)),
        ("French", "NOBA", ("NOBA",)),
        ("IEC", "RDRD", ("RDRD",)),
        ("IEC", "", ("",)),
        ("IEC", "RD/BK/WH/GN", ("RD/BK/WH/GN",)),
        ("IEC", "-", ("-",)),
    ],
)
def test_unknown_is_said(system: str, text: str, unknown: tuple[str, ...]) -> None:
    reading = read_colour(system, text)
    assert reading.state is ColourState.UNKNOWN
    assert reading.candidates == ()
    assert reading.unknown == unknown


def test_no_such_system() -> None:
    assert read_colour("Martian", "RD").state is ColourState.NO_SYSTEM
    assert write_colour("Martian", "red") is None
    assert colour_system("") is None


def test_a_clash_with_another_system_is_named() -> None:
    clashes = {(clash.letters, clash.system, clash.colour) for clash in read_colour("Swedish", "SB").elsewhere}
    assert ("SB", "Japanese", "light blue") in clashes
    clashes = {(clash.letters, clash.system, clash.colour) for clash in read_colour("British", "N/G").elsewhere}
    assert {("N", "Italian", "black"), ("N", "French", "black"), ("G", "Italian", "yellow")} <= clashes
    assert read_colour("IEC", "GY/RD").elsewhere == ()


@given(st.sampled_from(SYSTEMS), st.data())
def test_what_is_written_reads_back(system: str, data: st.DataObject) -> None:
    colours = sorted({entry.colour for entry in colour_letters() if entry.system == system})
    picked = data.draw(st.lists(st.sampled_from(colours), min_size=1, max_size=3, unique=True))
    text = write_colour(system, picked[0], picked[1:])
    assert text is not None
    reading = read_colour(system, text)
    assert reading.state is ColourState.CERTAIN
    assert reading.colour == WireColour(picked[0], tuple(picked[1:]))


@given(st.sampled_from(SYSTEMS), st.text(max_size=60))
def test_any_text_is_answered(system: str, text: str) -> None:
    reading = read_colour(system, text)
    assert (reading.state is ColourState.CERTAIN) == (len(reading.candidates) == 1)
    assert bool(reading.candidates) != bool(reading.unknown)


@given(st.text(alphabet="BGRYWLNOPSVbrgywl", min_size=1, max_size=60))
def test_joined_letters_never_repeat_a_colour(text: str) -> None:
    for candidate in read_colour("Japanese", text).candidates:
        assert len({candidate.main, *candidate.stripes}) == 1 + len(candidate.stripes)


def test_a_colour_the_system_lacks_is_not_written() -> None:
    assert write_colour("IEC", "light green") is None
    assert write_colour("IEC", "red", ["light green"]) is None
    assert write_colour("German", "grey", ["red"]) == "gr/rt"


def test_letters_are_written_once_per_system_and_colour() -> None:
    assert tuple(dict.fromkeys(entry.system for entry in colour_letters())) == (
        "IEC", "DIN", "British", "Japanese", "Swedish", "French", "Italian", "North American"
    )  # fmt: skip
    for system in SYSTEMS:
        written = [entry.colour for entry in colour_letters() if entry.system == system and entry.written]
        assert len(written) == len(set(written))
        assert (
            set(written)
            == {entry.colour for entry in colour_letters() if entry.system == system and entry.written}
            == {entry.colour for entry in colour_letters() if entry.system == system}
        )
