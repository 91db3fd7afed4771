"""Small vehicles drawn at random: fuses alone and in a carrier, relays, loads, modules, connectors, splices, studs."""

from hypothesis import strategies as st

from loombench.text.load import load_text
from loombench.vehicle.model import Vehicle

HEAD = """loombench 1
vehicle "Drawn" 12V
colours IEC
body chassis
stud W1 on chassis
stud W2 on chassis
battery G1 70Ah
carrier B1
  bar 30 from in : F1 F2 K1.30
  F2.out = K1.86
  F1.out = C/7
fuse F1 10A
fuse F2 7.5A
fuse F3 ?A
fuselink F4 100A
relay K1 make 30 85 86 87
relay K2 changeover coil 1 2 contact 3 5 4
switch S1 off | on: 1=2 | both: 1=2 1=3
lamp E1 55W "front"
led H1 5W
module A1
  plugs X1 3way | X2 2way
  supply X1/1
  ground X1/2
  out X2/1 high-side from X1/1
connector X1 4way front | rear
connector X2 2way front | rear
cable C1 twisted
cable C2
"""
ANYWHERE = (
    "chassis", "W1", "W1/a", "W2/a", "W2/b", "G1.+", "G1.-", "B1.in", "B1.C/7", "F1.out", "F2.out", "F3.in", "F3.out",
    "F4.in", "F4.out", "K1.87", "K1.85", "K1.86", "K2.1", "K2.2", "K2.3", "K2.4", "S1.1", "S1.2", "S1.3",
    "E1.1", "E1.2", "H1.+", "H1.-", "A1.X1/1", "A1.X1/2", "A1.X1/3", "A1.X2/1", "SP1", "SP2", "SP31",
)  # fmt: skip
CONNECTED = ("X1.1", "X1.2", "X1.4", "X2.1", "X2.2")
COLOURS = ("?", "RD", "BK", "GY/RD", "VT/GN", "BU/WH/BK", "GN", "YE", "OG/BN")
SIZES = ("?mm2", "0.35mm2", "0.5mm2", "1mm2", "2.5mm2", "70mm2", "18AWG", "0.5..1mm2")
LENGTHS = ("?m", "0.05m", "0.57m", "1.1m", "2.9m", "12.345m", "2..5m", "0.3m")


@st.composite
def vehicles(draw: st.DrawFn) -> Vehicle:
    """A vehicle that loads without errors."""
    lines = [HEAD]
    for loom in ("front", "rear"):
        lines.append(f"loom {loom}\n")
        points = st.sampled_from((*ANYWHERE, *CONNECTED))
        for one, other in draw(st.lists(st.tuples(points, points), max_size=12)):
            if one.split(".")[0] == other.split(".")[0]:
                continue
            number = draw(st.sampled_from(("", "", "#214 ", "#12A ")))
            colour, size = draw(st.sampled_from(COLOURS)), draw(st.sampled_from(SIZES))
            length, cable = draw(st.sampled_from(LENGTHS)), draw(st.sampled_from(("", "", "", " in C1", " in C2")))
            lines.append(f"{one} ({number}{colour} {size} {length}{cable}) {other}\n")
    loaded = load_text("".join(lines), "drawn.circuit", {}.get)
    if not loaded.usable:
        raise ValueError(f"a drawn vehicle does not load: {loaded.problems}")
    return loaded.value
