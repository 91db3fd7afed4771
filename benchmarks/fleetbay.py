"""What is fitted in a bay of a made-up vehicle: lamps, pumps, valves, motors, fans, heaters, warnings, 12 V supplies.

Each function draws one piece of equipment with its fuse, its control, its way there and back.
"""

from collections.abc import Callable
from dataclasses import dataclass

from benchmarks.fleetdraw import NOMINAL_V, Drawing, Lead
from benchmarks.fleetloads import fed, loads_on, side_of
from benchmarks.fleetmodules import sensors, twelve_volt, valves
from benchmarks.fleetpage import Zone
from benchmarks.fleetwords import AIRED, BEACONS, HEATED, LAMPS, MOVED, PUMPS, WATCHED


@dataclass(frozen=True)
class Fitting:
    """A function that draws, and the most wires it draws."""

    draw: Callable[[Drawing, Zone, Zone], None]
    most: int
    often: int


def _asked(d: Drawing, z: Zone, cab: Zone, label: str, colour: str, held: bool = False) -> str:
    """A rocker that gives plus: on the bay's own panel or in the cab. The point it leads to in the zone's loom."""
    name = "push!" if held else "on"
    switch = d.name("S", z)
    if d.chance.random() < 0.5:
        z.page.parts.append(f'switch {switch} off | {name}: 1=2 at {z.panel} "{label}"')
        feed = d.feeds(z)
        d.wire(z.loom, z.page, feed, Lead("BK"), d.metres(0.2, 0.6), f"{switch}.1")
        return f"{switch}.2"
    z.page.parts.append(f'switch {switch} off | {name}: 1=2 at {cab.panel} "{label}"')
    d.wire(cab.loom, z.page, d.feeds(cab), Lead("BK"), d.metres(0.2, 0.6), f"{switch}.1")
    return d.into(z, cab, f"{switch}.2", Lead(colour))


def lamps_direct(d: Drawing, z: Zone, _cab: Zone) -> None:
    """Lamps on a rocker of the bay that carries their current."""
    side, count = side_of(d, z), d.chance.randint(1, 4)
    label = d.label(z, LAMPS[side.rpartition("-")[2]])
    watts = d.chance.choice((5, 10, 21))
    kind = f"led 24V {watts}W" if d.chance.random() < 0.5 else f"lamp 24V {watts}W"
    current_a = count * watts / NOMINAL_V
    fuse, rated_a = d.fuse(z, current_a, label)
    colour, switch = d.colour(), d.name("S", z)
    z.page.parts.append(f'switch {switch} off | on: 1=2 at {z.panel} "{label}"')
    loads = loads_on(d, z, side, kind, count, label)
    d.wire(z.loom, z.page, fuse, Lead(d.colour("RD"), rated_a, current_a), d.metres(0.4, 1.4), f"{switch}.1")
    fed(d, z, f"{switch}.2", side, Lead(colour, rated_a, current_a), loads)


def lamps_relayed(d: Drawing, z: Zone, cab: Zone) -> None:
    """Work lamps or beacons on a relay of the bay's box, asked for by a rocker."""
    beacons = d.chance.random() < 0.3
    side = side_of(d, z)
    label = d.label(z, BEACONS if beacons else LAMPS[side.rpartition("-")[2]])
    count, kind, watts = (
        (2, "led", 18) if beacons else d.chance.choice(((2, "lamp", 70), (3, "led", 27), (4, "led", 40)))
    )
    current_a = count * watts / NOMINAL_V
    fuse, rated_a = d.fuse(z, current_a, label)
    colour = d.colour()
    relay = d.relay(z, label, fuse)
    loads = loads_on(d, z, side, f"{kind} 24V {watts}W", count, label)
    asked = _asked(d, z, cab, label, colour)
    d.wire(z.loom, z.page, asked, Lead(colour), d.metres(0.3, 0.9), f"{relay}.86")
    d.ground(z.loom, z, f"{relay}.85", z.box_place, Lead("BN"))
    fed(d, z, f"{relay}.87", side, Lead(colour, rated_a, current_a), loads)


def strips_two_way(d: Drawing, z: Zone, _cab: Zone) -> None:
    """Light strips switched from two ends of the bay."""
    label, side, count = (
        d.label(z, ("ceiling strips", "shelf strips", "bench strips")),
        side_of(d, z),
        d.chance.randint(2, 4),
    )
    current_a = count * 9 / NOMINAL_V
    fuse, rated_a = d.fuse(z, current_a, label)
    colours, lead = (d.colour("YE"), d.colour("WH")), Lead(d.colour("GY"), rated_a, current_a)
    one, other = d.name("S", z), d.name("S", z)
    z.page.parts.append(f'switch {one} up: 1=2 | down: 1=3 at {z.panel} "{label}, at the panel"')
    z.page.parts.append(f'switch {other} up: 3=1 | down: 2=1 at {side} "{label}, far end"')
    loads = loads_on(d, z, side, "led 24V 9W", count, label)
    d.wire(z.loom, z.page, fuse, Lead(d.colour("RD"), rated_a, current_a), d.metres(0.4, 1.2), f"{one}.1")
    loom = z.loom
    for pin, colour in zip(("2", "3"), colours, strict=True):
        between = Lead(colour, rated_a, current_a)
        at, loom = d.out_to(z, side, f"{one}.{pin}", between)
        d.wire(loom, z.page, at, between, d.metres(0.4, 1.5), f"{other}.{pin}")
    d.fan(loom, z.page, z, f"{other}.1", lead, d.metres(0.5, 1.5), [plus for plus, _ in loads])
    for _, minus in loads:
        d.ground(loom, z, minus, side, lead.carrying(9 / NOMINAL_V))


def pump(d: Drawing, z: Zone, cab: Zone) -> None:
    """A pump on a relay whose coil is grounded by a float switch; a tell-tale beside the rocker."""
    label, side, current_a = d.label(z, PUMPS[not z.lived_in]), side_of(d, z), d.chance.choice((3.0, 4.5, 7.0, 10.0))
    fuse, rated_a = d.fuse(z, current_a, label, d.chance.choice(("30", "15")))
    colour, low = d.colour(), d.colour("BN")
    relay = d.relay(z, label, fuse)
    level = d.name("B", z)
    z.page.parts += [f'unit {level} "{label}, float switch" at {side}', "  process level filled: 1=2 | dry"]
    loads = loads_on(d, z, side, f"motor 24V {current_a:g}A", 1, label)
    lamp = d.name("H", z)
    z.page.parts.append(f'led {lamp} 24V 0.5W at {z.panel} "tell-tale, {label}"')
    asked = _asked(d, z, cab, label, colour)
    d.wire(z.loom, z.page, asked, Lead(colour), d.metres(0.3, 0.9), f"{relay}.86")
    at, loom = d.out_to(z, side, f"{relay}.85", Lead(low))
    d.wire(loom, z.page, at, Lead(low), d.metres(0.3, 1.2), f"{level}.1")
    d.ground(loom, z, f"{level}.2", side, Lead("BN"))
    splice, lead = d.name("SP", z), Lead(colour, rated_a, current_a)
    d.wire(z.loom, z.page, f"{relay}.87", lead, 0.2, splice)
    d.wire(z.loom, z.page, splice, Lead(colour, rated_a), d.metres(0.4, 1.2), f"{lamp}.+")
    d.ground(z.loom, z, f"{lamp}.-", z.panel, Lead("BN", rated_a))
    fed(d, z, splice, side, lead, loads)


def moved(d: Drawing, z: Zone, _cab: Zone) -> None:
    """A reversing motor on two change-over relays, rockers that spring back. Keep clear while it moves."""
    label, side, current_a = d.label(z, MOVED[not z.lived_in]), side_of(d, z), d.chance.choice((4.0, 6.0, 9.0))
    fuse, rated_a = d.fuse(z, current_a, label)
    lead, red = Lead("BN", rated_a, current_a), Lead(d.colour("RD"), rated_a, current_a)
    switch, motor, splice = d.name("S", z), d.name("M", z), d.name("SP", z)
    z.page.parts.append(f'switch {switch} off | out!: 1=2 | in!: 1=3 at {z.panel} "{label}"')
    z.page.parts.append(f'motor {motor} 24V {current_a:g}A reversing at {side} "{label}"')
    d.wire(z.loom, z.page, d.feeds(z), Lead("BK"), d.metres(0.2, 0.6), f"{switch}.1")
    d.wire(z.loom, z.page, fuse, red, d.metres(0.2, 0.5), splice)
    for way, pin, end in (("out", "2", "a"), ("in", "3", "b")):
        relay, colour = d.name("K", z), d.colour("VT")
        z.page.parts.append(f'relay {relay} changeover 30 85 86 87 87a 30A diode 86 at {z.box_place} "{label}, {way}"')
        d.wire(z.loom, z.page, f"{switch}.{pin}", Lead(colour), d.metres(0.4, 1.2), f"{relay}.86")
        d.ground(z.loom, z, f"{relay}.85", z.box_place, Lead("BN"))
        d.wire(z.loom, z.page, splice, red, 0.2, f"{relay}.87")
        d.ground(z.loom, z, f"{relay}.87a", z.box_place, lead)
        own = Lead(d.colour("BU"), rated_a, current_a)
        at, loom = d.out_to(z, side, f"{relay}.30", own)
        d.wire(loom, z.page, at, own, d.metres(0.3, 1.4), f"{motor}.{end}")


def fan(d: Drawing, z: Zone, _cab: Zone) -> None:
    """A fan with three speeds, its resistors in the air stream and switched on the ground side."""
    label, side = d.label(z, AIRED), side_of(d, z)
    fuse, rated_a = d.fuse(z, 5.0, label, "15")
    motor, pack, switch = d.name("M", z), d.name("R", z), d.name("S", z)
    z.page.parts += [f'motor {motor} 24V 5A at {side} "{label}"', f'unit {pack} "{label}, resistors" at {side}']
    z.page.parts += ["  4-3 cutout 184C", "  3-2 resistor 1.2ohm", "  2-1 resistor 2.7ohm"]
    z.page.parts.append(f'switch {switch} off | 1: C=1 | 2: C=2 | 3: C=3 at {z.panel} "{label}"')
    feed, loom = Lead(d.colour("BK"), rated_a, 5.0), z.loom
    at, loom = d.out_to(z, side, fuse, feed)
    d.wire(loom, z.page, at, feed, d.metres(0.2, 0.8), f"{motor}.+")
    between, splice = Lead(d.colour("OG"), rated_a, 5.0), d.name("SP", z)
    d.wire(loom, z.page, f"{motor}.-", between, 0.2, splice)
    d.wire(loom, z.page, splice, between, 0.2, f"{pack}.4")
    for speed, point in (("1", f"{pack}.1"), ("2", f"{pack}.2"), ("3", splice)):
        lead = between if speed == "3" else Lead(d.colour("GN"), rated_a, 4.0)
        at, _ = d.out_to(z, side, f"{switch}.{speed}", lead)
        d.wire(loom, z.page, at, lead, d.metres(0.2, 0.8), point)
    d.ground(z.loom, z, f"{switch}.C", z.panel, between)


def warning(d: Drawing, z: Zone, cab: Zone) -> None:
    """A pressure or level switch that grounds a tell-tale in the cab; some have a buzzer beside it."""
    label, side = d.label(z, WATCHED[not z.lived_in]), side_of(d, z)
    colour, sender, lamp = d.colour(), d.name("B", z), d.name("H", z)
    z.page.parts += [f'unit {sender} "{label}" at {side}', "  process state tripped: 1=2 | fine"]
    z.page.parts.append(f'led {lamp} 24V 0.5W at {cab.panel} "tell-tale, {label}"')
    at, loom = d.out_to(z, side, start := d.way_into(z, cab), Lead(colour))
    d.wire(loom, z.page, at, Lead(colour), d.metres(0.3, 1.5), f"{sender}.1")
    d.ground(loom, z, f"{sender}.2", side, Lead("BN"))
    long_m = round(z.trunk_m + d.chance.uniform(0.0, 0.4), 1)
    d.wire(cab.loom, z.page, d.feeds(cab), Lead("BK"), d.metres(0.2, 0.6), f"{lamp}.+")
    if d.chance.random() < 0.6:
        d.wire(cab.loom, z.page, f"{lamp}.-", Lead(colour), long_m, start)
        return
    buzzer, splice = d.name("B", z), d.name("SP", z)
    z.page.parts.append(f'horn {buzzer} 24V 0.1A at {cab.panel} "buzzer, {label}"')
    d.wire(cab.loom, z.page, d.feeds(cab), Lead("BK"), d.metres(0.2, 0.6), f"{buzzer}.1")
    d.wire(cab.loom, z.page, f"{buzzer}.2", Lead(colour), 0.3, splice)
    d.wire(cab.loom, z.page, f"{lamp}.-", Lead(colour), 0.3, splice)
    d.wire(cab.loom, z.page, splice, Lead(colour), long_m, start)


def heated(d: Drawing, z: Zone, _cab: Zone) -> None:
    """A heater on a relay that a thermostat pulls in while the rocker is on."""
    label, side, watts = d.label(z, HEATED), side_of(d, z), d.chance.choice((60, 100, 150, 200))
    fuse, rated_a = d.fuse(z, watts / NOMINAL_V, label, "15")
    relay = d.relay(z, label, fuse)
    switch, thermostat, colour = d.name("S", z), d.name("B", z), d.colour()
    z.page.parts.append(f'switch {switch} off | on: 1=2 at {z.panel} "{label}"')
    z.page.parts += [f'unit {thermostat} "{label}, thermostat" at {side}', "  process heat cold: 1=2 | warm"]
    loads = loads_on(d, z, side, f"heater 24V {watts}W", 1, label)
    d.wire(z.loom, z.page, d.feeds(z), Lead("BK"), d.metres(0.2, 0.6), f"{switch}.1")
    there, loom = d.out_to(z, side, f"{switch}.2", Lead(colour))
    d.wire(loom, z.page, there, Lead(colour), d.metres(0.3, 1.0), f"{thermostat}.1")
    back, loom = d.out_to(z, side, f"{relay}.86", Lead(pulled := d.colour()))
    d.wire(loom, z.page, f"{thermostat}.2", Lead(pulled), d.metres(0.3, 1.0), back)
    d.ground(z.loom, z, f"{relay}.85", z.box_place, Lead("BN"))
    fed(d, z, f"{relay}.87", side, Lead(d.colour("RD"), rated_a, watts / NOMINAL_V), loads)


def delayed(d: Drawing, z: Zone, _cab: Zone) -> None:
    """A fan that starts some seconds after its rocker, by a timer relay."""
    label, side, current_a = d.label(z, AIRED), side_of(d, z), d.chance.choice((1.5, 2.5))
    timer, colour = d.name("K", z), d.colour()
    z.page.parts.append(f'timer {timer} on-delay {d.chance.choice((3, 5, 10))}s at {z.box_place} "{label}"')
    loads = loads_on(d, z, side, f"motor 24V {current_a:g}A", 1, label)
    fuse, rated_a = d.fuse(z, current_a, label, "15")
    switch = d.name("S", z)
    z.page.parts.append(f'switch {switch} off | on: 1=2 at {z.panel} "{label}"')
    lead = Lead(colour, rated_a, current_a)
    d.wire(z.loom, z.page, fuse, Lead(d.colour("BK"), rated_a, current_a), d.metres(0.3, 1.0), f"{switch}.1")
    d.wire(z.loom, z.page, f"{switch}.2", lead, d.metres(0.3, 1.0), f"{timer}.15")
    d.ground(z.loom, z, f"{timer}.31", z.box_place, Lead("BN", rated_a))
    fed(d, z, f"{timer}.87", side, lead, loads)


def locker_lamp(d: Drawing, z: Zone, _cab: Zone) -> None:
    """A small lamp with its own switch beside it: three wires."""
    label = d.label(z, ("locker lamp", "niche lamp", "shelf lamp"))
    fuse, rated_a = d.fuse(z, 0.5, label)
    switch, lamp, lead = d.name("S", z), d.name("E", z), Lead(d.colour(), 5.0, 0.5)
    z.page.parts += [
        f'switch {switch} off | on: 1=2 at {z.panel} "{label}"',
        f'lamp {lamp} 24V 5W at {z.panel} "{label}"',
    ]
    d.wire(z.loom, z.page, fuse, Lead(d.colour("RD"), rated_a, 0.5), d.metres(0.4, 1.4), f"{switch}.1")
    d.wire(z.loom, z.page, f"{switch}.2", lead, d.metres(0.3, 1.4), f"{lamp}.1")
    d.ground(z.loom, z, f"{lamp}.2", z.panel, lead)


def voltage_lamp(d: Drawing, z: Zone, _cab: Zone, bar: str = "30") -> None:
    """A tell-tale that shows that the box has its supply: two wires."""
    label = d.label(z, ("supply present",))
    fuse, rated_a = d.fuse(z, 0.1, label, bar)
    lamp = d.name("H", z)
    z.page.parts.append(f'led {lamp} 24V 0.5W at {z.panel} "{label}"')
    d.wire(z.loom, z.page, fuse, Lead(d.colour("RD"), rated_a), d.metres(0.4, 1.4), f"{lamp}.+")
    d.ground(z.loom, z, f"{lamp}.-", z.panel, Lead("BN", rated_a))


FITTINGS = (
    Fitting(lamps_direct, 13, 4),
    Fitting(lamps_relayed, 19, 4),
    Fitting(strips_two_way, 15, 2),
    Fitting(pump, 18, 3),
    Fitting(moved, 21, 2),
    Fitting(valves, 48, 3),
    Fitting(sensors, 30, 2),
    Fitting(fan, 17, 2),
    Fitting(warning, 15, 3),
    Fitting(heated, 16, 2),
    Fitting(delayed, 9, 1),
    Fitting(twelve_volt, 21, 2),
)
