"""A row's network solved by itself, where tables are not sure of it: it is made of the sound one and what changes, and
a converter that cannot be given what it asks for is told as the reference tells it.
"""

from dataclasses import replace
from typing import TypeVar

import numpy as np

from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray
from loombench.circuit.netlist import Battery, Conductor, Element
from loombench.circuit.network import Prepared, prepare
from loombench.circuit.newton import NoSolution, Solution, solve_network
from loombench.circuit.tables.change import NOWHERE, Changed

K = TypeVar("K")
KEPT, PLANS_KEPT = 96, 24
"""Networks that are at hand, and those of them that have an elimination plan of their own, by what they join: of 5,000
nodes one takes 0.3 MiB, its plan 2."""


class Networks:
    """The networks of rows, made of the sound one; those that were asked for last are kept."""

    def __init__(self, sound: Prepared) -> None:
        self._sound = sound
        self._kept: dict[tuple[Changed, ...], Prepared] = {}
        self._joined: dict[tuple[tuple[int, int], ...], Prepared] = {}

    def of(self, elements: tuple[Changed, ...]) -> Prepared:
        """The sound network with some elements changed, as by `network_of`."""
        network = self._kept.pop(elements, None) or self._made(elements)
        _keep(self._kept, elements, network, KEPT)
        return network

    def _made(self, elements: tuple[Changed, ...]) -> Prepared:
        """A network with the plan of another that joins the same nodes, where there is one."""
        joins = tuple((one.a, one.b) for one in elements if one.place == NOWHERE)
        like = self._joined.pop(joins, None)
        network = network_of(self._sound, elements, like)
        if joins:
            _keep(self._joined, joins, like or network, PLANS_KEPT)
        return network

    def solve(self, elements: tuple[Changed, ...], values: IntArray, guess: FloatArray | None) -> Solution | NoSolution:
        """The solution of one of them with the variables at `values`, by the sound one's nodes and elements, from volts
        across these."""
        network, count, nodes = self.of(elements), len(self._sound.a), self._sound.netlist.nodes
        begun = None if guess is None else np.concatenate((guess, np.zeros(len(network.a) - count)))
        at = solve_network(network, network.closed(values), begun)
        if isinstance(at, NoSolution):
            return at
        return Solution(
            at.inner_v[:nodes], at.island[:nodes], at.across_v[:count], at.current_a[:count], at.probe_a, at.steps
        )

    def clear(self) -> None:
        """Let go of all of them."""
        self._kept.clear()
        self._joined.clear()


def _keep(known: dict[K, Prepared], key: K, network: Prepared, most: int) -> None:
    known[key] = network
    if len(known) > most:
        del known[next(iter(known))]


def network_of(sound: Prepared, elements: tuple[Changed, ...], like: Prepared | None = None) -> Prepared:
    """The sound network with some elements changed; its own come first, nodes and elements alike. The plan of `like` is
    taken where it has as many nodes and joins the same."""
    netlist = sound.netlist
    own: list[Element] = list(netlist.elements)
    more: list[Element] = []
    nodes = netlist.nodes
    for number, one in enumerate(elements):
        element = replace(one.element, a=one.a, b=one.b)
        if one.series_ohm > 0.0 and isinstance(element, Conductor | Battery):
            element = replace(element, resistance_ohm=element.resistance_ohm + one.series_ohm)
        elif one.series_ohm > 0.0:
            more.append(Conductor(f"in-series:{number}", one.a, nodes, one.series_ohm))
            element = replace(element, a=nodes)
            nodes += 1
        if one.place == NOWHERE:
            more.append(replace(element, id=f"{element.id}:{number}"))
        else:
            own[one.place] = element
    made = replace(netlist, elements=(*own, *more), nodes=nodes)
    return prepare(made, sound if like is None or like.netlist.nodes != nodes else like)
