"""Where rings are bolted: proposals of studs, battery posts and posts that several rings share."""

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping

from loombench.exchange.assembly.meanings import GROUND, MINUS, PLUS, Hint, hint, is_battery, is_ground
from loombench.exchange.assembly.names import near_name
from loombench.exchange.assembly.plan import Pin, Plan, pins_text
from loombench.exchange.harness import Holder, Spot
from loombench.exchange.missing import RING, Lack

BODY, BATTERY_ID = "chassis", "G1"
Proposal = tuple[str, str, str, tuple[tuple[str, str], ...]]
"""An answer, its pins, and why: the key of a sentence with its facts."""
_PREFIXED = re.compile(r"[A-Z]([A-Z]+\d+)")
"""A letter for the ring before the name of its stud: AG7 and BG7 on G7 (a usual rule)."""


def post_or_stud(name: str, signals: Iterable[str], told: Hint | None) -> Proposal | None:
    """Where what has this name and these signals may be bolted; None where neither says a ground nor a battery."""
    said = tuple(signals)
    if told is not None and told.meaning == MINUS:
        return f"{BATTERY_ID}.-", "", "battery-word", (("word", told.word),)
    if told is not None and told.meaning == PLUS:
        return f"{BATTERY_ID}.+", "", "battery-word", (("word", told.word),)
    if told is not None and told.meaning == GROUND:
        return f"stud {near_name(name, 'W')} on {BODY}", "", "ground-word", (("word", told.word),)
    if is_ground(said):
        return f"stud {near_name(name, 'W')} on {BODY}", "", "ground-signal", (("signals", ", ".join(said)),)
    if is_battery(said):
        return f"{BATTERY_ID}.+", "", "battery-signal", (("signals", ", ".join(said)),)
    return None


def ring_lacks(plan: Plan) -> list[Lack]:
    """Where each ring is bolted, but for those of which the files say stud and metal."""
    asked = [item for item in plan.rings if not (item.stud and item.body)]
    called: dict[str, int] = defaultdict(int)
    for item in plan.rings:
        called[_name(item)] += 1
    shared = _shared(asked)
    return [_ring(item, plan, called, shared) for item in asked]


def _name(item: Holder) -> str:
    return item.stud or item.name or item.id


def _shared(rings: Iterable[Holder]) -> Mapping[str, tuple[str, int]]:
    """The stud that rings of several names may share, and how many do.

    By a letter before the stud's name, where what is said of them does not differ, or by what is said with a number.
    """
    stems: dict[str, list[Holder]] = defaultdict(list)
    said: dict[str, list[Holder]] = defaultdict(list)
    for item in rings:
        prefixed = _PREFIXED.fullmatch(_name(item))
        if prefixed:
            stems[prefixed[1]].append(item)
        words = " ".join(item.description.casefold().split())
        if any(mark.isdigit() for mark in words):
            said[words].append(item)
    found: dict[str, tuple[str, int]] = {}
    for members in said.values():
        if len({_name(item) for item in members}) > 1:
            found.update({item.id: (_name(members[0]), len(members)) for item in members})
    for stem, members in stems.items():
        if len({_name(item) for item in members}) > 1 and len({item.description for item in members} - {""}) < 2:
            found.update({item.id: (stem, len(members)) for item in members})
    return found


def _ring(item: Holder, plan: Plan, called: Mapping[str, int], shared: Mapping[str, tuple[str, int]]) -> Lack:
    name = _name(item)
    pins = [Pin(cavity, (), plan.spots[Spot(item.id, cavity)]) for cavity in plan.used.get(item.id, ())]
    signals = tuple(dict.fromkeys(signal for pin in pins for signal in pin.signals))
    told = hint(f"{name} {item.description}")
    if told is not None and told.meaning not in (GROUND, PLUS, MINUS):
        told = hint(name)
    found = post_or_stud(name, signals, told)
    if found is not None and found[0].startswith("stud ") and item.id in shared:
        stud, count = shared[item.id]
        found = f"stud {near_name(stud, 'W')} on {BODY}", "", "same-stud", (("count", str(count)), ("name", stud))
    if found is None and called[name] > 1:
        found = (f"post {near_name(name, 'W')}", "", "same-name", (("count", str(called[name])), ("name", name)))
    text, _, because, facts = found or ("", "", "ring-unknown", ())
    return Lack(RING, item.id, pins_text(pins), item.description, text, "", because, facts,
                item.place, item.description, item.span)  # fmt: skip
