"""The layout engine alone on a graph whose crossings are known."""

from benchmarks.drawnpage import Drawn, Page, Pin
from benchmarks.drawnplain import plain
from loombench.draw.engine.engines import load_engine


def page(wires: tuple[tuple[str, str], ...]) -> Page:
    """Two boxes below each other with two pins each, wired as told."""
    at = {"A.1": (2.0, 10.0), "A.2": (8.0, 10.0), "B.1": (2.0, 30.0), "B.2": (8.0, 30.0)}
    pins = tuple(Pin(name, spot, name[0], name[0]) for name, spot in at.items())
    return Page(50, 50, pins=pins, wires=tuple(Drawn((at[a], at[b]), f"{a}~{b}") for a, b in wires))


def test_crossings_that_no_layout_avoids() -> None:
    engine = load_engine().value
    assert engine is not None
    boxes = {"A": (0.0, 0.0, 10.0, 10.0), "B": (0.0, 30.0, 10.0, 40.0)}
    assert plain(page((("A.1", "B.1"), ("A.2", "B.2"))), boxes, engine.lay) == (0, 0)
    crossed, bent = plain(page((("A.1", "B.2"), ("A.2", "B.1"))), boxes, engine.lay)
    assert crossed == 1
    assert bent >= 2
