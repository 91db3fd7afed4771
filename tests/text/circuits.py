"""Small circuits that several tests start from, and short ways to load them."""

from pathlib import Path

from loombench.base.problems import Problem
from loombench.text.load import load_text
from loombench.vehicle.model import Part, Vehicle

ROOT = Path(__file__).parents[2]
HEAD = 'loombench 1\nvehicle "Test" 12V\ncolours IEC\n'
LAMP = f"""{HEAD}body chassis
stud W1 on chassis
battery G1 70Ah
fuse F12 10A
switch S4 off | on: 1=2
lamp E7 12V 55W "work lamp"
G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.6m) F12 (RD 1mm2 1m) S4.1
S4.2 (GY/RD 1mm2 2m) E7 (BN 1mm2 1m) W1/b
"""


def sound(text: str) -> Vehicle:
    """The vehicle of a text that has nothing wrong with it."""
    outcome = load_text(text)
    assert outcome.problems == ()
    return outcome.value


def part_of(lines: str, name: str) -> Part:
    """A part of a vehicle of those lines."""
    return sound(HEAD + lines).parts[name]


def codes(problems: tuple[Problem, ...]) -> list[str]:
    """The codes of problems, in order."""
    return [item.code for item in problems]


def wrong(lines: str) -> list[str]:
    """The codes of what is wrong with those lines below a head."""
    return codes(load_text(HEAD + lines).problems)
