"""The elements: each law as one or two lines of a simulator's sheet.

Laws as the netlist states them. A filament is a behavioural source (see `facts.filament`), a junction the simulator's
own diode with its series resistance outside, so that a gate can open it.
"""

from loombench.circuit.netlist import (
    Battery,
    Conductor,
    Element,
    Filament,
    Junction,
    PowerDraw,
    Regulated,
)
from loombench.circuit.spicing.deck import HELD_UP, OPEN_OHM, Deck, number

THERMAL_V = 1.38064852e-23 * 300.15 / 1.6021766208e-19
"""kT/q at 27 C, where the sheet puts its junctions, with the constants the simulator computes with."""
LEAST_SERIES_OHM = 1e-6


SMOOTHING_F, BLEED_S = 1e-3, 0.1
"""Across a regulated supply where time runs: without, its kinks and a load of nothing throw the iteration about. A
resistor beside empties the capacitor with that time constant."""


def write_element(deck: Deck, k: int, element: Element) -> None:
    """Write element number `k`; one that never conducts is left out."""
    gate = deck.on(element)
    if gate == "0":
        deck.add(f"* {element.id}: open")
        return
    a, b = deck.node(element.a), deck.node(element.b)
    if a == b:
        return
    match element:
        case Conductor():
            _resistance(deck, f"{k}", a, b, element.resistance_ohm, gate)
        case Battery():
            deck.add(f"VE{k} m{k} {b} {deck.emf.get(element.id, f'dc {number(element.emf_v)}')}")
            _resistance(deck, f"{k}", a, f"m{k}", element.resistance_ohm, gate)
        case Junction():
            series = max(element.series_ohm, LEAST_SERIES_OHM) if gate != "1" else element.series_ohm
            anode = a
            if series > 0.0:
                anode = f"m{k}"
                _resistance(deck, f"{k}", a, anode, series, gate)
            ratio = element.slope_v / THERMAL_V
            deck.add(f".model dd{k} d(is={number(element.saturation_a)} n={number(ratio)})")
            deck.add(f"D{k} {anode} {b} dd{k}")
        case Regulated() if element.id in deck.pieces:
            _piece(deck, f"{k}", a, b, element)
        case _:
            if isinstance(element, Regulated) and deck.smoothing_f > 0.0:
                deck.add(f"CS{k} {a} {b} {number(deck.smoothing_f)}")
                deck.add(f"RS{k} {a} {b} {number(BLEED_S / deck.smoothing_f)}")
            deck.add(f"B{k} {a} {b} I={current_of(deck, element)}")


def piece_of(element: Regulated, set_v: float, across_v: float) -> str:
    """The piece of its law that a regulated supply set to these volts is on: off, regulating or limit."""
    wanted_a = (set_v - across_v) / element.resistance_ohm
    return "off" if wanted_a <= 0.0 else "limit" if wanted_a >= element.limit_a else "regulating"


def _piece(deck: Deck, k: str, a: str, b: str, element: Regulated) -> None:
    match deck.pieces[element.id]:
        case "regulating":
            deck.add(f"VS{k} m{k} {b} dc {deck.set_v.get(element.id, number(element.set_v))}")
            deck.add(f"R{k} m{k} {a} {number(element.resistance_ohm)}")
        case "limit":
            deck.add(f"I{k} {b} {a} dc {number(element.limit_a)}")
        case _:
            deck.add(f"* {element.id}: gives nothing")


def _resistance(deck: Deck, name: str, a: str, b: str, ohm: float, gate: str) -> None:
    if gate == "1":
        deck.add(f"R{name} {a} {b} {number(ohm)}")
        return
    control = gate.removeprefix("V(").removesuffix(")")
    deck.add(f".model sw{name} sw(vt={HELD_UP} vh=0.01 ron={number(ohm)} roff={number(OPEN_OHM)})")
    deck.add(f"S{name} {a} {b} {control} 0 sw{name} off")


def current_of(deck: Deck, element: Element) -> str:
    """The current of an element from its `a` to its `b`, as an expression of node volts.

    Raises:
        ValueError: the element is a junction.
    """
    gate = deck.on(element)
    if gate == "0":
        return "0"
    volts = deck.across(element.a, element.b)
    match element:
        case Conductor():
            law = f"{volts}/{number(element.resistance_ohm)}"
        case Battery():
            law = f"({volts}-({number(element.emf_v)}))/{number(element.resistance_ohm)}"
        case Filament():
            knee = number(element.law.knee_v)
            share = f"({volts}/{knee})"
            bend = number((element.law.exponent - 1.0) / 2.0)
            law = f"{number(element.law.cold_s)}*{volts}*(1+{share}*{share})^({bend})"
        case Junction():
            # Its law has no closed form with the resistance inside; no agent looks at the current of a junction.
            raise ValueError(f"the current of the junction {element.id} is no expression of its volts")
        case Regulated():
            wanted = f"({deck.set_v.get(element.id, number(element.set_v))}-{volts})/{number(element.resistance_ohm)}"
            law = f"-min({number(element.limit_a)},max(0,{wanted}))"
        case PowerDraw():
            law = _power_draw(deck, element, volts)
    return law if gate == "1" else f"({gate}>{HELD_UP} ? {law} : 0)"


def _power_draw(deck: Deck, element: PowerDraw, volts: str) -> str:
    source = deck.netlist.element_by_id.get(element.feeds)
    if source is None:
        return "0"
    power = f"(-({current_of(deck, source)}))*{deck.across(source.a, source.b)}"
    least = max(element.from_v, 1e-3)
    return f"({volts}>{number(least)} ? {power}/({number(element.efficiency)}*max({volts},{number(least)})) : 0)"
