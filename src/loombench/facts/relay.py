"""Relays: coil resistance, pick-up and drop-out, contact resistance.

Typical plug-in relays at 20 to 23 C (data sheets, see the rows of `relay.csv`); the part's own print decides. The
terminals keep the names printed on the part: layouts exist in which 30 and 86 change places.
"""

from dataclasses import dataclass
from functools import cache

from loombench.facts.ohm import parallel_ohm
from loombench.facts.table import Provenance, load_table

DROP_TEST_A = 10.0
"""Current at which the contact drops of `relay.csv` are stated."""


@dataclass(frozen=True)
class RelayType:
    """A relay: volts at the coil, contact drops as resistances. None where the sheet gives nothing."""

    name: str
    system_v: int
    coil_ohm: float
    suppressor_ohm: float | None
    pick_up_v: float
    drop_out_v: float
    make_ohm: float | None
    make_worst_ohm: float | None
    break_ohm: float | None
    break_worst_ohm: float | None
    provenance: Provenance

    @property
    def terminal_ohm(self) -> float:
        """Resistance between the coil's terminals: the coil with its suppressor resistor beside it, if it has one."""
        return self.coil_ohm if self.suppressor_ohm is None else parallel_ohm(self.coil_ohm, self.suppressor_ohm)


def _drop(millivolts: float | None) -> float | None:
    return None if millivolts is None else millivolts / 1e3 / DROP_TEST_A


@cache
def relay_types() -> tuple[RelayType, ...]:
    """All relays of the table; the first of a system voltage is the usual one."""
    return tuple(
        RelayType(
            row.text("relay"),
            int(row.number("system_v")),
            row.number("coil_ohm"),
            row.number_or_none("suppressor_ohm"),
            row.number("operate_v"),
            row.number("release_v"),
            _drop(row.number_or_none("no_drop_typ_mv")),
            _drop(row.number_or_none("no_drop_max_mv")),
            _drop(row.number_or_none("nc_drop_typ_mv")),
            _drop(row.number_or_none("nc_drop_max_mv")),
            row.provenance,
        )
        for row in load_table("relay")
    )


@cache
def usual_relay(system_v: float = 12) -> RelayType:
    """The usual plug-in relay of a 12 V or 24 V system: the 12 V one from 6 to 18 V, the 24 V one above.

    Source: TE Connectivity, Power Relay B data sheet (printed).
    """
    wanted = 24 if system_v > 18 else 12
    return next(relay for relay in relay_types() if relay.system_v == wanted)


def coil_resistance_ohm(system_v: float = 12) -> float:
    """Coil resistance of the usual relay at 20 C: 85 ohm at 12 V, 255 ohm at 24 V."""
    return usual_relay(system_v).coil_ohm


def pick_up_v(system_v: float = 12) -> float:
    """Coil volts at which the usual relay has pulled in for certain: 8 V at 12 V, 16 V at 24 V."""
    return usual_relay(system_v).pick_up_v


def drop_out_v(system_v: float = 12) -> float:
    """Coil volts at which the usual relay has dropped out for certain: 1.5 V at 12 V, 3 V at 24 V."""
    return usual_relay(system_v).drop_out_v


def contact_resistance_ohm(side: str = "make") -> float:
    """Typical resistance of a closed contact: `make` (30 to 87) 1.5 mohm, `break` (30 to 87a) 2 mohm.

    From the drop at 10 A of the usual relay (15 mV and 20 mV; up to 200 and 250 mV are allowed).

    Raises:
        ValueError: another side.
    """
    relay = usual_relay()
    value = {"make": relay.make_ohm, "break": relay.break_ohm}.get(side)
    if value is None:
        raise ValueError(f"a contact has the side make or break, not {side!r}")
    return value
