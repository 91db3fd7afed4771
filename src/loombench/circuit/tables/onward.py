"""A meter put on rows that it sets something going in, or that went a way of their own: each settles on from where it
stands, in a network of its own.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from loombench.circuit.operate import Situation
from loombench.circuit.probe import Probe
from loombench.circuit.ready import Ready
from loombench.circuit.tables.alone import Networks
from loombench.circuit.tables.asking import holding
from loombench.circuit.tables.change import Change


@dataclass(frozen=True, eq=False)
class Stand:
    """Where a row stands in a condition, and what it changes. Of the situation only what is set, where variables are,
    clocks and whether it has a rhythm are the row's; volts and currents need not be."""

    situation: Situation
    change: Change


def metered_onward(
    sound: Ready, networks: Networks, stand: Stand, probe: Probe, law: Callable[[float], float]
) -> float:  # fmt: skip
    """What a meter shows that is a resistance with a source, by the `law` of the ampere into its red lead, the mean
    over a rhythm; nan where it may come out in two ways."""
    there = holding(replace(sound, p=networks.of(stand.change.elements)), stand.change)
    settled = replace(stand.situation, ready=there).measured(probe)
    if settled.alternatives:
        return np.nan
    return sum(phase.share * law(phase.point.probe_a) for phase in settled.all_phases)
