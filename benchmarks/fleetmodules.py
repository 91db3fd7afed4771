"""Modules of a bay of a made-up vehicle: controllers with valves, measuring modules, electronics on 12 V."""

from benchmarks.fleetdraw import Drawing, Lead
from benchmarks.fleetloads import fed, loads_on, side_of
from benchmarks.fleetpage import Box, Zone
from benchmarks.fleetwords import READING, SENSORS, TWELVE, VALVES


def valves(d: Drawing, z: Zone, cab: Zone) -> None:
    """A controller on the bus that drives valves by rockers while a lock-out is released, and reads sensors."""
    unit, count = d.name("A", z), d.chance.randint(2, 5)
    label = d.label(z, ("controller", "valve controller", "equipment controller"))
    each_a = d.chance.choice((0.9, 1.2, 1.6))
    logic, logic_a = d.fuse(z, 0.3, f"{label}, electronics", "15")
    power, rated_a = d.fuse(z, count * each_a, f"{label}, valves")
    names = d.chance.sample(VALVES[not z.lived_in], count)
    sides = [side_of(d, z) for _ in range(count)]
    lines = [f'module {unit} "{label}" at {z.box_place}', "  plugs X1 16way | X2 12way"]
    lines += ['  supply X1/1 "electronics" 0.2A | X2/12 "valves"', "  ground X1/2"]
    lines += ['  in X1/3 pull-up 1kohm from X1/1 "lock-out released" on when low']
    lines += [f'  in X1/{4 + k} pull-up 1kohm from X1/1 "{name}" on when low' for k, name in enumerate(names)]
    lines += [f'  out X2/{1 + k} high-side from X2/12 max {2 * each_a:.1f}A "{name}"' for k, name in enumerate(names)]
    lines += [f"  when X1/3 and X1/{4 + k}: X2/{1 + k}" for k in range(count)]
    z.page.parts += lines
    d.wire(z.loom, z.page, logic, Lead(d.colour("BK"), logic_a), d.metres(0.2, 0.6), f"{unit}.X1/1")
    d.wire(z.loom, z.page, power, Lead(d.colour("RD"), rated_a, count * each_a), d.metres(0.2, 0.6), f"{unit}.X2/12")
    d.ground(z.loom, z, f"{unit}.X1/2", z.box_place, Lead("BN", rated_a, 0.5))
    lock = d.name("S", z)
    z.page.parts.append(f'switch {lock} locked | released: 1=2 at {z.panel} "{label}, lock-out"')
    d.wire(z.loom, z.page, f"{unit}.X1/3", Lead(d.colour("WH")), d.metres(0.5, 1.4), f"{lock}.1")
    d.ground(z.loom, z, f"{lock}.2", z.panel, Lead("BN"))
    for k, (name, side) in enumerate(zip(names, sides, strict=True)):
        switch, colour = d.name("S", z), d.colour()
        position = d.chance.choice(("on", "on", "push!"))
        z.page.parts.append(f'switch {switch} off | {position}: 1=2 at {z.panel} "{z.name}, {name}"')
        d.wire(z.loom, z.page, f"{unit}.X1/{4 + k}", Lead(d.colour("WH")), d.metres(0.5, 1.4), f"{switch}.1")
        d.ground(z.loom, z, f"{switch}.2", z.panel, Lead("BN"))
        loads = loads_on(d, z, side, f"solenoid 24V {each_a:g}A", 1, f"{z.name}, {name}")
        fed(d, z, f"{unit}.X2/{1 + k}", side, Lead(colour, rated_a, each_a), loads)
    d.on_bus(z, cab, label, z.box_place)


def sensors(d: Drawing, z: Zone, _cab: Zone) -> None:
    """A measuring module with two-wire and three-wire sensors."""
    unit, label, count = d.name("A", z), d.label(z, ("measuring module", "level monitor")), d.chance.randint(2, 4)
    fuse, rated_a = d.fuse(z, 0.4, label, "15")
    kinds = ["3wire 40%", *(d.chance.choice(("2wire 1kohm", "2wire 250ohm", "3wire 30%")) for _ in range(count - 1))]
    z.page.parts += [f'module {unit} "{label}" at {z.box_place}', '  supply 1 "15" 0.2A', "  ground 2"]
    for k, kind in enumerate(kinds):
        pull = "pull-up 2.2kohm from 1 " if "2wire" in kind else ""
        z.page.parts.append(f"  in {10 + k} {pull}on when high above 12V below 6V")
    supply, splice = Lead(d.colour("BK"), rated_a, 0.4), d.name("SP", z)
    d.wire(z.loom, z.page, fuse, supply, d.metres(0.2, 0.6), splice)
    d.wire(z.loom, z.page, splice, supply, 0.2, f"{unit}.1")
    d.ground(z.loom, z, f"{unit}.2", z.box_place, Lead("BN", rated_a))
    for k, kind in enumerate(kinds):
        sensor, side = d.name("B", z), side_of(d, z)
        z.page.parts.append(f'sensor {sensor} {kind} at {side} "{d.label(z, SENSORS[not z.lived_in])}"')
        signal = Lead(d.colour("GN"))
        at, loom = d.out_to(z, side, f"{unit}.{10 + k}", signal)
        d.wire(loom, z.page, at, signal, d.metres(0.3, 1.2), f"{sensor}.{'1' if '2wire' in kind else 's'}")
        if "3wire" in kind:
            at, loom = d.out_to(z, side, splice, supply)
            d.wire(loom, z.page, at, supply, d.metres(0.3, 1.2), f"{sensor}.+")
        d.ground(loom, z, f"{sensor}.{'2' if '2wire' in kind else '-'}", side, Lead("BN"))


def twelve_volt(d: Drawing, z: Zone, _cab: Zone) -> None:
    """A 24/12 V converter with a fuse box of its own, a reading lamp and electronics on it."""
    unit, box, label = d.name("U", z), d.name("B", z), d.label(z, ("12 V supply",))
    fuse, rated_a = d.fuse(z, 6.0, label, d.chance.choice(("30", "15")))
    z.page.parts.append(f'converter {unit} 12V 10A at {z.box_place} "{label}"')
    red, yellow = Lead(d.colour("RD"), rated_a, 6.0), Lead("RD/YE", 10.0, 5.0)
    d.wire(z.loom, z.page, fuse, red, d.metres(0.3, 0.8), f"{unit}.in")
    d.ground(z.loom, z, f"{unit}.gnd", z.box_place, red)
    small = Box(box, z.box_place, f"{z.name}, 12 V fuses", {"12": ("in", [])})
    z.page.boxes.append(small)
    d.wire(z.loom, z.page, f"{unit}.out", yellow, 0.3, f"{box}.in")
    for k in range(d.chance.randint(2, 4)):
        side, own = side_of(d, z), d.name("F", z)
        name = d.label(z, TWELVE if k else READING)
        small.parts.append(f'fuse {own} 5A "{name}"')
        small.bars["12"][1].append(own)
        lead = Lead(d.colour("OG"), 5.0, 1.0)
        at, loom = d.out_to(z, side, own, lead)
        if k:
            module = d.name("A", z)
            amps = d.chance.choice((0.4, 0.8, 1.2))
            z.page.parts += [f'module {module} "{name}" at {side}', f'  supply 1 "12 V" {amps}A', "  ground 2"]
            d.wire(loom, z.page, at, lead, d.metres(0.3, 1.0), f"{module}.1")
            d.ground(loom, z, f"{module}.2", side, lead)
            continue
        switch, lamp = d.name("S", z), d.name("E", z)
        z.page.parts += [f'switch {switch} off | on: 1=2 at {side} "{name}"', f'lamp {lamp} 12V 10W at {side} "{name}"']
        d.wire(loom, z.page, at, lead, d.metres(0.3, 1.0), f"{switch}.1")
        d.wire(loom, z.page, f"{switch}.2", lead, d.metres(0.3, 1.0), f"{lamp}.1")
        d.ground(loom, z, f"{lamp}.2", side, lead)
