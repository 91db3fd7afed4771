"""The sheet itself, without a simulator: what is written, left out, tied, refused; every kind of element and agent."""

from typing import get_args

import pytest

from loombench.circuit.netlist import (
    Agent,
    Battery,
    Conductor,
    Element,
    Filament,
    Gate,
    Junction,
    Netlist,
    PowerDraw,
    Regulated,
    RelayAgent,
    Variable,
)
from loombench.circuit.spice import states_of, write_spice, write_spice_sequence
from loombench.circuit.spicing.agents import moves, pressed_fuse_s
from loombench.circuit.spicing.islands import floating, islands
from loombench.facts.filament import filament

CLOSED = (Gate("S1", ("on",)),)
SMALL = Netlist(
    nodes=5,
    names=((), (), (), (), ()),
    elements=(
        Battery("G1", 1, 0, 12.65, 0.005),
        Conductor("S1", 1, 2, 0.01, CLOSED),
        Filament("E1", 2, 0, filament(12, 21)),
        Conductor("K1", 3, 4, 0.0015, (Gate("relay:K1", ("pulled",)),)),
        Conductor("K1.coil", 2, 0, 85.0),
    ),
    variables=(
        Variable("S1", ("off", "on"), "off", True),
        Variable("relay:K1", ("released", "pulled"), "released", False),
    ),
    agents=(RelayAgent("relay:K1", 2, 0, 8.0, 1.5),),
    reference=0,
    element_of={},
    nominal_v=12.0,
)


def _elements(sheet: str) -> list[str]:
    return [line for line in sheet.splitlines() if line and line[0] not in "*."]


def test_an_open_switch_is_left_out_and_its_island_tied() -> None:
    sheet = write_spice(SMALL, {})
    assert [line.split()[0] for line in _elements(sheet)] == ["VE0", "R0", "B2", "R4", "RTIE3", "RTIE4"]
    assert "* S1: open" in sheet
    assert islands(SMALL, {"S1": "off", "relay:K1": "released"}) == ((0, 1, 2), (3,), (4,))
    assert floating(SMALL, {"S1": "off", "relay:K1": "pulled"}) == {3, 4}


def test_a_closed_switch_is_its_resistance() -> None:
    assert "R1 n1 n2 0.01" in write_spice(SMALL, {"S1": "on"}).splitlines()


def test_a_set_supply_replaces_the_volts() -> None:
    assert "VE0 m0 0 dc 11.5" in write_spice(SMALL, {"supply": "11.5"}).splitlines()
    assert "11.5" in write_spice_sequence(SMALL, [{"supply": "11.5"}])


def test_a_sequence_hands_over_no_state() -> None:
    sheet = write_spice_sequence(SMALL, [{"S1": "on"}])
    assert "ic=1" not in sheet
    assert ".nodeset" not in sheet
    assert [line for line in sheet.splitlines() if line.startswith("VE0")] == ["VE0 m0 0 PWL(0 0 0.001 12.65)"]


def test_states_are_read_back_from_volts() -> None:
    steps = [{"S1": "on"}]
    assert states_of(SMALL, steps, {"q0": 0.0, "q1": 1.0}) == {"S1": "on", "relay:K1": "pulled"}
    assert states_of(SMALL, steps, {"q0": 0.9, "q1": 0.1}) == {"S1": "on", "relay:K1": "released"}


def test_what_is_not_there_is_refused() -> None:
    with pytest.raises(KeyError):
        write_spice(SMALL, {"S9": "on"})
    with pytest.raises(ValueError, match="no state"):
        write_spice_sequence(SMALL, [{"S1": "sideways"}])
    with pytest.raises(ValueError, match="op or transient"):
        write_spice(SMALL, {}, "dc")


def test_every_kind_of_element_is_written() -> None:
    made: tuple[Element, ...] = (
        Conductor("a", 1, 0, 1.0),
        Filament("b", 1, 0, filament(12, 5)),
        Junction("c", 1, 0, 1e-9, 0.05, 0.1),
        Battery("d", 1, 0, 12.0, 0.01),
        Regulated("e", 1, 0, 14.4, 0.005, 90.0),
        PowerDraw("f", 1, 0, "e", 0.9, 10.0),
    )
    assert {type(element) for element in made} == set(get_args(Element))
    for element in made:
        elements = (element,) if element.id != "f" else (made[4], element)
        netlist = Netlist(2, ((), ()), elements, (), (), 0, {}, 12.0)
        assert any(" n1 " in line or " m" in line for line in _elements(write_spice(netlist, {}))), element


def test_every_kind_of_agent_says_what_it_moves() -> None:
    for kind in get_args(Agent):
        assert "variable" in kind.__dataclass_fields__
    assert moves(SMALL.agents[0]) == ("relay:K1",)


def test_the_worse_overload_opens_first() -> None:
    times = [pressed_fuse_s(10.0, 10.0 * multiple, "blade") for multiple in (1.35, 1.6, 2.0, 3.5, 6.0)]
    assert times == sorted(times, reverse=True)
    assert len(set(times)) == len(times)
