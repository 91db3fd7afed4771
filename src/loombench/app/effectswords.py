"""The effects of single faults in words: rows for a table, the same for CSV, page and terminal."""

import math
from dataclasses import dataclass

from loombench.app.effects import EffectsTable, FaultEffects
from loombench.app.hotwires import HotWire
from loombench.app.suspectwords import fault_text
from loombench.base.quantity import print_quantity
from loombench.base.wording import Catalogue
from loombench.diagnose.effects import Look, Shown
from loombench.diagnose.observation import DEAD, DIM
from loombench.vehicle.model import Vehicle

COLUMNS = ("fault", "fault-id", "state", "seen", "tester", "opens", "hot", "group", "alike", "steps")


@dataclass(frozen=True)
class EffectRow:
    """One fault in one state, each cell as `COLUMNS` name it."""

    cells: tuple[str, ...]

    @property
    def state(self) -> str:
        """The state."""
        return self.cells[COLUMNS.index("state")]


def heads(words: Catalogue) -> tuple[str, ...]:
    """The heads of the columns."""
    return tuple(words.say(f"effects.{name}") for name in COLUMNS)


def effect_rows(vehicle: Vehicle, table: EffectsTable, words: Catalogue) -> tuple[EffectRow, ...]:
    """A row for each fault and state where it shows something; then one for each fault that shows nothing in any."""
    rows = []
    for one in sorted(table.faults, key=lambda fault: not fault.states):
        name, known = fault_text(vehicle, one.fault, words), (f"C{one.group}", str(one.alike), str(one.steps))
        for state, shows, hot in one.states:
            cells = (_seen(shows, words), _tester(shows, words), _opens(shows, words), _hot(hot, words))
            rows.append(EffectRow((name, str(one.fault), state, *cells, *known)))
        if not one.states:
            nothing, where = words.say("effects.nothing"), words.say("effects.any-state")
            rows.append(EffectRow((name, str(one.fault), where, nothing, "", "", "", *known)))
    return tuple(rows)


def count_text(table: EffectsTable, words: Catalogue) -> str:
    """How many there are of what."""
    showing = [one for one in table.faults if one.states]
    single: list[FaultEffects] = [one for one in table.faults if one.alike == 1]
    groups = len({one.group for one in table.faults})
    return words.say(
        "effects.count", faults=len(table.faults), showing=len(showing), states=len(table.states), groups=groups,
        single=len(single),
    )  # fmt: skip


def _seen(shows: Shown, words: Catalogue) -> str:
    if not shows.known:
        return words.say("effects.unsolved")
    found = [words.say("effects.look", load=look.load, word=_word(look, words)) for look in shows.looks]
    found += [
        words.say("effects.draws", battery=battery, more=print_quantity(more_a, "A", 3))
        for battery, more_a in shows.draws
    ]
    return "; ".join(found)


def _word(look: Look, words: Catalogue) -> str:
    key = look.word
    if look.word == DEAD:
        key = "stops"
    elif look.word == DIM:
        key = "glows" if look.sound == DEAD else "dims"
    return words.say(f"effects.{key}")


def _tester(shows: Shown, words: Catalogue) -> str:
    found = []
    for look in shows.looks:
        if look.low_v is None or look.high_v is None or look.sound_v is None:
            continue
        low, high, sound = (print_quantity(volts, "V", 3) for volts in (look.low_v, look.high_v, look.sound_v))
        volts = low if low == high else words.say("effects.read-range", low=low, high=high)
        found.append(words.say("effects.read", load=look.load, volts=volts, sound=sound))
    return "; ".join(found)


def _opens(shows: Shown, words: Catalogue) -> str:
    return "; ".join(
        words.say("effects.opens-in", fuse=fuse, seconds=f"{seconds:.2g}")
        if math.isfinite(seconds)
        else words.say("effects.opens-now", fuse=fuse)
        for fuse, seconds in shows.opens
    )


def _hot(wires: tuple[HotWire, ...], words: Catalogue) -> str:
    return "; ".join(
        words.say(
            "effects.hot-wire", wire=one.wire, current=print_quantity(one.current_a, "A", 3),
            rated=print_quantity(one.rated_a, "A", 3),
        )
        for one in wires
    )  # fmt: skip
