"""The plan of places: marks where the file says they are, none on another, each place in the list with its minutes."""

import math
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import pairwise

import pytest

from loombench.draw.loomways import APART_MM, loom_ways, loom_ways_svg
from loombench.draw.outlines import OUTLINES, form_of
from loombench.draw.places import places_svg
from loombench.draw.placing import MARK_MM, Field, held, loom_places, placed, said
from loombench.text.load import load_text
from loombench.vehicle.model import FORMS, Place, Vehicle

SVG = "{http://www.w3.org/2000/svg}"
BENCH = """loombench 1
vehicle "Bench" 12V coach
place nose  reach 1min lies front "behind the grille"
place tail  reach 4min lies rear left opens skirt "lamp, two screws"
place tank  reach 6min lies 40% right fuel "sender cover"
place shelf reach 2min "nobody knows"
body chassis
stud W1 on chassis at tail
fuse F1 10A at nose
lamp E7 55W at tail
lamp E8 5W at tank
connector X1 2way front | rear at tank
loom front
F1.out (RD 1mm2 1m) X1.1
loom rear
X1.1 (RD 1mm2 1m via tank) E7.1
E7.2 (BN 1mm2 1m) W1/a
X1.1 (RD 1mm2 1m) E8.1
"""
VEHICLE = load_text(BENCH, "bench.circuit").value


def texts(pages: tuple[str, ...]) -> list[str]:
    """All texts, in order."""
    return ["".join(text.itertext()) for page in pages for text in ET.fromstring(page).iter(f"{SVG}text")]


def test_a_place_lies_where_it_is_said_to() -> None:
    """Front at the left, so the right side is up."""
    field = Field(10.0, 20.0, 100.0, 40.0)
    spot = {name: field.spot(place) for name, place in VEHICLE.places.items()}
    assert spot["nose"][0] < spot["tank"][0] < spot["tail"][0]
    assert spot["tank"][1] < spot["nose"][1] < spot["tail"][1]
    assert spot["nose"][1] == 40.0
    for x, y in spot.values():
        assert 10.0 <= x <= 110.0
        assert 20.0 <= y <= 60.0
    assert [name for name, place in VEHICLE.places.items() if not said(place)] == ["shelf"]


def test_no_mark_lies_on_another_and_none_goes_far() -> None:
    crowd = [(f"p{at}", (50.0 + at % 3, 50.0)) for at in range(30)]
    found = placed(crowd)
    spots = list(found.values())
    least = min(math.dist(one, two) for at, one in enumerate(spots) for two in spots[:at])
    assert least >= MARK_MM - 1e-9
    assert max(math.dist(found[name], spot) for name, spot in crowd) < 4 * MARK_MM
    assert placed(crowd) == found


def test_the_list_says_how_to_get_there_how_long_it_takes_and_what_is_there() -> None:
    shown = texts(places_svg(VEHICLE))
    assert "4 min" in shown
    assert "lamp, two screws; first open skirt" in shown
    assert "W1 E7" in shown
    assert shown.index("Where these are is not said, so they have no mark on the plan:") < shown.index("nobody knows")
    assert "Fuel or gas: no live probing, no heat; sender cover; fuel" in shown


def test_each_loom_comes_to_its_places() -> None:
    assert dict(loom_places(VEHICLE)) == {"front": ("nose", "tank"), "rear": ("tank", "tail")}
    assert held(VEHICLE)["tail"] == ("W1", "E7")
    drawn = ET.fromstring(places_svg(VEHICLE)[0])
    assert [path.get("data-loom") for path in drawn.iter(f"{SVG}path") if path.get("class") == "loom"] == [
        "front", "rear",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "said_form", "wanted"),
    [
        ("Mobile library van", "", ("van", True)),
        ("School minibus", "", ("coach", True)),
        ("Telehandler, roof", "", ("machine", True)),
        ("Livestock trailer", "", ("trailer", True)),
        ("Whatever", "", ("van", True)),
        ("Mobile library van", "tractor", ("tractor", False)),
    ],
)
def test_the_outline_is_what_is_said_else_what_the_name_says(name: str, said_form: str, wanted: object) -> None:
    assert form_of(replace(VEHICLE, name=name, form=said_form)) == wanted


def test_every_form_has_an_outline_on_the_plan() -> None:
    assert set(OUTLINES) == set(FORMS)
    for outline in OUTLINES.values():
        assert all(0.0 <= x <= 1.0 and -1.0 <= y <= 1.0 for x, y in outline.body)


def crowded(count: int) -> Vehicle:
    """A vehicle of so many places."""
    places = {f"p{at}": Place(f"p{at}", 60.0, "x" * 300, along=at / count) for at in range(count)}
    return replace(VEHICLE, places={**VEHICLE.places, **places})


def test_a_long_list_goes_on_on_further_pages_and_misses_nobody() -> None:
    pages = places_svg(crowded(60))
    assert len(pages) > 1
    shown = texts(pages)
    assert [name for name in crowded(60).places if name not in shown] == []
    for page in pages:
        lows = [float(text.get("y") or 0.0) for text in ET.fromstring(page).iter(f"{SVG}text")]
        assert max(lows) < 297.0 - 10.0


def test_hostile_places_stay_words() -> None:
    place = Place("<script>", 60.0, "</text><script>1</script>\x00", along=0.5)
    (page,) = places_svg(replace(VEHICLE, name="<b>", places={**VEHICLE.places, "<script>": place}))
    root = ET.fromstring(page)
    assert {element.tag.removeprefix(SVG) for element in root.iter()} <= {
        "svg", "title", "desc", "rect", "text", "circle", "path", "line", "polygon", "polyline",
    }  # fmt: skip


def test_looms_keep_apart_and_their_letters_off_each_other() -> None:
    ways = loom_ways({f"loom {at}": [(20.0, 50.0), (120.0, 60.0), (70.0, 40.0)] for at in range(12)})
    heights = sorted(way.y_mm for way in ways)
    assert min(high - low for low, high in pairwise(heights)) >= APART_MM - 1e-9
    assert len({way.stroke for way in ways}) == len({way.letter for way in ways}) == 12
    root = ET.fromstring(f'<svg xmlns="http://www.w3.org/2000/svg">{loom_ways_svg(ways, [(70.0, 52.0)])}</svg>')
    spots = [(float(text.get("x") or 0), float(text.get("y") or 0)) for text in root.iter(f"{SVG}text")]
    assert min(math.dist(one, two) for at, one in enumerate(spots) for two in spots[:at]) > 2.9


def test_a_loom_that_stays_at_one_place_is_not_drawn() -> None:
    assert loom_ways({"stay": [(20.0, 50.0), (20.0, 50.0)]}) == ()


def test_all_that_is_at_a_place_is_listed() -> None:
    parts = {f"X{at}": replace(VEHICLE.parts["X1"], id=f"X{at}", place="nose") for at in range(100, 150)}
    shown = " ".join(texts(places_svg(replace(VEHICLE, parts={**VEHICLE.parts, **parts}))))
    assert [name for name in parts if name not in shown.split()] == []
