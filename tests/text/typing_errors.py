"""A file of fifteen wires, and forty typing errors one of which at a time is made in it."""

from typing import NamedTuple

TEXT = """loombench 1
vehicle "Typed at the bench" 12V
colours IEC
place dash reach 1min "two clips"
place rear reach 4min "four screws"
body chassis
stud W1 on chassis at dash
battery G1 70Ah
fuse F12 10A at dash "work lamp"
fuse F13 15A at dash "blower"
relay K4 make 30 85 86 87 at dash
switch S4 off | on: 1=2 at dash
switch S5 off | low: 1=2 | high: 1=3 at dash
lamp E7 12V 55W at rear "work lamp"
led H3 12V 5W at dash
motor M3 12V 8A at rear
connector X12 6way cab | tail at rear
unit E31 "rear lamp" at rear
  1-3 lamp 21W "indicator"
  2-3 lamp 5W "side"
loom cab
G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.6m) SP1
SP1 (RD 4mm2 1m) F12 (RD 2.5mm2 0.5m) K4.30
SP1 (RD 1mm2 1m) S4.1
S4.2 (GY/RD 1mm2 2m) K4.86
K4.85 (BN 1mm2 0.5m) W1/b
K4.87 (RD/WH 2.5mm2 1.4m) X12.3
SP1 (RD 2.5mm2 1m) F13 (RD 1.5mm2 0.4m) S5.1
S5.2 (YE 1.5mm2 0.8m) M3.+
M3.- (BN 1.5mm2 0.6m) W1/c
loom tail
X12.3 (RD/WH 2.5mm2 2m) E7 (BN 2.5mm2 1m) W1/d
E31.3 (BN 1mm2 1m) W1/e
"""


class Slip(NamedTuple):
    """What was typed for what; the code that says it, and a word of the cure that its sentences must hold."""

    right: str
    wrong: str
    code: str
    cure: str


SLIPS: dict[str, Slip] = {
    "kind misspelt": Slip("lamp E7", "lmap E7", "kind-unknown", "lamp"),
    "kind with a capital": Slip("lamp E7", "Lamp E7", "kind-unknown", "lamp"),
    "name forgotten": Slip("fuse F12 10A", "fuse 10A", "word-missing", "fuse F12 10A"),
    "kind and name run together": Slip("lamp E7 12V", "lampE7 12V", "kind-unknown", "lamp E7"),
    "no unit": Slip("fuse F12 10A", "fuse F12 10", "number-bare", "10A"),
    "wrong unit": Slip("fuse F12 10A", "fuse F12 10W", "number-unit", "A"),
    "letter for a digit": Slip("fuse F12 10A", "fuse F12 1OA", "word-unexpected", "10A"),
    "size without unit": Slip("GY/RD 1mm2 2m", "GY/RD 1 2m", "number-bare", "1mm2"),
    "size in mm": Slip("RD 2.5mm2 0.5m", "RD 2.5mm 0.5m", "size-as-length", "2.5mm2"),
    "size with a full stop too many": Slip("RD 2.5mm2 0.5m", "RD 2.5mm2 0..5m", "number-range", "0.001 to 500 m"),
    "size a hundred times too large": Slip("YE 1.5mm2", "YE 1500mm2", "number-range", "500 mm2"),
    "comma between": Slip("YE 1.5mm2 0.8m", "YE,1.5mm2,0.8m", "word-unexpected", "YE 1.5mm2 0.8m"),
    "size in mm, a large one": Slip("(BK 16mm2 0.4m)", "(BK 35mm 0.4m)", "size-as-length", "35mm2"),
    "no brackets, no pins": Slip("SP1 (RD 1mm2 1m) S4.1", "S7 RD 1mm2 1m S9", "wire-unfinished", "S7 (RD 1mm2 1m) S9"),
    "two lengths": Slip("(YE 1.5mm2 0.8m)", "(YE 1.5m 0.8m)", "word-unexpected", "1.5mm2"),
    "bracket not opened": Slip("S5.2 (YE", "S5.2 YE", "bracket-open", "bracket"),
    "bracket not closed": Slip("0.4m) W1/a", "0.4m W1/a", "bracket-open", "bracket"),
    "no brackets": Slip("S4.2 (GY/RD 1mm2 2m) K4.86", "S4.2 GY/RD 1mm2 2m K4.86", "wire-unfinished", "(GY/RD 1mm2 2m)"),
    "no brackets, a splice": Slip("SP1 (RD 1mm2 1m) S4.1", "SP1 RD 1mm2 1m S4.1", "wire-unfinished", "(RD 1mm2 1m)"),
    "square brackets": Slip("S4.2 (GY/RD 1mm2 2m)", "S4.2 [GY/RD 1mm2 2m]", "wire-unfinished", "(GY/RD 1mm2 2m)"),
    "end forgotten": Slip("S4.2 (GY/RD 1mm2 2m) K4.86", "S4.2 (GY/RD 1mm2 2m)", "wire-unfinished", "point"),
    "colour of another system": Slip("K4.85 (BN", "K4.85 (SW", "colour-unknown", "DIN"),
    "colour small": Slip("M3.- (BN", "M3.- (bn", "", ""),
    "colour misspelt": Slip("M3.- (BN", "M3.- (BM", "colour-unknown", "BN"),
    "part misspelt": Slip("SP1 (RD 1mm2 1m) S4.1", "SP1 (RD 1mm2 1m) S14.1", "part-unknown", "S4"),
    "part with a small letter": Slip("S4.2 (", "s4.2 (", "part-unknown", "S4"),
    "pin that is none": Slip("S4.2 (", "S4.3 (", "pin-unknown", "1 2"),
    "pin forgotten": Slip("K4.87 (", "K4 (", "pin-needed", "30 85 86 87"),
    "pin without its dot": Slip("S4.2 (", "S42 (", "part-unknown", "S4.2"),
    "pin after a comma": Slip("S4.2 (", "S4,2 (", "part-unknown", "S4.2"),
    "cavity too high": Slip("X12.3 (RD/WH 2.5mm2 2m)", "X12.8 (RD/WH 2.5mm2 2m)", "pin-unknown", "1 2 3 4 5 6"),
    "ring without stroke": Slip("W1/e", "W1e", "part-unknown", "W1/e"),
    "loom misspelt": Slip("loom tail", "loom tial", "half-unknown", "tail"),
    "body misspelt": Slip("on chassis", "on chasis", "body-unknown", "chassis"),
    "on forgotten": Slip("stud W1 on chassis", "stud W1 chassis", "word-missing", "stud W1 on chassis"),
    "place misspelt": Slip("lamp E7 12V 55W at rear", "lamp E7 12V 55W at raer", "place-unknown", "rear"),
    "at forgotten": Slip("led H3 12V 5W at dash", "led H3 12V 5W dash", "word-unexpected", "at dash"),
    "quote not closed": Slip('55W at rear "work lamp"', '55W at rear "work lamp', "quote-open", "quote"),
    "label without quotes": Slip('10A at dash "work lamp"', "10A at dash work lamp", "word-unexpected", "quotes"),
    "bar forgotten": Slip("S4 off | on: 1=2", "S4 off on: 1=2", "switch-single", "off | on: 1=2"),
    "bar forgotten of three": Slip("low: 1=2 | high: 1=3", "low: 1=2 high: 1=3", "word-unexpected", "| high:"),
    "first bar forgotten of three": Slip("S5 off | low", "S5 off low", "switch-single", "off | low"),
    "off misspelt": Slip("S4 off |", "S4 of |", "position-doubtful", "off"),
    "colon forgotten": Slip("S4 off | on: 1=2", "S4 off | on 1=2", "word-unexpected", "on:"),
    "dash for equals": Slip("S4 off | on: 1=2", "S4 off | on: 1-2", "word-unexpected", "1=2"),
    "halves without bar": Slip("6way cab | tail", "6way cab tail", "connector-halves", "bar"),
    "one half": Slip("6way cab | tail", "6way cab", "connector-halves", "chassis | boom"),
    "ways apart": Slip("6way cab", "6 way cab", "", ""),
    "ways without way": Slip("6way cab", "6 cab", "number-bare", "6way"),
    "row at the margin": Slip('  1-3 lamp 21W "indicator"', '1-3 lamp 21W "indicator"', "indent-missing", "spaces"),
    "row with equals": Slip("  1-3 lamp", "  1=3 lamp", "word-missing", "1-6 lamp"),
    "row without kind": Slip("  2-3 lamp 5W", "  2-3 5W", "word-missing", "1-6 lamp"),
    "name twice": Slip("led H3", "led E7", "name-twice", "name"),
    "terminal that a relay has not": Slip("make 30 85 86 87", "make 30 85 86 88", "relay-roles", "87"),
    "form of the relay forgotten": Slip("K4 make 30", "K4 30", "word-missing", "make"),
    "first line without number": Slip("loombench 1", "loombench", "version-unknown", "loombench 1"),
    "voltage with letters": Slip('bench" 12V', 'bench" 12volts', "", ""),
    "wire indented": Slip("K4.85 (BN", "  K4.85 (BN", "indent-unexpected", "margin"),
    "minus lost": Slip("G1.- (", "G1 (", "pin-needed", "G1"),
    "ampere-hours apart": Slip("70Ah", "70 AH", "", ""),
    "polarised through": Slip("SP1 (RD 1mm2 1m) S4.1", "SP1 (RD 1mm2 1m) H3 (RD 1mm2 1m) S4.1", "way-needed", "H3.+>-"),
    "colon for a dot": Slip("S4.2 (", "S4:2 (", "point-bad", "S4.1"),
    "hash for a number": Slip("(YE 1.5mm2", "(214 YE 1.5mm2", "number-bare", "#214"),
}
