"""Relays: a coil that pulls in and lets go at its volts, contacts gated by it, a suppressor beside the coil.

Pick-up and drop-out are those of the usual relay (`facts.relay`), scaled to the rated volts; terminals as printed.
"""

from loombench.circuit.lowering.builder import Builder, ends, numbers, owner, owners
from loombench.circuit.netlist import Gate, RelayAgent
from loombench.facts.relay import contact_resistance_ohm, usual_relay
from loombench.vehicle.model import Inner, Part


def relay_variable(b: Builder, part: Part) -> str:
    """The variable of a part's relay."""
    return b.variable(f"relay:{part.id}", ("released", "pulled"), "released")


def lower_coil(b: Builder, part: Part, inner: Inner) -> None:
    """A coil and what it does; its current counts, so that a coil with a resistance in it does not pull."""
    n = numbers(b, part, inner)
    a, other = ends(b, part, inner)
    usual = usual_relay(n.rated_v)
    scale = n.rated_v / usual.system_v
    ohm = n.either("coil_ohm", usual.coil_ohm * (1.0 if scale == 1.0 else scale * scale))
    element = b.conductor(owner(part, inner), a, other, ohm, owners=owners(part, inner))
    pick_up_v = n.either("pick_up_v", usual.pick_up_v * scale)
    drop_out_v = min(n.either("drop_out_v", usual.drop_out_v * scale), pick_up_v)
    b.agents.append(RelayAgent(relay_variable(b, part), a, other, pick_up_v, drop_out_v, element, ohm))


def lower_relay_contact(b: Builder, part: Part, inner: Inner) -> None:
    """A contact: `make` closes while the relay is pulled in, `break` while it is not."""
    a, other = ends(b, part, inner)
    side = "break" if inner.name.startswith("break") or "break" in inner.words else "make"
    gate = Gate(relay_variable(b, part), ("pulled",) if side == "make" else ("released",))
    b.conductor(owner(part, inner), a, other, contact_resistance_ohm(side), (gate,), owners(part, inner))
