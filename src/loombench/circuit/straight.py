"""Newton's plain steps by compiled loops."""

import numpy as np

from loombench.circuit.devices import start
from loombench.circuit.loops import FloatArray, OneByOne
from loombench.circuit.network import BoolArray, Draw, Prepared
from loombench.circuit.ports import Ports


def plain_steps(
    loops: OneByOne,
    p: Prepared,
    closed: BoolArray,
    held: FloatArray,
    guess: FloatArray | None,
    ports: Ports,
    near_v: float,
    steps: int,
) -> tuple[FloatArray, FloatArray, FloatArray, int] | Draw | None:
    """[nodes] volts, [elements] volts and currents, and the steps it took; the input that collapses; None where plain
    steps do not get there, or what is a port follows a law that loops do not have. The ports are told their currents.
    """
    d, probe = p.devices, ports.probe
    if probe is not None and probe.lamp is not None:
        return None
    on, slope, source = closed[d.index], np.where(closed, p.slope_s, 0.0), np.where(closed, p.source_a, 0.0)
    x = start(d, np.zeros(len(d.index)) if guess is None else guess[d.index])
    ends = np.array(ports.ends, dtype=np.intp).reshape(-1, 2)
    feeds = np.array([next(iter(draw.feeds), -1) for draw in ports.draws], dtype=np.intp)
    draws = np.array([(draw.efficiency, draw.from_v) for draw in ports.draws]).reshape(-1, 2)
    meter = np.array([] if probe is None else [probe.ohm, probe.emf_v, probe.threshold_v])
    device, volts, port_a = np.empty((3, len(x))), np.empty(p.netlist.nodes), np.empty(len(ends))
    taken = loops.newton_loop(
        p.plan.bare, p.core.bare, p.core.plan.bare, d.bare, d.index, on, p.a, p.b, slope, source, held, ends, feeds,
        draws, meter, near_v, steps, x, device, volts, port_a,
    )  # fmt: skip
    if taken < 0:
        return ports.draws[-1 - taken]
    if not taken:
        return None
    ports.current_a = port_a
    across = volts[p.a] - volts[p.b]
    slope[d.index], source[d.index] = np.where(on, device[1], 0.0), np.where(on, device[2], 0.0)
    current = slope * across + source
    current[[draw.place for draw in ports.draws]] = port_a[: len(ports.draws)]
    return volts, across, current, taken
