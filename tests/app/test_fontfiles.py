"""The typeface for a server of pages: every file of its name, nothing else, and rules that name them all."""

import re

import pytest

from loombench.app.fontfiles import FONT_FILES, font_bytes, font_style
from loombench.paper.typeface import FOLDER


def test_there_are_both_weights_of_every_cut_that_lies_there() -> None:
    assert sorted(FONT_FILES) == sorted(path.name for path in FOLDER.glob("*.woff2"))
    assert {one.weight for one in FONT_FILES.values()} == {400, 600}


def test_each_is_a_typeface_of_its_own() -> None:
    contents = [font_bytes(name) for name in FONT_FILES]
    assert all(content is not None and content.startswith(b"wOF2") for content in contents)
    assert len(set(contents)) == len(contents) == 10


@pytest.mark.parametrize(
    "name",
    [
        "", ".", "OFL.txt", "IBMPlexSans-Variable.ttf", "../typeface.py", "../fonts/IBMPlexSans-Regular-Latin1.woff2",
        "./IBMPlexSans-Regular-Latin1.woff2", "ibmplexsans-regular-latin1.woff2",
        "IBMPlexSans-Regular-Latin1.woff2\x00",
    ],
)  # fmt: skip
def test_any_other_name_gives_nothing(name: str) -> None:
    assert font_bytes(name) is None


def test_the_rules_name_each_file_once_with_its_weight_and_characters() -> None:
    rules = re.findall(
        r'@font-face\{font-family:"IBM Plex Sans";font-weight:(\d+);font-display:swap;'
        r'src:url\("/fonts/([^"]+)"\) format\("woff2"\);unicode-range:([^}]+)\}\n',
        font_style("/fonts/"),
    )
    assert rules == [(str(one.weight), one.name, one.characters) for one in FONT_FILES.values()]
    assert font_style("/fonts/").count("@font-face") == 10
