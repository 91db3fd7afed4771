"""All symbols on one sheet: every part of a kind on the pages of the kinds, and cases that those pages lack."""

from pathlib import Path

from loombench.draw.shapes import Symbol, Wanted
from loombench.draw.shapesvg import page_svg, symbol_svg
from loombench.draw.symbol import symbol_of
from loombench.text.load import load_text
from tests.guard.pages import blocks

PAGES = Path(__file__).parents[2] / "docs" / "kinds"
WIDTH_MM, GAP_MM = 297.0, 5.0


def kind_symbols() -> tuple[Symbol, ...]:
    """The symbol of the first part of its kind on each kind's page, in the order of the kinds' names."""
    found: list[Symbol] = []
    for path in sorted(PAGES.glob("*.md")):
        circuits = [block.text for block in blocks(path.read_text(encoding="utf-8")) if block.info[:1] == ("circuit",)]
        for text in circuits[:1] if path.stem != "README" else ():
            parts = load_text(text, f"{path.stem}.circuit").value.parts.values()
            found.append(next(symbol_of(part) for part in parts if part.kind == path.stem))
    return tuple(found)


def sheet(symbols: tuple[Symbol, ...], title: str) -> str:
    """The symbols row by row as one SVG page."""
    x, y, row, body = GAP_MM, GAP_MM, 0.0, ""
    for symbol in symbols:
        if x + symbol.width_mm > WIDTH_MM - GAP_MM:
            x, y, row = GAP_MM, y + row + GAP_MM, 0.0
        body += symbol_svg(symbol, x, y)
        x, row = x + symbol.width_mm + GAP_MM, max(row, symbol.height_mm)
    return page_svg(body, WIDTH_MM, y + row + GAP_MM, title, "Symbols of the kinds of parts")


CASES = """
switch S1 key    off | acc: 30=75 | run: 30=15 30=75 | start!: 30=15 30=50 "ignition switch"
switch S3 lights off | side: 30=58 | dip: 30=58 30=56 "light switch"
switch S4 beam   dip: 56=56b | main: 56=56a | flash!: 56=56b 30=56a "stalk, dip, main beam and flash"
switch S10 turn  left: 49a=L | off | right: 49a=R
switch S11 brake off | on!: 1=2
switch S42 limit running: 1=2 | reached
switch S8 lamps  up: 1=2 | down: 1=3 rest down
switch S55 roof-fan off | in: 1=3 2=4 | out: 1=4 2=3 "roof fan"
switch S7 stalk
  wipe  off: 53=53e | int: 53=53e J=15 | 1: 53=15 | 2: 53b=15 | flick!: 53=15
  wash  off | wash!: W=15
relay K3 make 30 85 86 87 "boom lamps"
relay K4 break 30 85 86 87a 12V 85ohm
relay K21 changeover 30 85 86 87 87a 30A diode 86
relay K5 make coil 1 2 contact 3 5 resistor 680ohm
unit E31 "left rear lamp"
  L-31  lamp 21W "indicator"
  54-31 lamp 21W "brake lamp"
  58-31 lamp 5W  "tail lamp"
unit M5 "wiper motor"
  53-31   motor 12V 5A slow
  53b-31  motor 12V 7A fast
  cam     parked: 53e=31 | away: 53e=53a
unit B3 "oil pressure"
  process oil  low: 1=2 | ok
  2-3     resistor 100ohm
unit R5 "blower resistors"
  1-2 resistor 1ohm
  2-3 resistor 0.6ohm
  3-4 cutout 184C
flasher K9 49 49a 31 C2 90/min quick below 3.0A
timer K12 off-delay 5s
timer K13 interval 5s
place pivot reach 1min
body cab
stud W7 on cab at pivot "beside the hinge"
connector X12 6way chassis | boom "chassis loom to boom loom"
socket X51 J1962
plug P7 ISO11446
cable C9 twisted shield "screen of the sensor"
fuse F8 30A
fuse F9 15A
relay K31 make 30 85 86 87
relay K33 make 30 85 86 87
carrier B9 "cab box"
  bar 30 from in     : F8 F9 K31.30
  bar 15 from K31.87  : K33.86
  F8.out = K33.30
  F9.out = C/7
module A2 "body controller"
  plugs   X1 20way | X3 32way
  supply  X1/1 "logic" 0.2A | X1/20 "lamp bank"
  ground  X1/10
  in      X3/7  pull-up 1kohm from X1/1  "reverse switch"  on when low
  in      X3/8  "ignition"  on when high  above 6V  below 4V
  out     X1/14 high-side from X1/20  max 8A latches-off  off-leak 0.2mA  test-pulse  "reverse lamps"
  out     X1/15 low-side to X1/10 pwm 65% 100Hz
  when X3/7 and not (X3/8 or engine): X1/14 after 3s for 10s
  asleep  20min 4mA
module K8 "interval"
  supply 15   ground 31   in J high
  contact rest: 53e=31b | tick: 53e=15
  when J: tick 0.6s every 6s
motor M8 12V 25A reversing
breaker Q2 15A manual
sensor B7 2wire 1kohm "coolant temperature"
lamp E99 ?W "a lamp with a very long label that nobody can read at one glance"
"""


def case_symbols() -> tuple[Symbol, ...]:
    """Symbols that the kinds' pages lack."""
    vehicle = load_text(f'loombench 1\nvehicle "Cases" 12V\n{CASES}', "cases.circuit").value
    used = {"A2": frozenset(f"A2.{pin}" for pin in ("X1/1", "X1/20", "X1/10", "X3/7", "X3/8", "X1/14", "X1/15"))}
    used["X12"] = frozenset(("X12.3@chassis", "X12.3@boom", "X12.4@boom"))
    return tuple(symbol_of(part, Wanted(pins=used.get(part.id))) for part in vehicle.parts.values())
