"""Branches without current that something still looks at: opened, they change what a flasher or a timer sees.

A flasher's or timer's own supply and ground draw nothing in the model, so no current says that it hangs on them.
"""

import numpy as np
import numpy.typing as npt

from loombench.circuit.netlist import FlasherAgent, TimerAgent
from loombench.circuit.network import Prepared
from loombench.circuit.point import OperatingPoint
from loombench.circuit.tables.signature import questions
from loombench.diagnose.untouched import NO_CURRENT_A

POWERED_V = 0.1
"""Below this an agent is without power whatever is opened."""


def watched(p: Prepared, point: OperatingPoint) -> npt.NDArray[np.bool_]:
    """[elements]: those without current through which a powered flasher or timer gets its supply, ground or command."""
    netlist = p.netlist
    nodes: list[int] = []
    for agent in netlist.agents:
        if isinstance(agent, FlasherAgent | TimerAgent):
            across = point.volts[agent.supply] - point.volts[agent.ground] if agent.ground >= 0 else np.nan
            if abs(across) > POWERED_V:
                nodes += [agent.supply, agent.ground]
                nodes += [agent.control] if isinstance(agent, TimerAgent) else []
    if not nodes:
        return np.zeros(len(p.a), dtype=bool)
    values = np.array([p.value(one.name, point.state[one.name]) for one in netlist.variables], dtype=np.intp)
    kept = p.closed(values) & (np.abs(point.currents_a) < NO_CURRENT_A)
    piece = p.islands(kept)
    found: npt.NDArray[np.bool_] = kept & np.isin(piece[p.a], piece[np.array(nodes)])
    return found


def felt(p: Prepared) -> npt.NDArray[np.intp]:
    """[n, 2] pairs of nodes between which something looks at the volts, or draws, without tying them."""
    asked = questions(p)
    if asked is None:
        # What is not known may look at anything.
        return np.stack((np.arange(p.netlist.nodes), np.full(p.netlist.nodes, p.netlist.reference)), axis=1)
    draws = np.array([(one.a, one.b) for one in p.draws], dtype=np.intp).reshape(-1, 2)
    return np.concatenate((np.stack((asked.a, asked.b), axis=1), draws))
