"""Random networks with switches, relays and fuses: where they settle, nothing wants to move, and the laws hold."""

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loombench.circuit.finding import Chatter, FuseOpens, Race
from loombench.circuit.laws import law_errors
from loombench.circuit.netlist import FuseAgent, Netlist, RelayAgent
from loombench.circuit.point import Settled
from loombench.circuit.settle import settle
from loombench.facts.fuse import HOLDS_TO, OPENS_FROM
from tests.circuit.hand import Hand


def switched(seed: int) -> Netlist:
    """A battery, up to 6 relays and 5 fuses between few nodes, contacts gated at random by relays and switches."""
    draw = random.Random(seed)
    hand = Hand()
    hand.battery("G", "plus", 12.6, 0.01)
    nodes = ["ground", "plus", *(f"n{k}" for k in range(draw.randint(3, 8)))]
    names = [f"K{k}" for k in range(draw.randint(1, 6))]
    for name in names:
        hand.memory(f"relay:{name}", "released", "pulled")
    for name in ("S1", "S2", "S3"):
        hand.control(name, "off", "on")
    for name in names:
        a, b = draw.sample(nodes, 2)
        hand.ohm(f"{name}.coil", a, b, 85.0)
        hand.agents.append(RelayAgent(f"relay:{name}", hand.node(a), hand.node(b), 8.0, 1.5, f"{name}.coil", 85.0))
    for k in range(draw.randint(0, 5)):
        a, b = draw.sample(nodes, 2)
        hand.memory(f"fuse:F{k}", "whole", "blown")
        hand.ohm(f"F{k}", a, b, 0.005, **{f"fuse__F{k}": "whole"})
        hand.agents.append(FuseAgent(f"fuse:F{k}", f"F{k}", draw.choice((5.0, 10.0, 30.0))))
    for k in range(draw.randint(4, 16)):
        a, b = draw.sample(nodes, 2)
        gate = draw.choice((
            {}, {draw.choice(("S1", "S2", "S3")): draw.choice(("off", "on"))},
            {f"relay__{draw.choice(names)}": draw.choice(("released", "pulled"))},
        ))  # fmt: skip
        if draw.random() < 0.3:
            hand.lamp(f"E{k}", a, b, 12.0, draw.choice((2.0, 21.0, 55.0)))
        else:
            hand.ohm(f"R{k}", a, b, 10.0 ** draw.uniform(-2.0, 2.0), **gate)
    return hand.netlist()


def wishes(netlist: Netlist, settled: Settled) -> list[str]:
    """Who would move, worked out from the point alone, one by one."""
    point = settled.point
    found = []
    for agent in netlist.agents:
        if isinstance(agent, RelayAgent):
            volts = abs(point.across_v(agent.a, agent.b) or 0.0)
            limit = agent.pick_up_v if point.state[agent.variable] == "released" else agent.drop_out_v
            moves = volts >= limit if point.state[agent.variable] == "released" else volts < limit
            found += [agent.variable] if moves else []
        if isinstance(agent, FuseAgent):
            over = abs(point.current_a(agent.element)) >= OPENS_FROM * agent.rated_a
            found += [agent.variable] if over and point.state[agent.variable] == "whole" else []
    return found


@settings(max_examples=250)
@given(st.integers(0, 10**6), st.lists(st.tuples(st.sampled_from(("S1", "S2", "S3")), st.booleans()), max_size=4))
def test_where_it_settles_nothing_wants_to_move(seed: int, operations: list[tuple[str, bool]]) -> None:
    netlist = switched(seed)
    inputs: dict[str, str] = {}
    settled = settle(netlist, inputs, {})
    for name, on in [*operations, ("S1", True)]:
        before = settled.memory
        inputs[name] = "on" if on else "off"
        settled = settle(netlist, inputs, before)
        assert law_errors(netlist, settled.point) == ()
        if any(isinstance(found, Chatter) for found in settled.findings):
            continue
        assert wishes(netlist, settled) == []
        opened = {found.variable for found in settled.findings if isinstance(found, FuseOpens)}
        for agent in netlist.agents:
            if isinstance(agent, FuseAgent):
                # Once blown it stays so, and none blows unsaid.
                blown = settled.memory[agent.variable] == "blown"
                assert blown == (before[agent.variable] == "blown" or agent.variable in opened)
        for other in settled.alternatives:
            assert law_errors(netlist, other.point) == ()


@settings(max_examples=60)
@given(st.integers(0, 10**6))
def test_settling_again_changes_nothing(seed: int) -> None:
    netlist = switched(seed)
    once = settle(netlist, {"S1": "on"}, {})
    again = settle(netlist, {"S1": "on"}, once.memory)
    if not any(isinstance(found, Chatter) for found in once.findings):
        assert again.memory == once.memory
        assert again.point.inner_v == pytest.approx(once.point.inner_v, abs=1e-8)
        assert not any(isinstance(found, FuseOpens | Race) for found in again.findings)


def test_the_draws_have_all_that_is_tested() -> None:
    """Relays that pull in, fuses that open, chatter and fuses between: else the laws above would say little."""
    kinds: set[str] = set()
    pulled = between = 0
    for seed in range(300):
        netlist = switched(seed)
        settled = settle(netlist, {"S1": "on"}, {})
        kinds |= {type(found).__name__ for found in settled.findings}
        pulled += sum(value == "pulled" for value in settled.memory.values())
        between += len(settled.alternatives)
        assert all(
            HOLDS_TO * found.rated_a < found.current_a for found in settled.findings if isinstance(found, FuseOpens)
        )
    assert kinds >= {"FuseOpens", "FuseMayHold", "Chatter"}
    assert pulled > 50
    assert between > 0
