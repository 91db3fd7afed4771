"""The part of a made-up vehicle that every vehicle has: supply, key, starter, lights, signals, horn, wiper, bus.

24 V. Terminal numbers are those of DIN 72552, from memory.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

from benchmarks.fleetdraw import Drawing, Lead
from benchmarks.fleetpage import Box, Page, Unit, Zone


@dataclass
class Cab:
    """The cab and what hangs on it: the loom to the front and the one along the frame."""

    cab: Zone
    front: Zone
    frame: Zone
    supply: Page
    battery_box: Box
    units: dict[str, Unit] = field(default_factory=dict)
    ground_of: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Function:
    """A function that draws, and the most wires it draws."""

    draw: Callable[[Drawing, Cab], None]
    most: int


def cab_of(d: Drawing) -> Cab:
    """The bare cab: its files and boxes, with supply, key and starter drawn."""
    supply = d.page(
        "supply", "Batteries, alternator, main fuses, key, starter. The isolator is opened first and closed last."
    )
    page = d.page("cab", "Lights, signals, horn, wiper and instruments. Each headlamp has its own fuse.")
    cab = Zone(0, "cab", "cab", "cab", "cab-box", "dash", (), page)
    front = Zone(0, "front", "front", "cab", "bulkhead", "dash", ("front-left", "front-right"), page, 1.4)
    frame = Zone(0, "frame", "frame", "chassis", "frame-head", "dash", ("rear-left", "rear-right"), page, 2.2)
    main = Box(d.name("B", cab), "battery-tray", "main fuse box", {"30": ("in", [])})
    supply.boxes.append(main)
    made = Cab(cab, front, frame, supply, main)
    _sources(d, made)
    return made


def main_fuse(d: Drawing, c: Cab, zone: Zone, label: str, rated_a: int = 80) -> str:
    """A fuse link in the main box."""
    name = d.name("F", zone)
    c.battery_box.bars["30"][1].append(name)
    c.battery_box.parts.append(f'fuselink {name} {rated_a}A "{label}"')
    return name


def _heavy(
    d: Drawing, c: Cab, start: str, colour: str, area: int, length_m: float, end: str, loom: str = "frame"
) -> None:
    """A battery or starter lead: its section is given, since no fuse decides it."""
    d.wires += 1
    c.supply.looms.setdefault(loom, []).append(f"{start} ({colour} {area}mm2 {length_m:g}m) {end}")


def _sources(d: Drawing, c: Cab) -> None:
    cab, parts = c.cab, c.supply.parts
    parts += [
        'battery G1 24V 225Ah at battery-tray "two 12 V batteries in series"',
        "alternator G2 28.2V 140A at engine-bay",
        'switch S90 isolator off | on: 1=2 rest on at battery-tray "battery isolator"',
        "strap W91 engine-block chassis 0.4m 50mm2 at engine-bay",
        "strap W92 cab chassis 0.4m 50mm2 at bulkhead",
        "strap W93 superstructure chassis 0.5m 70mm2 at frame-head",
        'stud W94 on chassis at battery-tray "battery minus"',
        "stud W95 on engine-block at engine-bay",
        'relay K90 make coil 50 31 contact 30 C 5ohm at engine-bay "starter, solenoid"',
        'motor M90 24V 120A at engine-bay "starter, motor"',
        "switch S91 key off | run: 30=15 | start!: 30=15 30=50 at column",
        'lamp H90 24V 2W at dash "charge lamp"',
    ]
    cab.box = Box(d.name("B", cab), "cab-box", "cab fuse and relay box", {"30": ("in", [])})
    c.cab.page.boxes.append(cab.box)
    relay, link = d.name("K", cab), main_fuse(d, c, cab, "cab", 80)
    charge = main_fuse(d, c, cab, "alternator", 150)
    cab.box.parts.append(f'relay {relay} make 30 85 86 87 70A diode 86 "terminal 15"')
    cab.box.bars["30"][1].append(f"{relay}.30")
    cab.box.bars["15"] = f"{relay}.87", []
    key, rated_a = d.fuse(cab, 6.0, "key")
    lamp, lamp_a = d.fuse(cab, 0.3, "charge lamp", "15")
    _heavy(d, c, "G1.-", "BK", 70, 0.6, "W94/a")
    _heavy(d, c, "G1.+", "RD", 70, 0.5, "S90.1")
    _heavy(d, c, "S90.2", "RD", 70, 0.3, f"{c.battery_box.id}.in")
    _heavy(d, c, "G1.+", "RD", 70, 1.9, "K90.30")
    _heavy(d, c, "K90.C", "RD", 70, 0.1, "M90.+")
    _heavy(d, c, "M90.-", "BK", 70, 0.2, "W95/a")
    _heavy(d, c, "G2.B+", "RD", 35, 2.4, f"{charge}.out")
    _heavy(d, c, "G2.-", "BK", 35, 0.3, "W95/b")
    _heavy(d, c, link, "RD", 16, 4.2, f"{cab.box.id}.in", "cab")
    red = Lead("RD/WH", rated_a, 5.0)
    d.wire("cab", c.supply, key, red, 0.8, "S91.30")
    d.wire("cab", c.supply, "S91.15", Lead("BK", rated_a, 0.3), 0.8, f"{relay}.86")
    d.ground("cab", cab, f"{relay}.85", "cab-box", Lead("BN"), c.supply)
    start = Lead("BK/YE", rated_a, 5.0)
    at = d.into(c.front, cab, "S91.50", start)
    d.wire("front", c.supply, at, start, 1.6, "K90.50")
    d.wire("front", c.supply, "K90.31", Lead("BN", rated_a, 5.0), 0.3, "W95/c")
    d.run(
        "cab",
        c.supply,
        lamp,
        (Lead("BK/BU", lamp_a), 0.7, ""),
        "H90",
        (Lead("BU", lamp_a), 1.5, ""),
        at := d.way_into(c.front, cab),
    )
    d.wire("front", c.supply, at, Lead("BU", lamp_a), 1.8, "G2.D+")


def _element(d: Drawing, c: Cab, z: Zone, side: str, start: str, lead: Lead, pin: str, watts: int, label: str) -> None:
    """One lamp of the lamp unit on a side, from a point in the zone's loom; the first one draws the unit's ground."""
    at, loom = d.out_to(z, side, start, lead)
    unit = c.units.get(side)
    if unit is None:
        unit = c.units[side] = Unit(d.name("E", c.cab), side, f"{side.replace('-', ' ')} lamp unit")
        c.cab.page.units.append(unit)
        d.ground(loom, z, f"{unit.id}.31", side, Lead("BN", 15.0, 6.0))
    unit.elements.append(f'  {pin}-31 lamp 24V {watts}W "{label}"')
    d.wire(loom, c.cab.page, at, lead, d.metres(0.2, 0.5), f"{unit.id}.{pin}")


def side_lamps(d: Drawing, c: Cab) -> None:
    """Light switch, side and tail lamps with a fuse for each side."""
    cab, page = c.cab, c.cab.page
    assert cab.box is not None
    page.parts.append('switch S92 lights off | side: 30=58 | dip: 30=58 30=56 at dash "light switch"')
    fuse, rated_a = d.fuse(cab, 5.0, "light switch")
    d.wire("cab", page, fuse, Lead("RD/GY", rated_a, 5.0), 0.8, "S92.30")
    d.wire("cab", page, "S92.58", Lead("GY", rated_a, 2.0), 0.8, f"{cab.box.id}.C/58")
    cab.box.bars["58"] = "C/58", []
    for side, colour in (("left", "GY/BK"), ("right", "GY/RD")):
        own, own_a = d.fuse(cab, 0.6, f"side and tail lamps, {side}", "58")
        splice, lead = d.name("SP", cab), Lead(colour, own_a, 0.5)
        d.wire("cab", page, own, lead, 0.4, splice)
        _element(d, c, c.front, f"front-{side}", d.into(c.front, cab, splice, lead), lead, "58", 5, "side lamp")
        _element(d, c, c.frame, f"rear-{side}", d.into(c.frame, cab, splice, lead), lead, "58", 10, "tail lamp")


def headlamps(d: Drawing, c: Cab) -> None:
    """Dipped and main beam by relays, each lamp with its own fuse, the tell-tale beside the main beam's relay."""
    cab, page = c.cab, c.cab.page
    assert cab.box is not None
    page.parts.append('switch S93 beam dip: 56=56b | main: 56=56a at column "stalk, dip and main beam"')
    d.wire("cab", page, "S92.56", Lead("WH", 10.0, 0.3), 0.6, "S93.56")
    for bar, colour, label in (("56b", "YE", "dipped beam"), ("56a", "WH/BU", "main beam")):
        relay = d.name("K", cab)
        cab.box.parts.append(f'relay {relay} make 30 85 86 87 40A diode 86 "{label}"')
        cab.box.bars["30"][1].append(f"{relay}.30")
        cab.box.bars[bar] = f"{relay}.87", []
        d.wire("cab", page, f"S93.{bar}", Lead(colour, 10.0), 0.7, f"{relay}.86")
        d.ground("cab", cab, f"{relay}.85", "cab-box", Lead("BN"))
        for side, stripe in (("left", "BK"), ("right", "RD")):
            fuse, rated_a = d.fuse(cab, 3.0, f"{label}, {side}", bar)
            lead = Lead(f"{colour.partition('/')[0]}/{stripe}", rated_a, 3.0)
            _element(d, c, c.front, f"front-{side}", d.into(c.front, cab, fuse, lead), lead, bar, 70, label)
    fuse, rated_a = d.fuse(cab, 0.1, "tell-tale, main beam", "56a")
    page.parts.append('led H91 24V 0.5W at dash "tell-tale, main beam"')
    d.wire("cab", page, fuse, Lead("WH/GY", rated_a), 0.7, "H91.+")
    d.ground("cab", cab, "H91.-", "dash", Lead("BN", rated_a))


def brake_lamps(d: Drawing, c: Cab) -> None:
    """Brake lamps on the pedal switch."""
    cab, page = c.cab, c.cab.page
    page.parts.append('switch S94 brake off | on!: 1=2 at pedals "brake lamp switch"')
    fuse, rated_a = d.fuse(cab, 1.8, "brake lamps", "30")
    lead = Lead("BK/RD", rated_a, 1.8)
    d.wire("cab", page, fuse, Lead("RD/BK", rated_a, 1.8), 0.9, "S94.1")
    splice = d.name("SP", cab)
    d.wire("frame", page, d.into(c.frame, cab, "S94.2", lead), lead, 4.5, splice)
    for side in ("left", "right"):
        _element(d, c, c.frame, f"rear-{side}", splice, lead.carrying(0.9), "54", 21, "brake lamp")


def indicators(d: Drawing, c: Cab) -> None:
    """Direction indicators and hazard signal by one flasher."""
    cab, page = c.cab, c.cab.page
    page.parts += [
        'flasher K91 49 49a 31 90/min at cab-box "indicators"',
        'switch S95 hazard off: 15=49 | on: 30=49 49a=L 49a=R at dash "hazard signal"',
        'switch S96 turn left: 49a=L | off | right: 49a=R at column "indicators"',
    ]
    for terminal, bar, colour in (("15", "15", "BK/GN"), ("30", "30", "RD/GN")):
        fuse, rated_a = d.fuse(cab, 4.0, f"indicators, {terminal}", bar)
        d.wire("cab", page, fuse, Lead(colour, rated_a, 3.5), 0.8, f"S95.{terminal}")
    lead, splice = Lead("BK/WH", 7.5, 3.5), d.name("SP", cab)
    d.wire("cab", page, "S95.49", lead, 0.7, "K91.49")
    d.ground("cab", cab, "K91.31", "cab-box", Lead("BN", 7.5))
    d.wire("cab", page, "K91.49a", lead, 0.3, splice)
    for end in ("S95.49a", "S96.49a"):
        d.wire("cab", page, splice, lead, 0.7, end)
    for side, letter, colour, lamp in (("left", "L", "BU/WH", "H92"), ("right", "R", "BU/RD", "H93")):
        own, both = Lead(colour, 7.5, 1.8), d.name("SP", cab)
        page.parts.append(f'led {lamp} 24V 0.5W at dash "tell-tale, indicators {side}"')
        for start in (f"S95.{letter}", f"S96.{letter}"):
            d.wire("cab", page, start, own, 0.5, both)
        d.wire("cab", page, both, Lead(colour, 7.5), 0.4, f"{lamp}.+")
        d.ground("cab", cab, f"{lamp}.-", "dash", Lead("BN", 7.5))
        for zone, end in ((c.front, "front"), (c.frame, "rear")):
            at = d.into(zone, cab, both, own)
            _element(d, c, zone, f"{end}-{side}", at, own.carrying(0.9), letter, 21, "indicator")


def reversing(d: Drawing, c: Cab) -> None:
    """Reversing lamps and bleeper on the selector at the gearbox."""
    cab, page = c.cab, c.cab.page
    page.parts.append('switch S97 gear neutral | forward | reverse: 1=2 at gearbox "selector"')
    fuse, rated_a = d.fuse(cab, 2.2, "reversing lamps", "15")
    lead, splice = Lead("GN/WH", rated_a, 2.2), d.name("SP", cab)
    page.parts.append('horn B90 24V 0.3A at rear-left "reversing bleeper"')
    feed = Lead("BK/GN", rated_a, 2.2)
    d.wire("frame", page, d.into(c.frame, cab, fuse, feed), feed, 1.4, "S97.1")
    d.wire("frame", page, "S97.2", lead, 3.6, splice)
    for side in ("left", "right"):
        _element(d, c, c.frame, f"rear-{side}", splice, lead.carrying(0.9), "RF", 21, "reversing lamp")
    at, loom = d.out_to(c.frame, "rear-left", splice, lead.carrying(0.3))
    d.wire(loom, page, at, lead.carrying(0.3), 0.6, "B90.1")
    d.ground(loom, c.frame, "B90.2", "rear-left", lead.carrying(0.3))


def horns(d: Drawing, c: Cab) -> None:
    """The horn on a relay that the button grounds."""
    cab, page = c.cab, c.cab.page
    assert cab.box is not None
    fuse, rated_a = d.fuse(cab, 4.0, "horn")
    relay = d.relay(cab, "horn", fuse, "make 30 85 86 87 30A")
    cab.box.joins.append(f"  {fuse}.out = {relay}.86")
    page.parts += ["switch S98 horn off | push!: 1=2 at column", 'horn B91 24V 4A at front-left "horn"']
    d.wire("cab", page, f"{relay}.85", Lead("BN/YE", rated_a), 0.8, "S98.1")
    d.ground("cab", cab, "S98.2", "dash", Lead("BN", rated_a))
    lead = Lead("BK/OG", rated_a, 4.0)
    at, loom = d.out_to(c.front, "front-left", d.into(c.front, cab, f"{relay}.87", lead), lead)
    d.wire(loom, page, at, lead, 0.5, "B91.1")
    d.ground(loom, c.front, "B91.2", "front-left", lead)


def wiper(d: Drawing, c: Cab) -> None:
    """Two speeds and park: parked, the cam grounds the slow brush."""
    cab, page = c.cab, c.cab.page
    page.parts += [
        'switch S99 wiper off: 53=53e | 1: 53=15 | 2: 53b=15 at column "wiper"',
        'unit M91 "wiper motor" at bulkhead',
        "  53-31 motor 24V 3A slow",
        "  53b-31 motor 24V 4A fast",
        "  cam parked: 53e=31 | away: 53e=53a",
    ]
    fuse, rated_a = d.fuse(cab, 5.0, "wiper", "15")
    feed, splice = Lead("BK/GN", rated_a, 4.0), d.name("SP", cab)
    d.wire("cab", page, fuse, feed, 0.4, splice)
    d.wire("cab", page, splice, feed, 0.6, "S99.15")
    d.wire("front", page, d.into(c.front, cab, splice, feed), feed, 0.6, "M91.53a")
    for pin, colour in (("53", "GN"), ("53b", "GN/YE"), ("53e", "GN/BK")):
        lead = Lead(colour, rated_a, 4.0)
        d.wire("front", page, d.into(c.front, cab, f"S99.{pin}", lead), lead, 0.6, f"M91.{pin}")
    d.ground("front", c.front, "M91.31", "bulkhead", feed)


def instruments(d: Drawing, c: Cab) -> None:
    """The instruments, where the bus begins, and the diagnostic socket."""
    cab, page = c.cab, c.cab.page
    page.parts += ['module A90 "instruments" at dash', '  supply 30 "30" 0.05A | 15 "15" 0.4A', "  ground 31"]
    page.parts.append('socket X90 J1962 at dash "diagnostic socket"')
    for bar, colour in (("30", "RD/YE"), ("15", "BK/YE")):
        fuse, rated_a = d.fuse(cab, 0.5, f"instruments, {bar}", bar)
        if bar == "15":
            d.wire("cab", page, fuse, Lead(colour, rated_a), 0.8, f"A90.{bar}")
            continue
        splice = d.name("SP", cab)
        d.wire("cab", page, fuse, Lead(colour, rated_a), 0.7, splice)
        d.wire("cab", page, splice, Lead(colour, rated_a), 0.3, f"A90.{bar}")
        d.wire("cab", page, splice, Lead(colour, rated_a), 0.5, "X90.16")
    for point in ("A90.31", "X90.4", "X90.5"):
        d.ground("cab", cab, point, "dash", Lead("BN", 5.0, 0.5))
    node = d.on_bus(cab, cab, "instruments", "dash")
    d.wire("cab", page, f"{node}.H", Lead("YE"), 0.4, "X90.6")
    d.wire("cab", page, f"{node}.L", Lead("GN"), 0.4, "X90.14")


FUNCTIONS = (
    Function(brake_lamps, 9),
    Function(side_lamps, 26),
    Function(indicators, 33),
    Function(headlamps, 29),
    Function(horns, 7),
    Function(wiper, 12),
    Function(reversing, 13),
)
