"""A step card in lines: the caution first, bands as one reads a meter, nothing that steers the terminal."""

from dataclasses import replace

from loombench.app.cards import Meaning, StepCard
from loombench.shell.finding import card_lines
from loombench.shell.saying import WIDTH, saying

CARD = StepCard(
    id="volts", kind="measure", cautions=("Live circuit.",), action="Red lead to E7.1. How many volts?",
    place="boom-head", reach="boom lowered", settings=("S4=on",), red="E7.1", red_side="wire side",
    black="battery post G1.-", black_side="on the post itself", plugged=True, unit="V", choices=(), nominal=11.654321,
    meanings=(
        Meaning("bad", "far off", None, 0.63791, ("wire A to B",)),
        Meaning("between", "between", 0.63791, 8.4293, ()),
        Meaning("good", "as it should be", 8.4293, None, ("lamp E7", "switch S4")),
    ),
    why="", cost_s=200.0, then=("volts at E7.2", "volts at E7.2", "see E8"),
)  # fmt: skip


def test_the_caution_stands_before_everything_that_is_done() -> None:
    lines = card_lines(CARD, 3)
    assert lines[0].startswith("Step 3")
    assert lines[0].endswith("about 3 min")
    assert lines[1] == "  ! Live circuit."
    text = "\n".join(lines)
    order = ["Place  boom-head: boom lowered", "Set    S4=on", "Red    E7.1 (wire side)", "Black  battery post"]
    order += ["all stay plugged", "Normal 11.65 V", "How many volts?"]
    assert [text.index(piece) for piece in order] == sorted(text.index(piece) for piece in order)


def test_bands_are_no_finer_than_a_meter_and_say_who_would_be_left() -> None:
    text = "\n".join(card_lines(CARD, 1))
    for piece in (
        "bad       up to 0.638 V           wire A to B",
        "between   0.638 V to 8.43 V       no single suspect stands out",
        "good      over 8.43 V             lamp E7; switch S4",
    ):
        assert piece in text
    assert text.count("volts at E7.2") == 1


def test_where_nothing_is_in_doubt_the_normal_reading_is_asked_for() -> None:
    sure = replace(CARD, meanings=(Meaning("good", "as it should be", None, None, ("lamp E7",)),))
    assert "good      about 11.65 V" in "\n".join(card_lines(sure, 1))


def test_every_line_is_short_and_harmless_whatever_a_file_holds() -> None:
    said = list[str]()
    say = saying(said.append)
    hostile = replace(CARD, place="\x1b[2J\x07", reach="reach " * 60, cautions=("caution " * 60,))
    for line in card_lines(hostile, 1):
        say(line)
    lines = "\n".join(said).split("\n")
    assert all(len(line) <= WIDTH and line.isprintable() for line in lines)
