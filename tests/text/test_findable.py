"""Whether typing errors can be found by the messages alone: three planted at a time in a file of ten wires.

A message counts as finding an error if its first place is the very line and column where the error was planted, and
each error must be found, with no message beside these.
"""

import itertools

import pytest

from loombench.text.load import load_text

TEXT = """loombench 1
vehicle "Planted" 12V
colours IEC
place dash reach 1min "two clips"
place roof reach 4min "four screws"
body chassis
stud W1 on chassis
battery G1 70Ah
fuse F12 10A at dash
relay K4 make 30 85 86 87 at dash
switch S4 off | on: 1=2 at dash
lamp E7 12V 55W at roof "work lamp"
led H3 12V 5W at dash
connector X12 6way cab | roof
loom cab
G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.6m) SP1
SP1 (RD 4mm2 1m) F12 (RD 2.5mm2 0.5m) K4.30
SP1 (RD 1mm2 1m) S4.1
S4.2 (GY/RD 1mm2 2m) K4.86
K4.85 (BN 1mm2 0.5m) W1/b
K4.87 (RD/WH 2.5mm2 1.4m) X12.3
loom roof
X12.3 (RD/WH 2.5mm2 2m) E7 (BN 2.5mm2 1m) W1/c
"""

ERRORS = {
    "kind": ("lamp E7", "lmap E7", "lmap"),
    "unit": ("fuse F12 10A", "fuse F12 10W", "10W"),
    "bare number": ("(GY/RD 1mm2 2m)", "(GY/RD 1.5 2m)", "1.5 2m"),
    "pin": ("S4.2 (", "S4.3 (", "S4.3"),
    "part": ("SP1 (RD 1mm2 1m) S4.1", "SP1 (RD 1mm2 1m) S5.1", "S5.1"),
    "colour": ("K4.85 (BN", "K4.85 (SW", "SW"),
    "bracket": ("(BK 16mm2 0.4m)", "(BK 16mm2 0.4m", "(BK 16mm2"),
    "cavity": ("X12.3 (RD/WH 2.5mm2 2m)", "X12.8 (RD/WH 2.5mm2 2m)", "X12.8"),
    "body": ("stud W1 on chassis", "stud W1 on chasis", "W1 on"),
    "loom": ("loom roof", "loom rof", "X12.3 (RD/WH 2.5mm2 2m)"),
    "quote": ('"work lamp"', '"work lamp', '"work lamp'),
    "place": ("at roof", "at roff", "roff"),
    "roles": ("make 30 85 86 87", "make 30 85 86 88", "K4 make"),
    "position": ("off | on: 1=2", "off | on: 1-2", "1-2"),
    "twice": ("led H3", "led E7", "E7 12V 5W"),
}
FOLLOWING = {("roles", "pin-unknown"), ("position", "pin-unknown"), ("position", "part-unknown"), ("body", "")}
"""Messages that an error brings with it, since a part it spoils is used elsewhere."""


def planted(names: tuple[str, ...]) -> tuple[str, set[tuple[int, int]]]:
    """The text with those errors, and where each is."""
    text = TEXT
    for name in names:
        right, wrong, _ = ERRORS[name]
        assert right in text
        text = text.replace(right, wrong, 1)
    places = set()
    for name in names:
        start = text.index(ERRORS[name][2])
        line = text.count("\n", 0, start) + 1
        places.add((line, start - text.rfind("\n", 0, start)))
    return text, places


def overlap(names: tuple[str, ...]) -> bool:
    """Whether two errors would be planted in the same line, where one may hide the other."""
    lines = [TEXT[: TEXT.index(ERRORS[name][0])].count("\n") for name in names]
    both_on_lamp = {"kind", "twice"} <= set(names)
    return len(set(lines)) < len(lines) or both_on_lamp or {"loom", "cavity"} <= set(names)


def test_the_text_has_ten_wires_and_nothing_wrong() -> None:
    outcome = load_text(TEXT)
    assert (outcome.problems, len(outcome.value.wires)) == ((), 10)


TRIPLES = [names for names in itertools.combinations(sorted(ERRORS), 3) if not overlap(names)]


def test_there_are_many_triples() -> None:
    assert len(TRIPLES) > 200


@pytest.mark.parametrize("names", TRIPLES, ids="-".join)
def test_three_errors_are_all_found(names: tuple[str, ...]) -> None:
    text, places = planted(names)
    problems = load_text(text).problems
    seen = {(item.spans[0].line, item.spans[0].column) for item in problems}
    assert places <= seen
    followers = {code for name, code in FOLLOWING if name in names}
    extra = [item for item in problems if (item.spans[0].line, item.spans[0].column) not in places]
    assert [item.code for item in extra if item.code not in followers] == []
