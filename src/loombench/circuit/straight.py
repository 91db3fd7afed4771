"""Newton's plain steps by compiled loops."""

import numpy as np

from loombench.circuit.devices import start
from loombench.circuit.elimination import IntArray
from loombench.circuit.loops import FloatArray, OneByOne
from loombench.circuit.network import BoolArray, Draw, Prepared
from loombench.circuit.ports import Ports


def plain_steps(
    loops: OneByOne,
    p: Prepared,
    closed: BoolArray,
    island: IntArray,
    guess: FloatArray | None,
    ports: Ports,
    leak_s: float,
    near_v: float,
    steps: int,
) -> tuple[FloatArray, FloatArray, FloatArray, int] | Draw | None:
    """[nodes] volts against what holds the `island` of each, [elements] volts and currents, and the steps it took; the
    input that collapses; None where plain steps do not get there, or what is a port follows a law that loops do not
    have. The ports are told their currents."""
    d, probe = p.devices, ports.probe
    if probe is not None and probe.lamp is not None:
        return None
    x = start(d, np.zeros(len(d.index)) if guess is None else guess[d.index])
    ends = np.array(ports.ends, dtype=np.intp).reshape(-1, 2)
    feeds = np.array([next(iter(draw.feeds), -1) for draw in ports.draws], dtype=np.intp)
    draws = np.array([(draw.efficiency, draw.from_v) for draw in ports.draws]).reshape(-1, 2)
    meter = np.array([] if probe is None else [probe.ohm, probe.emf_v, probe.threshold_v])
    count = len(p.a)
    device, port_a = np.empty((3, len(x))), np.empty(len(ends))
    inner, across, current = np.empty(p.netlist.nodes), np.empty(count), np.empty(count)
    taken = loops.newton_loop(
        p.plan.bare, p.core.bare, p.core.plan.bare, d.bare, d.index, closed, p.a, p.b, p.slope_s, p.source_a, island,
        p.netlist.reference, ends, feeds, draws, meter, leak_s, near_v, steps, x, device, inner, across, current,
        port_a,
    )  # fmt: skip
    if taken < 0:
        return ports.draws[-1 - taken]
    if not taken:
        return None
    ports.current_a = port_a
    current[[draw.place for draw in ports.draws]] = port_a[: len(ports.draws)]
    return inner, across, current, taken
