"""What an overlay puts on a page, and how a settled state becomes one."""

import re

from loombench.app.drawing import Drawings, layouts_here
from loombench.app.drawnstate import overlay_of
from loombench.app.vehicles import open_vehicle
from loombench.draw.overlay import BAD, BETWEEN, GOOD, Overlay, Reading
from loombench.text.names import read_condition
from loombench.vehicle.condition import Condition
from tests.draw.test_circuit import EXAMPLES, ROOF

DRAWINGS = Drawings(ROOF)
BOOM, RELAY = DRAWINGS.functions[:2]
LAYOUTS = layouts_here(None)


def condition(*words: str) -> Condition:
    return read_condition(ROOF, words).value


def page(overlay: Overlay, function: int = 0) -> str:
    (made,) = DRAWINGS.pages(DRAWINGS.functions[function], LAYOUTS, overlay).value
    return made.svg


def test_a_condition_has_volts_live_wires_and_currents_in_their_direction() -> None:
    on = overlay_of(ROOF, condition("S4=on")).value
    assert on.positions["S4"] == "on"
    assert 11.0 < float(on.volts["E7.1"].removesuffix(" V")) < 12.7
    assert {"S4.2~X12.3", "SP2~E7.1"} <= on.live
    assert "E7.2~W3/a" not in on.live
    assert on.amps["SP2~E7.1"] > 3.0
    assert overlay_of(ROOF, condition()).value.amps.get("SP2~E7.1") is None


def test_a_pulled_relay_and_a_pulled_fuse_are_shown() -> None:
    on = overlay_of(ROOF, condition("S5=on")).value
    assert on.positions["K4"] == "pulled"
    out = overlay_of(ROOF, condition("S5=on", "pull F14")).value
    assert "F14" in out.gone
    assert out.positions.get("K4") != "pulled"


def test_volts_stand_at_the_pins_and_are_read_out() -> None:
    svg = page(overlay_of(ROOF, condition("S4=on")).value)
    shown = re.findall(r'class="volts"[^>]*>([^<]*)<', svg)
    assert "12.65 V" not in shown
    assert sum(float(text.removesuffix(" V")) > 11.0 for text in shown) >= 8
    assert re.search(r'data-read="E7.1"[^>]*><title>E7.1  11\.\d\d V</title>', svg)
    assert svg.count('class="live"') == 7


def test_volts_stand_at_a_stud_where_they_are_not_nought() -> None:
    shown = [
        re.findall(r'class="volts"[^>]*>([^<]*)<', page(Overlay(volts={"W3/a": text}))) for text in ("1.20 V", "?")
    ]
    assert shown == [["1.20 V"], ["?"]]
    assert 'class="volts"' not in page(Overlay(volts={"W3/a": "0.00 V"}))


def test_everything_stands_where_it_stood_in_every_condition() -> None:
    """Who compares two states finds each pin at the same place on the same page, and the wires and words on them."""
    drawings = Drawings(open_vehicle(str(EXAMPLES / "tipper-tarpaulin")).vehicle)
    motor = next(one for one in drawings.functions if any(load.startswith("M8") for load in one.loads))
    pulled = overlay_of(
        drawings.vehicle, read_condition(drawings.vehicle, ("S1=run", "S40=open", "S44=out")).value
    ).value
    assert pulled.positions["K21"] == "pulled"
    found = [drawings.pages(motor, LAYOUTS, overlay).value for overlay in (Overlay(), pulled)]
    marks = r'class="(?:pin|wire|label-ground)"[^>]*'
    plain, there = ([re.findall(marks, one.svg) for one in pages] for pages in found)
    assert plain == there
    assert all('class="volts"' in one.svg for one in found[1])


def test_an_arrow_points_the_way_the_current_goes() -> None:
    for sign in (1.0, -1.0):
        svg = page(Overlay(amps={"SP2~E8.1": sign * 5.0}))
        (points,) = re.findall(r'class="current" points="([^"]*)"', svg)
        tip, one, two = ([float(value) for value in pair.split(",")] for pair in points.split())
        ((start, end),) = re.findall(r'data-wire="SP2~E8.1" points="([\d.]+),[^"]* ([\d.]+),[\d.]+"', svg)
        assert one[0] == two[0]
        assert (tip[0] > one[0]) == ((float(end) > float(start)) == (sign > 0))


def test_leads_suspects_and_readings_are_told_without_colour() -> None:
    readings = tuple(Reading("S4.1", f"{at} V", verdict) for at, verdict in enumerate((GOOD, BAD, BETWEEN)))
    overlay = Overlay(red="E7.1", black="G1.-", suspects={"S4": "", "S4.2~X12.3": ""}, readings=readings)
    svg = page(overlay)
    assert svg.count('class="lead"') == 2
    assert svg.count('class="suspect"') == 2
    for words in ("0 V \u2713", "1 V \u2717", "2 V ~"):
        assert f">{words}<" in svg


def test_positions_are_drawn() -> None:
    assert page(Overlay(positions={"K4": "pulled"}), 1) != page(Overlay(), 1)
