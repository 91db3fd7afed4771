"""Predictions, sights and readings, with a lowering by hand in place of the real one."""

import math
from dataclasses import replace
from types import MappingProxyType

import numpy as np
import pytest

from loombench.base.band import between, exactly
from loombench.base.outcome import Outcome
from loombench.base.problems import error
from loombench.base.wording import catalogue
from loombench.circuit.bands import reading_bands
from loombench.circuit.explain import CODES, explain
from loombench.circuit.fault import Fault
from loombench.circuit.finding import (
    Chatter,
    FuseMayHold,
    FuseOpens,
    OutputLimits,
    Race,
    SupplyCollapses,
    TooManyRhythms,
    Unsolved,
)
from loombench.circuit.meter import read
from loombench.circuit.netlist import Conductor, FuseAgent, Netlist
from loombench.circuit.network import prepare
from loombench.circuit.observe import observe
from loombench.circuit.operate import operate
from loombench.circuit.predict import predict
from loombench.circuit.readings import by_part, power_w, readings
from loombench.circuit.ready import ready_for
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.model import Colour, Inner, Part, Vehicle, Wire
from loombench.vehicle.points import PIN, Point
from tests.circuit.hand import Hand

ON = Condition((Operation("set", "S", "on"),))
LAMP, HORN = Point("E7", "1"), Point("P3", "1")


def vehicle() -> Vehicle:
    def part(name: str, kind: str, **numbers: float) -> Part:
        params = MappingProxyType({key: exactly(value) for key, value in numbers.items()})
        return Part(name, kind, ("1", "2"), (Inner(kind, "", ("1", "2"), params),))

    wire = Wire("S.2~E7.1", Point("S", "2"), LAMP, Colour(), exactly(1.0), between(0.5, 3.0, 1.0))
    parts = {"E7": part("E7", "lamp", rated_v=12.0, rated_w=55.0), "P3": part("P3", "horn", rated_v=12.0, rated_a=4.0)}
    return Vehicle("small", 12.0, "IEC", MappingProxyType(parts), (wire,), MappingProxyType({}))


def lowering(of: Vehicle, faults: tuple[Fault, ...]) -> Outcome[Netlist]:
    """A lamp and a horn behind a fuse and a switch; a metre of wire has 0.0175 ohm."""
    hand = Hand()
    hand.battery("G", "plus", 12.6)
    hand.memory("fuse:F", "whole", "blown")
    hand.ohm("F", "plus", "fused", 0.005, fuse__F="whole")
    hand.agents.append(FuseAgent("fuse:F", "F", 15.0))
    hand.control("S", "off", "on")
    hand.ohm("S", "fused", "s2", 0.005, S="on")
    hand.ohm("S.2~E7.1", "s2", "e1", 0.0175 * of.wires[0].length_m.nominal)
    hand.ohm("contact E7.1", "e1", "e1 pin", 0.003)
    hand.lamp("E7", "e1 pin", "ground", 12.0, 55.0)
    hand.ohm("P3", "s2", "ground", 3.0)
    known = {"S.2~E7.1", "E7", "P3", "F"}
    for fault in faults:
        if fault.target not in known:
            return Outcome(hand.netlist(), (error("fault-unknown", name=fault.target),))
        if fault.mode == "open":
            hand.elements = [element for element in hand.elements if element.id != fault.target]
        if fault.mode == "resistance":
            hand.elements = [
                replace(e, resistance_ohm=e.resistance_ohm + fault.ohm)
                if isinstance(e, Conductor) and e.id == fault.target
                else e
                for e in hand.elements
            ]
        if fault.mode == "short":
            hand.ohm("short", "s2", "ground", 0.02)
    netlist = hand.netlist()
    names = {"e1": (LAMP,), "e1 pin": (LAMP.at(PIN),), "s2": (HORN, Point("S", "2")), "ground": (Point("E7", "2"),)}
    return Outcome(replace(netlist, names=tuple(names.get(name, (Point(name),)) for name in hand.nodes)))


SETUPS = (
    Setup(ON, LAMP, None),
    Setup(Condition(), LAMP, None),
    Setup(ON, LAMP, Point("E7", "2"), "ohmmeter"),
    Setup(Condition(), LAMP, Point("E7", "2"), "ohmmeter"),
    Setup(ON, Point("S", "2"), None, "clamp"),
    Setup(ON, Point("nowhere"), None),
)
FAULTS = (
    (),
    (Fault("open", "S.2~E7.1"),),
    (Fault("resistance", "S.2~E7.1", "", 1.0),),
    (Fault("short", "P3", "ground"),),
    (Fault("open", "E7"), Fault("open", "P3")),
    (Fault("open", "Z9"),),
)


def test_a_prediction_is_what_each_meter_reads() -> None:
    found = predict(vehicle(), SETUPS, FAULTS, lowering)
    assert found.values.shape == (6, 6)
    for row, faults in enumerate(FAULTS[:-1]):
        netlist = lowering(vehicle(), faults).value
        for place, setup in enumerate(SETUPS[:-1]):
            alone = read(netlist, setup)
            assert found.values[row, place] == pytest.approx(alone.value, abs=1e-9)
            assert found.flags[row][place] == alone.flags
    sound, broken, bad, shorted, both = found.values[:5]
    assert sound[0] == pytest.approx(12.6, abs=0.3)
    assert broken[0] == pytest.approx(0.0, abs=1e-9)
    assert 7.0 < bad[0] < 10.0
    assert shorted[0] == pytest.approx(0.0, abs=1e-9)
    assert "fuseopens" in found.flags[3][0]
    assert (sound[3], both[3]) == (pytest.approx(0.2, abs=0.1), math.inf)
    assert np.isnan(found.values[:, 5]).all()
    assert found.flags[0][5] == ("no-such-point",)
    assert np.isnan(found.values[5]).all()
    assert found.flags[5] == (("no-such-fault",),) * 6


def test_a_prediction_can_be_stopped() -> None:
    told: list[tuple[int, int]] = []

    def proceed(done: int, of: int) -> bool:
        told.append((done, of))
        return done < 2

    found = predict(vehicle(), SETUPS[:1], FAULTS, lowering, proceed)
    assert np.isfinite(found.values[:2]).all()
    assert np.isnan(found.values[2:]).all()
    assert found.flags[3] == (("stopped",),)
    assert told == [(0, 6), (1, 6), (2, 6)]


def test_a_plan_used_again_gives_the_same() -> None:
    sound = ready_for(lowering(vehicle(), ()).value)
    for faults in FAULTS[:-1]:
        netlist = lowering(vehicle(), faults).value
        one, two = (operate(ready_for(netlist, like), ON).settled.point for like in (None, sound))
        assert two.inner_v == pytest.approx(one.inner_v, abs=1e-9)
    broken = lowering(vehicle(), FAULTS[1]).value
    assert prepare(broken, sound.p).plan.order is sound.p.plan.order
    hand = Hand()
    hand.ohm("R", "a", "ground", 1.0)
    assert prepare(hand.netlist(), sound.p).plan.nodes == 2


def test_what_one_sees() -> None:
    rows = observe(vehicle(), ON, FAULTS, lowering)
    light = [[load.light for load in row.loads] for row in rows]
    assert light == [["full", "full"], ["dead", "full"], ["dim", "full"], ["dead", "dead"], ["dead", "dead"], []]
    assert [row.blown for row in rows[:4]] == [(), (), (), ("F",)]
    assert [row.known for row in rows] == [True] * 5 + [False]
    (lamp, horn) = rows[0].loads
    assert (lamp.id, lamp.kind, lamp.pulsing) == ("E7", "lamp", False)
    assert lamp.share == pytest.approx(1.03, abs=0.03)
    assert horn.current_a == pytest.approx(4.17, abs=0.05)


def test_readings_have_every_point() -> None:
    netlist = lowering(vehicle(), ()).value
    settled = operate(netlist, ON).settled
    every = readings(netlist, settled)
    assert {reading.point for reading in every} == set(netlist.node_of)
    pins = by_part(every)["E7"]
    assert pins["1"].point == LAMP
    assert pins["1"].volts == pytest.approx(settled.point.node_v(netlist.node_of[LAMP]))
    assert pins["1"].into_a == pytest.approx(settled.point.current_a("E7"))
    assert sum(power_w(netlist, settled.point).values()) == pytest.approx(0.0, abs=1e-9)
    off = operate(lowering(vehicle(), (Fault("open", "P3"), Fault("open", "E7"))).value, Condition()).settled
    floating = readings(lowering(vehicle(), (Fault("open", "P3"), Fault("open", "E7"))).value, off)
    assert {str(r.point) for r in floating if r.volts is None} == {"E7.1", "E7.1:pin", "P3.1", "S.2"}


def test_an_unknown_length_makes_the_reading_a_band() -> None:
    found = reading_bands(vehicle(), SETUPS[:2], lowering)
    assert found.low[0] < found.nominal[0] < found.high[0]
    ends = [
        predict(
            replace(vehicle(), wires=(replace(vehicle().wires[0], length_m=exactly(m)),)), SETUPS[:1], ((),), lowering
        )
        for m in (0.5, 3.0)
    ]
    assert (found.high[0], found.low[0]) == pytest.approx(tuple(end.values[0, 0] for end in ends), abs=1e-9)
    assert [len(names) for names in found.depends] == [1, 0]


def test_findings_are_said_in_the_names_of_parts_and_pins() -> None:
    netlist = lowering(vehicle(), ()).value
    node = netlist.node_of[LAMP]
    findings = (
        FuseOpens("fuse:F12", 30.0, 15.0, 0.15, 5.0),
        FuseMayHold("fuse:F12", 18.0, 15.0, 1000.0),
        Chatter(("relay:K1", "module:A2")),
        Race(("relay:K1", "relay:K2")),
        SupplyCollapses("U1.in", (node, 0)),
        OutputLimits("output:A2.X1/14", 30.0, 20.0, True),
        TooManyRhythms(tuple(f"flasher:K{k}" for k in range(9))),
        Unsolved("not-settled", (node,)),
    )
    problems = [explain(netlist, finding) for finding in findings]
    assert tuple(item.code for item in problems) == CODES
    facts = [dict(item.facts) for item in problems]
    assert facts[0] == {"fuse": "F12", "current": "30.0 A", "rating": "15 A", "soonest": "0.15 s", "latest": "5 s"}
    assert facts[1]["soonest"] == "17 min"
    assert facts[2] == {"things": "K1, A2"}
    assert facts[4] == {"converter": "U1", "plus": "E7.1", "minus": "E7.2"}
    assert facts[5]["output"] == "A2.X1/14"
    assert catalogue().text(facts[6]["things"]) == "K0, K1, K2, K3, K4, K5 and 3 more"
    assert facts[7] == {"where": "E7.1"}
