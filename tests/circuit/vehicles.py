"""Vehicles for the tests of lowering: small texts of the notation, the examples, and what must hold of any netlist."""

from pathlib import Path

from hypothesis import strategies as st

from loombench.circuit.fault import read_fault
from loombench.circuit.inject import inject
from loombench.circuit.lower import lower
from loombench.circuit.netlist import (
    BreakerAgent,
    CamAgent,
    Element,
    FlasherAgent,
    FuseAgent,
    ModuleAgent,
    Netlist,
    PowerDraw,
    RelayAgent,
)
from loombench.circuit.operate import run
from loombench.circuit.point import Settled
from loombench.text.load import load_file, load_text
from loombench.text.names import read_condition
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point, read_point

EXAMPLES = Path(__file__).parents[2] / "examples"
FILES = (
    "telehandler-roof/vehicle.circuit",
    "tipper-tarpaulin/vehicle.circuit",
    "flatbed-indicators/vehicle.circuit",
    "cases/0-supply.circuit",
    "cases/1-blower.circuit",
    "cases/2-wiper.circuit",
    "cases/3-indicators.circuit",
    "cases/4-body-controller.circuit",
    "cases/5-tarpaulin.circuit",
)


def example(name: str) -> Vehicle:
    """An example that loads without problems."""
    loaded = load_file(EXAMPLES / name)
    assert loaded.usable, loaded.problems
    return loaded.value


def vehicle(text: str, volts: int = 12) -> Vehicle:
    """A vehicle from lines after the head."""
    loaded = load_text(f'loombench 1\nvehicle "Test" {volts}V\ncolours IEC\n{text}', "test.circuit")
    assert loaded.usable, loaded.problems
    return loaded.value


def bench(part: str, plus: str = "1", minus: str = "2", volts: int = 12) -> Vehicle:
    """One part with the id X1 between the posts of a battery, its wires so short and thick that they do not count."""
    wires = f"G1.+ (RD 10mm2 0.001m) X1.{plus}\nX1.{minus} (BK 10mm2 0.001m) G1.-\n"
    return vehicle(f"battery G1 {volts}V 95Ah\n{part}\n{wires}", volts)


def netlist(of: Vehicle, *faults: str) -> Netlist:
    """The netlist with faults in it, all of which have a target."""
    read = tuple(read_fault(text) for text in faults)
    assert None not in read, faults
    lowered = lower(of, tuple(fault for fault in read if fault))
    assert lowered.problems == ()
    return lowered.value


def problems(of: Vehicle, *faults: str) -> list[str]:
    """The codes of the problems that faults give."""
    read = tuple(read_fault(text) for text in faults)
    return [problem.code for problem in inject(lower(of).value, [fault for fault in read if fault]).problems]


def settled(of: Vehicle, condition: str = "", *faults: str) -> tuple[Netlist, Settled]:
    """Where a condition settles with faults."""
    read = read_condition(of, condition)
    assert read.problems == ()
    lowered = netlist(of, *faults)
    return lowered, run(lowered, read.value)


def point(text: str) -> Point:
    """The point of a text."""
    found = read_point(text)
    assert found is not None, text
    return found


def volts(of: Vehicle, at: str, condition: str = "", *faults: str) -> float:
    """Volts of a point against battery minus; nan where it floats."""
    lowered, where = settled(of, condition, *faults)
    return float(where.point.volts[lowered.node_of[point(at)]])


def one(lowered: Netlist, model_id: str) -> Element:
    """The single element of a model id."""
    (name,) = lowered.element_of[model_id]
    return lowered.element_by_id[name]


def flaws(lowered: Netlist) -> list[str]:
    """What is inconsistent in a netlist: nodes, gates, owners, agents and held states that refer to nothing."""
    found: list[str] = []
    ids = [element.id for element in lowered.elements]
    found += [f"twice: {name}" for name in ids if ids.count(name) > 1] if len(set(ids)) < len(ids) else []
    for element in lowered.elements:
        if not (0 <= element.a < lowered.nodes and 0 <= element.b < lowered.nodes):
            found.append(f"node of {element.id}")
        for gate in element.gates:
            variable = lowered.variable_by_name.get(gate.variable)
            if variable is None or not set(gate.closed_in) <= set(variable.states):
                found.append(f"gate {gate} of {element.id}")
        if isinstance(element, PowerDraw) and element.feeds not in lowered.element_by_id:
            found.append(f"{element.id} feeds nothing")
        if not 1e-8 < getattr(element, "resistance_ohm", 1.0) < 1e13:
            found.append(f"ohms of {element.id}")
    found += [f"rest of {item.name}" for item in lowered.variables if item.rest not in item.states]
    for owner, owned in lowered.element_of.items():
        found += [f"{owner} owns {name}" for name in owned if name not in lowered.element_by_id]
    for agent in lowered.agents:
        needed: tuple[str, ...] = ()
        if isinstance(agent, FuseAgent | BreakerAgent | FlasherAgent):
            needed = (agent.element,)
        elif isinstance(agent, CamAgent):
            needed = agent.motors
        elif isinstance(agent, RelayAgent):
            needed = (agent.coil,)
        elif isinstance(agent, ModuleAgent):
            needed = tuple(output.element for output in agent.outputs)
            driven = [output.variable for output in agent.outputs]
            driven += [variable for rule in agent.rules for variable in rule.variables]
            driven += [f"input:{agent.part}.{reading.name}" for reading in agent.inputs]
            found += [f"{agent.part} drives {name}" for name in driven if name not in lowered.variable_by_name]
        found += [f"{agent.variable} looks at {name}" for name in needed if name not in lowered.element_by_id]
        if agent.variable not in lowered.variable_by_name:
            found.append(f"no variable {agent.variable}")
    for name, state in lowered.frozen.items():
        if state not in lowered.variable_by_name[name].states or lowered.variable_by_name[name].rest != state:
            found.append(f"{name} held at {state}")
    if len(lowered.names) != lowered.nodes or not 0 <= lowered.reference < lowered.nodes:
        found.append("nodes")
    return found


files = st.sampled_from(FILES)
