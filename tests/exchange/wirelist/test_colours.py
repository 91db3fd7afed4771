"""Colour texts of harness data, and the system chosen for a whole file; expected values from the letters' own table."""

import pytest

from loombench.exchange.colours import WORDS, choose_system, colour_parts, in_system, meaning, read_parts, system_named
from loombench.exchange.harness import ColourText
from loombench.facts.colour import SYSTEMS, ColourState, WireColour


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("RD/YE", ("RD", "YE")),
        ("gn-br", ("gn", "br")),
        ("0,5 rt/ge", ("rt", "ge")),
        ("1.25R", ("R",)),
        ("W/G 20", ("W", "G")),
        ("0.5mm2 R-Y", ("R", "Y")),
        ("Y/R (yellow with red stripe)", ("Y", "R")),
        ("rot weiss", ("rot", "weiss")),
        ("light blue", ("light blue",)),
        ("LT BLU/BK", ("LT BLU", "BK")),
        ("RDYE", ("RDYE",)),
        ("/NULL", ()),
        (" - ", ()),
        ("", ()),
    ],
)
def test_a_cell_gives_its_parts(text: str, parts: tuple[str, ...]) -> None:
    assert colour_parts(text) == parts


@pytest.mark.parametrize(
    ("texts", "system"),
    [
        (("RDYE", "GNYE", "BUBN", "TQ"), "IEC"),
        (("rt", "sw", "gn-br"), "DIN"),
        (("N/U", "P", "K"), "British"),
        (("Br", "Lg/B", "Gr/Sb"), "Japanese"),
        (("BLK", "WHT/RED", "DKGRN"), "North American"),
        (("NO", "RG", "JA"), "French"),
        (("A/N", "Z", "C"), "Italian"),
        (("rot", "blau/weiß", "noir"), WORDS),
    ],
)
def test_the_one_system_that_reads_all_is_taken(texts: tuple[str, ...], system: str) -> None:
    assert choose_system(colour_parts(text) for text in texts).system == system


def test_systems_that_say_the_same_of_all_are_one_reading() -> None:
    choice = choose_system([("RD",), ("BK",), ("GN", "YE")])
    assert (choice.system, choice.candidates, choice.differing) == ("IEC", ("IEC", "North American"), ())


def test_readings_that_differ_are_asked() -> None:
    choice = choose_system([("B",), ("R",), ("G",)])
    assert choice.system == ""
    assert set(choice.candidates) == {"British", "Japanese", "North American", "French", "Italian"}
    black = dict(dict(choice.differing)["B"])
    assert black["Japanese"] == "black"
    assert black["Italian"] == "white"


def test_a_colour_of_no_system_is_named_for_each() -> None:
    choice = choose_system([("RD",), ("BK",), ("QQ",)])
    assert choice.system == ""
    assert choice.candidates == ()
    assert dict(choice.failing)["IEC"] == ("QQ",)
    assert len(choice.failing) == len(SYSTEMS)


def test_bare_and_black_are_not_confused() -> None:
    assert meaning(in_system(("blk",), "DIN")) == WireColour("bare")
    assert meaning(in_system(("blk",), "North American")) == WireColour("black")


def test_joined_letters_are_parted_once_the_system_is_known() -> None:
    assert in_system(("RDYE",), "IEC") == ColourText(("RD", "YE"), "IEC")
    assert in_system(("brge",), "DIN") == ColourText(("br", "ge"), "DIN")
    assert in_system(("BR",), "Japanese") == ColourText(("BR",), "Japanese")
    assert read_parts("Japanese", ("BR",)).state is ColourState.AMBIGUOUS
    assert meaning(ColourText(("BR",), "Japanese")) is None
    assert meaning(ColourText(("Br",), "Japanese")) == WireColour("brown")


def test_base_and_stripe_keep_their_order() -> None:
    assert meaning(ColourText(("GN", "BN"), "IEC")) == WireColour("green", ("brown",))
    assert meaning(ColourText(("BN", "GN"), "IEC")) == WireColour("brown", ("green",))


def test_words_are_read_within_any_system() -> None:
    assert meaning(ColourText(("rot", "sw"), "DIN")) == WireColour("red", ("black",))
    assert meaning(ColourText(("rot", "weiß"), "")) == WireColour("red", ("white",))


def test_a_text_without_a_system_has_no_meaning() -> None:
    assert meaning(ColourText(("B",), "")) is None
    assert meaning(ColourText()) is None


@pytest.mark.parametrize(
    ("text", "system"),
    [("IEC60757", "IEC"), ("IEC 60757:2021", "IEC"), ("DIN 72551-7", "DIN"), ("BS AU 7a", "British"),
     ("US", "North American"), ("japanese", "Japanese"), ("mine", ""), ("", "")],
)  # fmt: skip
def test_a_system_is_known_by_its_names(text: str, system: str) -> None:
    assert system_named(text) == system
