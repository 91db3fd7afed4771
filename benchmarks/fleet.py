"""Whole vehicles made up by a seed, as folders of .circuit files that can be read and measured.

    python benchmarks/fleet.py WIRES FOLDER [--seed 1]

A vehicle of 24 V with 12 V behind converters: batteries, isolator, main fuses, alternator, starter, lights and signals,
and a superstructure of bays, each with its fuse and relay box, panel, looms, ground studs and equipment. A bus goes
through all controllers. The same wires and seed give the same text; a vehicle has exactly the wires asked for.
"""

import argparse
import math
from pathlib import Path

from benchmarks.fleetbay import FITTINGS, locker_lamp, voltage_lamp
from benchmarks.fleetcab import FUNCTIONS, Cab, cab_of, instruments, main_fuse
from benchmarks.fleetdraw import Drawing, Lead
from benchmarks.fleetpage import Box, Zone

LEAST_WIRES, MOST_WIRES = 60, 7000
BAY_WIRES, CAB_SHARE = 185, 0.6
"""Of what is left after the cab, about so many go into a bay; the most that the cab may take of a small vehicle."""
BAYS = (
    "tool bay", "pump bay", "hose bay", "hydraulic bay", "generator bay", "workshop front", "workshop rear", "galley",
    "saloon front", "saloon rear", "office", "laboratory", "water tank bay", "winch bay", "mast base", "crane base",
    "roof deck", "cable reel bay", "compressor bay", "spray unit", "sweeping unit", "hopper", "conveyor", "gritter",
    "rescue store left", "rescue store right", "command room", "radio room", "wash room", "stage", "measuring room",
    "drying room", "rope store", "lamp mast bay", "foam bay", "battery store",
)  # fmt: skip
ROOMS = frozenset({
    "galley", "saloon front", "saloon rear", "office", "laboratory", "command room", "radio room", "wash room", "stage",
    "measuring room", "drying room",
})  # fmt: skip
NAMES = ("Crew and equipment carrier", "Works unit", "Rescue support vehicle", "Road service unit", "Survey vehicle")
WEATHER = (("outside wet", "from outside"), ("vibrating", "cover with two screws"), ("dirty", "behind a clipped panel"),
           ("", "behind the lining, four clips"), ("wet", "sealed cover, four screws"))  # fmt: skip
CAB_PLACES = """
place battery-tray reach 3min outside dirty "left frame rail, one cover"
place engine-bay   reach 3min hot vibrating "cab tilted and locked"
place bulkhead     reach 2min "front of the cab, service cover"
place frame-head   reach 4min outside wet dirty "frame rail behind the cab, plug bracket"
place cab-box      reach 1min "behind the passenger, two quarter-turn screws"
place dash         reach 1min "rocker panel, two clips"
place column       reach 3min "steering column shroud, three screws"
place pedals       reach 1min dirty "above the pedals"
place gearbox      reach 5min outside hot dirty "from below"
place front-left   reach 2min outside wet "front lamp unit, left"
place front-right  reach 2min outside wet "front lamp unit, right"
place rear-left    reach 2min outside wet vibrating "rear lamp unit, left, two screws"
place rear-right   reach 2min outside wet vibrating "rear lamp unit, right, two screws"
""".strip()
BODIES = "body chassis\nbody cab\nbody engine-block\nbody superstructure"


def made(wires: int, seed: int = 1) -> dict[str, str]:
    """The files of a vehicle, by their path in its folder.

    Raises:
        ValueError: fewer wires than a vehicle needs here, or more than there are bays for.
    """
    if not LEAST_WIRES <= wires <= MOST_WIRES:
        raise ValueError(f"{wires} wires: from {LEAST_WIRES} to {MOST_WIRES}")
    d = Drawing(seed)
    c = cab_of(d)
    instruments(d, c)
    for function in FUNCTIONS:
        if d.wires + function.most <= CAB_SHARE * wires:
            d.block(c.cab.page)
            function.draw(d, c)
    bays = max(1, math.ceil((wires - d.wires) / BAY_WIRES))
    places = []
    for k, name in enumerate(d.chance.sample(BAYS, bays)):
        zone, lines = bay(d, c, k + 1, name)
        places += lines
        fill(d, zone, c.cab, wires, d.wires + (wires - d.wires - d.reserved) // (bays - k), last=k + 1 == bays)
    d.close()
    assert d.wires == wires
    head = [f'vehicle "{d.chance.choice(NAMES)} {seed}" 24V', "colours IEC", "", *_REMARK, ""]
    files = [f'include "circuits/{name}.circuit"' for name in d.pages]
    lines = ["loombench 1", *head, CAB_PLACES, "", *places, "", BODIES, "", *files]
    return {"vehicle.circuit": "\n".join(lines) + "\n"} | {
        f"circuits/{name}.circuit": page.text() for name, page in d.pages.items()
    }


_REMARK = (
    "# Made up by a seed. Numbers tell the bay: E1203 is lamp 3 of bay 12; without hundreds it is the cab's. 30 red,",
    "# 15 is black, 58 grey, ground brown, the bus yellow and green. Each bay has terminal 15 by a relay of its own.",
)


def bay(d: Drawing, c: Cab, number: int, name: str) -> tuple[Zone, list[str]]:
    """A bay with its box, its main fuse and its terminal 15; the lines of its places."""
    loom = name.replace(" ", "-")
    sides = tuple(f"{loom}-{side}" for side in d.chance.sample(("left", "right", "roof", "floor", "rear"), 3))
    page = d.page(loom, f"{name.capitalize()}: its own fuse and relay box; controls on its panel and in the cab.")
    trunk_m = round(2.0 + 0.25 * number, 1)
    zone = Zone(
        number, name, loom, "superstructure", f"{loom}-box", f"{loom}-panel", sides, page, trunk_m, name in ROOMS
    )
    lines = [
        f'place {loom}-box reach 2min "{name}, electric box, one cover"',
        f'place {loom}-panel reach 1min "{name}, panel"',
    ]
    for side in sides:
        words, how = d.chance.choice(WEATHER)
        end = side.rpartition("-")[2]
        lines.append(
            f'place {side} reach {d.chance.randint(2, 6)}min {words} "{name}, {end}, {how}"'.replace("  ", " ")
        )
    link, relay = main_fuse(d, c, zone, name), d.name("K", zone)
    zone.box = Box(d.name("B", zone), zone.box_place, f"{name}, fuses and relays", {"30": ("in", [f"{relay}.30"])})
    page.boxes.append(zone.box)
    zone.box.bars["15"] = f"{relay}.87", []
    zone.box.parts.append(f'relay {relay} make 30 85 86 87 70A diode 86 "terminal 15, {name}"')
    main = Lead("RD", 80.0, 40.0)
    d.wire("frame", page, link, main, round(1.0 + 0.2 * number, 1), f"{zone.box.id}.in")
    at = d.into(zone, c.cab, d.feeds(c.cab), Lead("BK"))
    d.wire(loom, page, at, Lead("BK"), 0.4, f"{relay}.86")
    d.ground(loom, zone, f"{relay}.85", zone.box_place, Lead("BN"))
    voltage_lamp(d, zone, c.cab, "15")
    return zone, lines


def fill(d: Drawing, zone: Zone, cab: Zone, wires: int, until: int, last: bool) -> None:
    """Fit equipment until about as many wires are drawn; the last bay makes them exactly as many as wanted."""
    while d.wires < until:
        left = wires - d.wires - d.reserved
        fitting = [one for one in FITTINGS if one.most + 2 <= left]
        if not fitting:
            break
        d.block(zone.page)
        d.chance.choices(fitting, [one.often for one in fitting])[0].draw(d, zone, cab)
    while last and (left := wires - d.wires - d.reserved):
        d.block(zone.page)
        (voltage_lamp if left in (2, 4) else locker_lamp)(d, zone, cab)


def write(wires: int, seed: int, folder: Path) -> Path:
    """Write a vehicle into a folder; the path of its main file."""
    for name, text in made(wires, seed).items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return folder / "vehicle.circuit"


def main() -> None:
    """Write one."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("wires", type=int)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    print(write(given.wires, given.seed, given.folder))


if __name__ == "__main__":
    main()
