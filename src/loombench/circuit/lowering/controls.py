"""Switches and everything else that is put in a position: the pin pairs a position joins, gated on it.

A cam is moved by the motors of its part and is therefore memory, not input; a condition may still set it.
"""

from loombench.circuit.lowering.builder import Builder, owner
from loombench.circuit.lowering.sources import figure
from loombench.circuit.netlist import CamAgent, Gate
from loombench.vehicle.model import Control, Part


def lower_controls(b: Builder, part: Part) -> None:
    """Every control of a part: its variable and its contacts. A pair that several positions join is one contact."""
    for control in part.controls:
        states = tuple(dict.fromkeys(position.name for position in control.positions))
        if not states:
            continue
        rest = control.rest if control.rest in states else states[0]
        cam = _cam(b, part, control, states, rest)
        variable = b.variable(control.id, states, rest, is_input=cam is None)
        if control.alias:
            b.aliases.setdefault(control.alias, control.id)
        if cam is not None:
            b.agents.append(cam)
        joined: dict[tuple[str, str], list[str]] = {}
        for position in control.positions:
            for one, two in position.pairs:
                key = (two, one) if (two, one) in joined else (one, two)
                joined.setdefault(key, []).append(position.name)
        for (one, two), closed_in in joined.items():
            name = f"{control.id}.{one}={two}"
            owned_by = tuple(dict.fromkeys((control.id, part.id, name)))
            gate = Gate(variable, tuple(dict.fromkeys(closed_in)))
            b.joint("switch", name, b.pin(part, one), b.pin(part, two), (gate,), owned_by)


def _cam(b: Builder, part: Part, control: Control, states: tuple[str, ...], rest: str) -> CamAgent | None:
    away = next((state for state in states if state != rest), None)
    motors = tuple(owner(part, inner) for inner in part.elements if inner.kind == "motor")
    if not control.follows or away is None or not motors:
        return None
    return CamAgent(
        control.id,
        motors,
        figure("cam-turns-share") * b.vehicle.nominal_v,
        rest,
        away,
        figure("cam-parked-share"),
        figure("cam-turn"),
    )
