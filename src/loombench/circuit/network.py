"""A netlist made ready to be solved many times: arrays, the elimination plan, gates as a table."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from loombench.circuit.core import Core, core_of
from loombench.circuit.devices import Devices, devices
from loombench.circuit.elimination import IntArray, Plan, fitted, plan
from loombench.circuit.grown import grown
from loombench.circuit.kernel import islands
from loombench.circuit.loops import FloatArray
from loombench.circuit.netlist import Battery, Conductor, Element, Netlist, PowerDraw, Regulated

BoolArray = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Draw:
    """A PowerDraw by places: its own, its nodes, and the places of the supplies it feeds along `Devices.index`."""

    place: int
    a: int
    b: int
    feeds: tuple[int, ...]
    efficiency: float
    from_v: float


@dataclass(frozen=True, eq=False)
class Prepared:
    """A netlist with all that does not depend on its state. Nothing in it changes.

    Linear elements follow i = slope_s v + source_a; other elements have 0 in both.
    """

    netlist: Netlist
    plan: Plan
    core: Core
    """Of the plan, for the devices."""
    a: IntArray
    b: IntArray
    slope_s: FloatArray
    source_a: FloatArray
    devices: Devices
    draws: tuple[Draw, ...]
    index: Mapping[str, int]
    """Place of each element by id."""
    variable: Mapping[str, int]
    """Place of each variable by name."""
    states: tuple[Mapping[str, int], ...]
    """Number of each state, by variable."""
    rest: IntArray
    """[variables] number of the rest state."""
    gate_element: IntArray
    gate_variable: IntArray
    gate_closed: BoolArray
    """[gates, most states] whether the gate conducts in that state of its variable."""
    ties: BoolArray
    """[elements] whether the element holds its ends together: all but PowerDraw, which only takes."""

    @cached_property
    def device_of(self) -> IntArray:
        """[elements] the place of each along `Devices.index`, -1 of one that is none of these."""
        found = np.full(len(self.a), -1, dtype=np.intp)
        found[self.devices.index] = np.arange(len(self.devices.index))
        return found

    @cached_property
    def ends(self) -> IntArray:
        """[elements, 2] the nodes of each."""
        return np.stack((self.a, self.b), axis=1)

    def closed(self, values: IntArray) -> BoolArray:
        """[elements] which conduct, all their gates being closed, in the state `values` [variables]."""
        shut = np.ones(len(self.a), dtype=np.bool_)
        if len(self.gate_element):
            off = ~self.gate_closed[np.arange(len(self.gate_element)), values[self.gate_variable]]
            shut[self.gate_element[off]] = False
        return shut

    def islands(self, closed: BoolArray) -> IntArray:
        """[nodes] smallest node of each node's island."""
        return islands(self.netlist.nodes, self.ends, closed & self.ties)

    def value(self, name: str, state: str) -> int:
        """The number of a variable's state.

        Raises:
            KeyError: no such variable or state; names are looked up before they get here.
        """
        return self.states[self.variable[name]][state]


def prepare(netlist: Netlist, like: Prepared | None = None) -> Prepared:
    """Make a netlist ready. For a vehicle of 4,500 nodes most of the time goes into the elimination plan.

    The plan of `like` is used again where it holds: same nodes, and no two of them joined that its elimination keeps
    apart. A netlist with a fault in it mostly fits the sound one's, and only what differs from it is read.
    """
    if like is not None and _same_states(netlist, like.netlist):
        numbers = [of[item.rest] for of, item in zip(like.states, netlist.variables, strict=True)]
        same = replace(like, netlist=netlist, rest=np.array(numbers, dtype=np.intp))
        if netlist.elements is like.netlist.elements:
            return same
        if len(netlist.elements) >= len(like.netlist.elements):
            return _altered(same, like.netlist)
    variable = {item.name: k for k, item in enumerate(netlist.variables)}
    states = tuple(MappingProxyType({s: n for n, s in enumerate(item.states)}) for item in netlist.variables)
    elements = tuple(enumerate(netlist.elements))
    a, b, slope_s, source_a, ties = _lines(elements)
    gates = _gates(elements, variable, states)
    law = devices(netlist.elements)
    elimination, core = _plan(netlist, a, b, law, like)
    return Prepared(
        netlist=netlist,
        plan=elimination,
        core=core,
        a=a,
        b=b,
        slope_s=slope_s,
        source_a=source_a,
        devices=law,
        draws=tuple(_draws(netlist.elements, law)),
        index=MappingProxyType({element.id: k for k, element in elements}),
        variable=MappingProxyType(variable),
        states=states,
        rest=np.array([known[v.rest] for known, v in zip(states, netlist.variables, strict=True)], dtype=np.intp),
        gate_element=gates[0],
        gate_variable=gates[1],
        gate_closed=gates[2],
        ties=ties,
    )


def _altered(same: Prepared, sound: Netlist) -> Prepared:
    """A network made ready but for its elements, which still are those of another: some of its own are other or new."""
    netlist, count = same.netlist, len(sound.elements)
    pairs = zip(netlist.elements, sound.elements, strict=False)
    places = [k for k, (one, other) in enumerate(pairs) if one is not other]
    there = [(k, netlist.elements[k]) for k in (*places, *range(count, len(netlist.elements)))]
    met = [element for _, element in there] + [sound.elements[k] for k in places]
    lines = tuple(
        np.concatenate((np.delete(one, places), new))[np.argsort(_order(count, places, there), kind="stable")]
        for one, new in zip((same.a, same.b, same.slope_s, same.source_a, same.ties), _lines(there), strict=True)
    )
    a, b, slope_s, source_a, ties = lines
    kept = ~np.isin(same.gate_element, places)
    gates = _gates(there, same.variable, same.states)
    gate_element = np.concatenate((same.gate_element[kept], gates[0]))
    order = np.argsort(gate_element, kind="stable")
    law = same.devices if all(isinstance(one, Conductor | Battery) for one in met) else devices(netlist.elements)
    elimination, core = _plan(netlist, a, b, law, same)
    known = len(netlist.elements) == count and all(sound.elements[k].id == one.id for k, one in there)
    return replace(
        same,
        plan=elimination,
        core=core,
        a=a,
        b=b,
        slope_s=slope_s,
        source_a=source_a,
        devices=law,
        draws=same.draws if law is same.devices else tuple(_draws(netlist.elements, law)),
        index=same.index if known else MappingProxyType({element.id: k for k, element in enumerate(netlist.elements)}),
        gate_element=gate_element[order],
        gate_variable=np.concatenate((same.gate_variable[kept], gates[1]))[order],
        gate_closed=np.concatenate((same.gate_closed[kept], gates[2]))[order],
        ties=ties,
    )


def _order(count: int, places: Sequence[int], there: Sequence[tuple[int, Element]]) -> IntArray:
    """The places of what stays, then of what is put there."""
    return np.concatenate((np.delete(np.arange(count), places), np.array([k for k, _ in there], dtype=np.intp)))


def _lines(elements: Sequence[tuple[int, Element]]) -> tuple[IntArray, IntArray, FloatArray, FloatArray, BoolArray]:
    """Of some elements the ends, what stands for a linear one, and whether it ties its ends."""
    ends = np.array([(element.a, element.b) for _, element in elements], dtype=np.intp).reshape(-1, 2)
    slope_s, source_a = np.zeros(len(elements)), np.zeros(len(elements))
    for row, (_, element) in enumerate(elements):
        if isinstance(element, Conductor | Battery):
            slope_s[row] = 1.0 / element.resistance_ohm
        if isinstance(element, Battery):
            source_a[row] = -element.emf_v / element.resistance_ohm
    ties = np.array([not isinstance(element, PowerDraw) for _, element in elements], dtype=np.bool_)
    return ends[:, 0].copy(), ends[:, 1].copy(), slope_s, source_a, ties


def _gates(
    elements: Sequence[tuple[int, Element]], variable: Mapping[str, int], states: Sequence[Mapping[str, int]]
) -> tuple[IntArray, IntArray, BoolArray]:
    """Of the gates of some elements, in order: the element's place, the variable's, and in which states it conducts."""
    gates = [(k, gate) for k, element in elements for gate in element.gates]
    closed = np.zeros((len(gates), max((len(s) for s in states), default=1)), dtype=np.bool_)
    for row, (_, gate) in enumerate(gates):
        known = states[variable[gate.variable]]
        closed[row, [known[state] for state in gate.closed_in]] = True
    return (
        np.array([k for k, _ in gates], dtype=np.intp),
        np.array([variable[gate.variable] for _, gate in gates], dtype=np.intp),
        closed,
    )


def _plan(netlist: Netlist, a: IntArray, b: IntArray, law: Devices, like: Prepared | None) -> tuple[Plan, Core]:
    """An elimination plan and its core, those of another network where they hold."""
    edges, bent = np.stack((a, b), axis=1), np.stack((a[law.index], b[law.index]), axis=1)
    if like is not None:
        alike = netlist.nodes == like.netlist.nodes and np.array_equal(edges, like.ends)
        known = like.plan if alike else fitted(like.plan, netlist.nodes, edges)
        core = None if known is None else like.core if law is like.devices else core_of(known, bent, like.core)
        if known is not None and core is not None:
            return known, core
    inner = [*bent.ravel().tolist(), netlist.reference]
    made = None if like is None else grown(like.plan, netlist.nodes, edges, netlist.reference, inner)
    if made is None:
        pairs = [(int(one), int(other)) for one, other in edges.tolist()]
        made = plan(netlist.nodes, pairs, (netlist.reference,), inner)
    own = core_of(made, bent)
    assert own is not None, "a plan's core holds what it was made for"
    return made, own


def _same_states(one: Netlist, other: Netlist) -> bool:
    """Whether two netlists have the same variables but for where they rest."""
    return len(one.variables) == len(other.variables) and all(
        a is b or (a.name == b.name and a.states == b.states)
        for a, b in zip(one.variables, other.variables, strict=True)
    )


def _draws(elements: Sequence[Element], law: Devices) -> list[Draw]:
    along = {int(place): k for k, place in enumerate(law.index)}
    supplies = {element.id: along[k] for k, element in enumerate(elements) if isinstance(element, Regulated)}
    return [
        Draw(
            k,
            element.a,
            element.b,
            (supplies[element.feeds],) if element.feeds in supplies else (),
            element.efficiency,
            element.from_v,
        )
        for k, element in enumerate(elements)
        if isinstance(element, PowerDraw)
    ]


def with_supply(prepared: Prepared, supply_v: float | None) -> Prepared:
    """The same network whose batteries have `supply_v` volts by their share; None leaves them as they are."""
    if supply_v is None:
        return prepared
    elements = tuple(_supplied(element, supply_v) for element in prepared.netlist.elements)
    source_a = prepared.source_a.copy()
    for k, element in enumerate(elements):
        if isinstance(element, Battery):
            source_a[k] = -element.emf_v / element.resistance_ohm
    set_v = np.array([element.set_v for element in elements if isinstance(element, Regulated)])
    return replace(
        prepared,
        netlist=replace(prepared.netlist, elements=elements),
        source_a=source_a,
        devices=replace(prepared.devices, set_v=set_v),
    )


def _supplied(element: Element, supply_v: float) -> Element:
    match element:
        case Battery():
            return replace(element, emf_v=supply_v * element.share)
        case Regulated() if element.share > 0.0:
            return replace(element, set_v=supply_v * element.share)
    return element
