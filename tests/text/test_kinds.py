"""Each kind of part of `docs/notation.md`: what is written becomes the housing, pins, elements and numbers meant."""

import re

import pytest

from loombench.base.band import Band, exactly
from loombench.text.load import load_text
from loombench.text.partline import EXAMPLES
from loombench.text.write import write
from loombench.vehicle.kinds import KINDS
from loombench.vehicle.module import All, Not, TroubleCode
from loombench.vehicle.module import Any as AnyOf
from loombench.vehicle.module import Test as Leaf
from loombench.vehicle.points import PIN, Point
from tests.text.circuits import HEAD, part_of, sound, wrong

FIXED = [
    ("battery G1 12V 95Ah", ("+", "-"), {"rated_v": 12, "capacity_ah": 95}),
    ("alternator G2 90A", ("B+", "-", "D+"), {"limit_a": 90}),
    ("fuselink F1 100A", ("in", "out"), {"rated_a": 100}),
    ("fuse F12 10A", ("in", "out"), {"rated_a": 10}),
    ("breaker Q1 15A cycling", ("in", "out"), {"rated_a": 15}),
    ("lamp E7 12V 21W", ("1", "2"), {"rated_v": 12, "rated_w": 21}),
    ("heater R6 12V 150W", ("1", "2"), {"rated_v": 12, "rated_w": 150}),
    ("solenoid Y1 12V 1.5A", ("1", "2"), {"rated_v": 12, "rated_a": 1.5}),
    ("horn B1 12V 5A", ("1", "2"), {"rated_v": 12, "rated_a": 5}),
    ("resistor R2 4k7", ("1", "2"), {"resistance_ohm": 4700}),
    ("led H3 12V 5W", ("+", "-"), {"rated_v": 12, "rated_w": 5}),
    ("motor M3 12V 20A", ("+", "-"), {"rated_v": 12, "rated_a": 20}),
    ("motor M8 12V 25A reversing", ("a", "b"), {"rated_v": 12, "rated_a": 25}),
    ("diode D1 3A", ("a", "k"), {"rated_a": 3}),
    ("cutout F30 184C", ("1", "2"), {"opens_c": 184}),
    ("converter U1 12V 20A", ("in", "gnd", "out"), {"output_v": 12, "limit_a": 20}),
    ("sensor B7 2wire 1kohm", ("1", "2"), {"resistance_ohm": 1000}),
    ("sensor B8 3wire 50%", ("+", "-", "s"), {"signal_share": 0.5}),
    ("timer K11 on-delay 5s", ("15", "31", "87"), {"time_s": 5}),
    ("timer K12 off-delay 5s", ("30", "15", "31", "87"), {"time_s": 5}),
    ("terminator R1 120ohm", ("1", "2"), {"resistance_ohm": 120}),
    ("bus-node N4 30kohm", ("H", "L"), {"resistance_ohm": 30000}),
    ("generic A9 1 2 3", ("1", "2", "3"), {}),
]


@pytest.mark.parametrize(("line", "pins", "numbers"), FIXED)
def test_a_device_with_fixed_pins(line: str, pins: tuple[str, ...], numbers: dict[str, float]) -> None:
    kind, name = line.split()[:2]
    part = part_of(line + "\n", name)
    assert (part.kind, part.pins, dict(part.plugs)) == (kind, pins, {"": pins})
    assert dict(part.params) == {key: exactly(value) for key, value in numbers.items()}
    (inner,) = part.elements
    assert (inner.kind, inner.pins, dict(inner.params)) == (kind, pins, dict(part.params))


def test_every_kind_is_read_and_has_an_example() -> None:
    assert set(EXAMPLES) == set(KINDS)
    spoken = {line.split()[0] for line, _, _ in FIXED}
    others = {"carrier", "relay", "switch", "connector", "splice", "body", "stud", "strap", "unit", "flasher", "module",
              "cable", "socket", "plug"}  # fmt: skip
    assert spoken | others == set(KINDS)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_the_example_of_each_kind_loads(kind: str) -> None:
    line = EXAMPLES[kind]
    below = re.search(r"with lines below it: (.*)\)$", line)
    text = line.split(" (")[0] + "\n" + (f"  {below[1]}\n" if below else "")
    lines = "body boom\nplace cab-box\n" + ("" if kind == "body" else "body chassis\n") + text
    assert sound(HEAD + lines).parts[line.split()[1]].kind == kind


def test_label_place_and_class_stand_anywhere() -> None:
    part = part_of('place dash\nlamp E7 at dash class safety "left" 55W 12V\n', "E7")
    assert (part.place, part.label) == ("dash", "left")
    assert part.class_marks == (("1", "safety"), ("2", "safety"))


def test_a_relay_keeps_its_printed_terminals() -> None:
    part = part_of("relay K3 changeover 30 85 86 87 87a 12V 85ohm 30A diode 86\n", "K3")
    assert part.pins == ("30", "85", "86", "87", "87a")
    named = {inner.name: inner for inner in part.elements}
    assert named["coil"].kind == "relay-coil"
    assert named["coil"].pins == ("85", "86")
    assert dict(named["coil"].params) == {"rated_v": exactly(12), "coil_ohm": exactly(85)}
    assert (named["make"].kind, named["make"].pins) == ("relay-contact", ("30", "87"))
    assert (named["break"].kind, named["break"].pins) == ("relay-contact", ("30", "87a"))
    assert (named["diode"].kind, named["diode"].pins) == ("diode", ("85", "86"))


def test_a_relay_with_other_names_says_the_roles() -> None:
    part = part_of("relay K5 changeover coil 1 2 contact 3 5 4 resistor 680ohm pick-up 7V drop-out 2V\n", "K5")
    named = {inner.name: inner for inner in part.elements}
    assert [named[name].pins for name in ("coil", "make", "break", "resistor")] == [
        ("1", "2"), ("3", "5"), ("3", "4"), ("1", "2"),
    ]  # fmt: skip
    assert dict(named["coil"].params) == {"pick_up_v": exactly(7), "drop_out_v": exactly(2)}
    assert dict(named["resistor"].params) == {"resistance_ohm": exactly(680)}


@pytest.mark.parametrize("line", ["relay K5 make 1 2 3 5", "relay K5 make 30 85 86", "relay K5 changeover 30 85 86 87"])
def test_roles_that_are_not_certain_are_asked_for(line: str) -> None:
    assert wrong(line + "\n") == ["relay-roles"]


def test_a_switch_with_positions_alias_and_rest() -> None:
    part = part_of("switch S10 turn  left: 49a=L | off | right: 49a=R 49a=S | flash!: 49a=L rest off\n", "S10")
    (control,) = part.controls
    assert (control.id, control.alias, control.rest, control.by) == ("S10", "turn", "off", "driver")
    assert [(p.name, p.pairs, p.springs_back) for p in control.positions] == [
        ("left", (("49a", "L"),), False),
        ("off", (), False),
        ("right", (("49a", "R"), ("49a", "S")), False),
        ("flash", (("49a", "L"),), True),
    ]
    assert part.pins == ("49a", "L", "R", "S")


def test_off_is_rest_else_the_first_position_that_does_not_spring_back() -> None:
    assert part_of("switch S1 push!: 1=2 | up | down: 1=2\n", "S1").controls[0].rest == "up"
    assert part_of("switch S1 left: 1=2 | off | right: 1=3\n", "S1").controls[0].rest == "off"
    assert wrong("switch S1 push!: 1=2\n") == ["word-missing"]


def test_a_switch_with_several_poles() -> None:
    part = part_of("switch S7 stalk\n  wipe off: 53=53e | 1: 53=15\n  wash off | wash!: W=15\n", "S7")
    assert [(control.id, control.alias) for control in part.controls] == [
        ("S7.wipe", "stalk.wipe"),
        ("S7.wash", "stalk.wash"),
    ]
    assert part.pins == ("53", "53e", "15", "W")


def test_a_unit_with_elements_cam_and_process() -> None:
    lines = (
        'unit M5 "wiper"\n  53-31 motor 12V 5A slow\n  53b-31 motor fast 7A\n  5-4 cutout 184C "fuse link"\n'
        "  cam parked: 53e=31 | away: 53e=53a\n  process pressure low: p=31 | ok\n"
    )
    part = part_of(lines, "M5")
    assert [(inner.kind, inner.name, inner.pins, inner.words, inner.label) for inner in part.elements] == [
        ("motor", "53-31", ("53", "31"), ("slow",), ""),
        ("motor", "53b-31", ("53b", "31"), ("fast",), ""),
        ("cutout", "5-4", ("5", "4"), (), "fuse link"),
    ]
    cam, process = part.controls
    assert (cam.id, cam.by, cam.follows, cam.rest) == ("M5.cam", "process", "53-31", "parked")
    assert (process.id, process.by, process.follows, process.alias) == ("M5.pressure", "process", "", "pressure")
    assert part.pins == ("53", "31", "53b", "5", "4", "53e", "53a", "p")


def test_a_flasher_keeps_the_names_and_order_of_its_pins() -> None:
    part = part_of("flasher K9 49 49a 31 C2 90/min quick below 3.0A\n", "K9")
    assert part.pins == ("49", "49a", "31", "C2")
    assert dict(part.params) == {"rate_per_min": exactly(90), "quick_below_a": exactly(3)}
    assert part_of("flasher K9 49 49a 90/min\n", "K9").pins == ("49", "49a")


def test_a_carrier_holds_what_its_bars_name() -> None:
    vehicle = sound(
        HEAD + "place box\nfuse F8 30A\nfuse F9 15A\nrelay K3 make 30 85 86 87\nswitch S1 off | run: 30=15\n"
        "carrier B1 at box\n  bar 30 from in : F8 F9\n  F8.out = K3.30\n  F9.out = C/7\n  bar 15 from S1.15 : K3.86\n"
    )
    carrier = vehicle.parts["B1"]
    assert carrier.pins == ("in", "C/7")
    entry = Point("B1", "in", layer=PIN)
    assert carrier.links == (
        (entry, Point("F8", "in")),
        (entry, Point("F9", "in")),
        (Point("F8", "out"), Point("K3", "30")),
        (Point("F9", "out"), Point("B1", "C/7", layer=PIN)),
        (Point("S1", "15"), Point("K3", "86")),
    )
    assert {part.id: part.holder for part in vehicle.parts.values() if part.holder} == dict.fromkeys(
        ("F8", "F9", "K3"), "B1"
    )
    assert vehicle.parts["F8"].place == "box"


def test_metal_is_bodies_studs_and_straps() -> None:
    lines = "body boom\nbody chassis\nstrap W9 boom chassis 0.3m 16mm2\nstud W1 on chassis\nlamp E1 5W\nE1.1 (?) W1/a\n"
    vehicle = sound(HEAD + lines)
    strap = vehicle.parts["W9"]
    assert strap.links == ((Point("W9", "a"), Point("boom")), (Point("W9", "b"), Point("chassis")))
    assert dict(strap.params) == {"length_m": exactly(0.3), "area_mm2": exactly(16)}
    assert (vehicle.parts["W1"].body, vehicle.parts["W1"].pins) == ("chassis", ("a",))


def test_a_module_says_all_of_itself() -> None:
    lines = """module A2 "body controller"
  plugs   X1 20way | X3 32way
  supply  X1/1 "logic" 0.2A | X1/20 "lamp bank"
  ground  X1/10
  in      X3/7  pull-up 1kohm from X1/1  "reverse switch"  on when low
  in      X3/8  "ignition"  on when high above 6V below 4V
  in      X3/9 high
  out     X1/14 high-side from X1/20  max 8A latches-off  off-leak 0.2mA  test-pulse  "reverse lamps"
  out     X1/15 low-side to X1/10 pwm 65% 100Hz
  contact rest: X3/1=X3/2 | tick: X3/1=X3/3
  when X3/7 and not (X3/8 or engine): X1/14 after 3s for 10s
  when X3/9: tick 0.6s every 6s
  asleep  20min 4mA
  code    X1/14 low "B1A05-11" | X1/14 open B1A05-13
"""
    part = part_of(lines, "A2")
    spec = part.module
    assert spec is not None
    assert {name: len(pins) for name, pins in part.plugs.items()} == {"X1": 20, "X3": 32}
    assert part.plugs["X1"][:2] == ("X1/1", "X1/2")
    assert [(s.pin, s.label, s.draw_a) for s in spec.supplies] == [
        ("X1/1", "logic", exactly(0.2)),
        ("X1/20", "lamp bank", None),
    ]
    assert spec.grounds == ("X1/10",)
    low, high, short = spec.inputs
    assert (low.on_when, low.pull, low.pull_to, low.pull_ohm) == ("low", "up", "X1/1", exactly(1000))
    assert (high.on_when, high.high_v, high.low_v, high.label) == ("high", exactly(6), exactly(4), "ignition")
    assert short.on_when == "high"
    lamps, dimmed = spec.outputs
    assert (lamps.side, lamps.source, lamps.limit_a, lamps.latches_off) == ("high", "X1/20", exactly(8), True)
    assert lamps.off_leak_a == Band(0.2e-3, 0.2e-3, 0.2e-3)
    assert lamps.test_pulse
    assert (dimmed.side, dimmed.source, dimmed.pwm_share, dimmed.pwm_hz) == ("low", "X1/10", 0.65, 100.0)
    (contact,) = spec.contacts
    assert (contact.rest, contact.tick) == ((("X3/1", "X3/2"),), (("X3/1", "X3/3"),))
    first, second = spec.rules
    assert first.rule == All((Leaf("X3/7"), Not(AnyOf((Leaf("X3/8"), Leaf("engine"))))))
    assert (first.targets, first.after_s, first.for_s) == (("X1/14",), 3.0, 10.0)
    assert (second.targets, second.tick_s, second.every_s) == (("contact",), 0.6, 6.0)
    assert (spec.asleep_after_s, spec.asleep_a) == (1200.0, exactly(0.004))
    assert spec.codes == (
        TroubleCode("X1/14", "low", "B1A05-11"),
        TroubleCode("X1/14", "open", "B1A05-13"),
    )


def test_a_code_is_about_a_pin_that_the_module_has() -> None:
    head = "module A2\n  supply 1\n  ground 2\n  out 4 high-side\n  "
    assert wrong(f'{head}code 4 low "B1" | 1 range B2\n') == []
    assert wrong(f"{head}code 9 low B1\n") == ["pin-unknown"]
    assert wrong(f"{head}code 4 warm B1\n") == ["word-unexpected"]
    assert wrong(f"{head}code 4 low\n") == ["word-missing"]


def test_clauses_of_a_module_may_share_a_line() -> None:
    part = part_of("module K8\n  supply 15   ground 31   in J high\n", "K8")
    assert part.module is not None
    assert ([s.pin for s in part.module.supplies], part.module.grounds) == (["15"], ("31",))
    assert [(item.pin, item.on_when) for item in part.module.inputs] == [("J", "high")]


def test_sockets_have_the_contacts_of_their_form() -> None:
    counts = {form: len(part_of(f"socket X1 {form}\n", "X1").pins) for form in ("ISO1724", "ISO11446", "J1962")}
    assert counts == {"ISO1724": 7, "ISO11446": 13, "J1962": 16}


def test_a_cable_holds_the_wires_at_its_points() -> None:
    vehicle = sound(
        HEAD + "bus-node N1 30kohm\nbus-node N2 30kohm\ncable C4 N1.H N1.L twisted shield\n"
        "N1.H (YE 0.35mm2 1m) N2.H\nN1.L (GN 0.35mm2 1m) N2.L\nN2.L (GN 0.35mm2 1m in C4) SP1\n"
    )
    assert [wire.cable for wire in vehicle.wires] == ["C4", "C4", "C4"]
    assert (vehicle.parts["C4"].pins, vehicle.parts["C4"].words) == (("shield",), ("twisted", "shield"))


def test_numbers_not_known_become_ranges() -> None:
    fuse, lamp = part_of("fuse F3 ?A\n", "F3"), part_of("lamp E9 12V ?W\n", "E9")
    assert fuse.params["rated_a"] == Band(10, 5, 30)
    assert lamp.params["rated_w"] == Band(21, 5, 60)
    assert part_of("fuse F3\n", "F3").params == fuse.params
    assert part_of("fuse F3 5..15A\n", "F3").params["rated_a"] == Band(10, 5, 15)
    assert "resistance_ohm" not in part_of("heater R1 ?W\n", "R1").params


def test_options_decide_which_lines_count() -> None:
    text = HEAD + 'option kit "tow bar"\nif kit socket X50 ISO1724\nif not kit lamp E1 5W\n'
    without, with_kit = load_text(text), load_text(text, options=("kit",))
    assert (without.problems, with_kit.problems) == ((), ())
    assert (list(without.value.parts), without.value.options, without.value.offers) == (["E1"], (), ("kit",))
    assert (list(with_kit.value.parts), with_kit.value.options) == (["X50"], ("kit",))


def test_the_spelling_of_written_parts_is_stable() -> None:
    text = HEAD + "".join(f"{line}\n" for line, _, _ in FIXED)
    once = write(sound(text))
    assert write(sound(once)) == once
