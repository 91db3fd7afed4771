"""The rules that compute: against printed tables and arithmetic done here, and bounded on a whole vehicle."""

import pytest

from benchmarks.loading import harness
from loombench.base.problems import Level
from loombench.check.ampacity import ampacity_a
from loombench.check.loaded import MOST_STATES, loaded
from loombench.check.protection import limits
from loombench.check.view import View
from loombench.check.ways import Ways
from loombench.circuit.point import Settled
from loombench.circuit.ready import Ready
from loombench.text.load import load_text
from loombench.vehicle.condition import Condition
from tests.check.circuits import CLEAN, codes, one, planted, vehicle

HEAD = (
    'loombench 1\nvehicle "Example" 12V\nbody chassis\nstud W1 on chassis\nbattery G1 70Ah\nG1.- (BK 25mm2 0.4m) W1/a\n'
)


def way(text: str, load: str) -> list[str]:
    """What is set to switch a load on."""
    view = View(vehicle(text))
    found = Ways(view).way(next(run.load for run in view.runs if run.load.via == load))
    assert found is not None
    return [str(operation) for name, operation in found.needs if not name.startswith("relay ")]


@pytest.mark.parametrize(
    ("area_mm2", "current_a"),
    # T. R. Kuphaldt, Lessons In Electric Circuits, vol. V ch. 3, copper in free air at 30 C, 90 C column: 20, 14, 10, 2
    # AWG. Areas by ASTM B258, rounded to four figures, so within 0.1 %.
    [(0.5176, 12.5), (2.081, 35.0), (5.261, 55.0), (33.62, 190.0)],
)
def test_ampacity_is_the_table_at_its_sizes(area_mm2: float, current_a: float) -> None:
    assert ampacity_a(area_mm2) == pytest.approx(current_a, rel=1e-3)


def test_ampacity_rises_with_the_section_also_outside_the_table() -> None:
    currents = [
        ampacity_a(area) for area in (0.1, 0.35, 0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 50.0, 95.0)
    ]
    assert currents == sorted(currents)
    assert len(set(currents)) == len(currents)


def test_a_fuse_above_its_smallest_wire() -> None:
    found = one(planted(("fuse F2 10A", "fuse F2 30A")), "fuse-above-wire")
    assert (found.fact("fuse"), found.fact("rating"), found.fact("wire")) == ("F2", "30 A", "SP3~A1.5")
    assert "printed" in found.fact("source")


def test_a_control_does_not_lead_through_two_positions() -> None:
    """Fed by either fuse, but by one at a time: each feeder is behind its own fuse only."""
    text = (
        HEAD + "fuse F1 5A\nfuse F2 40A\nswitch S1 one: 1=3 | two: 2=3\nlamp E1 12V 5W\nG1.+ (RD 10mm2 0.2m) SP1\n"
        "SP1 (RD 10mm2 0.2m) F1 (RD 0.5mm2 1m) S1.1\nSP1 (RD 10mm2 0.2m) F2 (RD 6mm2 1m) S1.2\n"
        "S1.3 (RD 6mm2 1m) E1 (BN 1mm2 1m) W1/b\n"
    )
    found = limits(View(vehicle(text)))
    by_end = {wire: limit.fuse for wire, limit in found.items()}
    assert by_end["F1.out~S1.1"] == "F1"
    assert by_end["F2.out~S1.2"] == "F2"
    assert by_end["S1.3~E1.1"] == "F2"
    assert "E1.2~W1/b" not in by_end


def test_what_is_set_to_switch_a_load_on() -> None:
    assert way(CLEAN, "E1") == ["S1=on"]
    assert way(CLEAN, "B1") == ["S2=push"]
    assert way(CLEAN, "R1") == ["S1=on"], "the relay's coil hangs on the module, whose input hangs on the switch"


def test_a_steady_load_above_the_share_of_its_fuse_counts_and_a_held_one_does_not() -> None:
    """Two lamps of 21 W take about 3.5 A: 88 % of 4 A. The horn's 5 A through the same fuse last a moment."""
    found = one(planted(("fuse F2 10A", "fuse F2 4A"), ("horn B1 12V 5A", "horn B1 12V 1A")), "fuse-load")
    assert found.fact("loads") == "E1, E2"
    assert 3.3 < float(found.fact("current").removesuffix(" A")) < 3.7
    assert found.fact("source") == "common practice"
    assert "fuse-load" not in codes(planted(("horn B1 12V 5A", "horn B1 12V 9A")))


def test_an_overload_is_said_as_one() -> None:
    found = planted(("heater R1 12V 60W", "heater R1 12V 400W"), ("(BU/WH 1.5mm2 2m)", "(BU/WH 6mm2 2m)"))
    assert "fuse-opens" in codes(found)
    assert "fuse-load" not in codes(found)


def test_a_drop_is_the_arithmetic_of_the_tables() -> None:
    """A heater of 2.4 ohm (12 V, 60 W) at 10 m of 0.75 mm2: 24.7 mohm/m (ISO 6722-1, from memory) make 0.247 ohm.

    The lead alone loses 0.247 / (2.4 + 0.247 + joints) of the supply; joints and other leads are below 0.12 ohm.
    """
    text = HEAD + "fuse F1 10A\nheater R1 12V 60W\nG1.+ (RD 10mm2 0.2m) F1 (RD 0.75mm2 10m) R1 (BN 2.5mm2 0.5m) W1/b\n"
    found = [item for item in loaded(View(vehicle(text))) if item.code == "drop-high"]
    assert len(found) == 1
    lead_v, supply_v = (float(found[0].fact(name).split()[0]) for name in ("wire_drop", "supply"))
    assert 0.247 / (2.4 + 0.247 + 0.12) < lead_v / supply_v < 0.247 / (2.4 + 0.247)
    assert found[0].level is Level.WARNING
    assert found[0].fact("limit") == "10 %"
    assert "from memory" in found[0].fact("source")


def test_a_whole_vehicle_settles_no_more_than_its_states(monkeypatch: pytest.MonkeyPatch) -> None:
    from loombench.check import loaded as module  # noqa: PLC0415

    settled: list[Condition] = []
    real = module._settled

    def counted(ready: Ready, condition: Condition, rest: Settled) -> Settled:
        settled.append(condition)
        return real(ready, condition, rest)

    monkeypatch.setattr(module, "_settled", counted)
    view = View(load_text(harness(500)).value)
    found = list(module.loaded(view))
    assert len(settled) == MOST_STATES
    assert {item.code for item in found} == {"load-unknown"}
