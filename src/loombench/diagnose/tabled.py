"""A forecast by port tables (`circuit.tables`), and by the reference (`diagnose.modelled`) for what no table covers.

A sample of what the tables say is worked out by the reference too, always and by a seed. Where the two differ the
tables are not used for that condition any more, and `counts` says so.
"""

from collections.abc import Iterable, Sequence

import numpy as np
import numpy.typing as npt

from loombench.base.heap import give_back
from loombench.circuit.fault import Fault
from loombench.circuit.lower import LoweringOf
from loombench.circuit.meter import by_current, meter
from loombench.circuit.observe import loads_of, seen
from loombench.circuit.tables.change import Change, change_of, difference
from loombench.circuit.tables.course import Course, End
from loombench.circuit.tables.tables import Tables
from loombench.circuit.tables.views import looked
from loombench.diagnose.audit import Audit
from loombench.diagnose.column import BYTES_A_ROW, Column
from loombench.diagnose.detached import joints, touches
from loombench.diagnose.ends import may_be_shown, see, shown
from loombench.diagnose.forecast import Readings, Sights, blank_sights, copy_rows, fill, room_for_sights, taken_bytes
from loombench.diagnose.modelled import PLAIN, Lowering, Modelled, write_view
from loombench.diagnose.room import Room
from loombench.vehicle.condition import Condition, Setup
from loombench.vehicle.model import Vehicle

IntArray = npt.NDArray[np.intp]
BoolArray = npt.NDArray[np.bool_]
FloatArray = npt.NDArray[np.float64]

ROWS_AUDITED = 2
"""In each condition, when it is first looked at."""
AUDITED_EVERY = 16
"""Of so many set-ups one row of one is read by the reference too."""
AT_A_TIME = 64
"""Rows that the reference is asked for at once."""
ANEW_BYTES, ANEW_BYTES_EACH = 32e6, 4.0
"""What networks that tables factor anew may take, and what one takes by node and element: so many rows go through a
condition together."""
MOST_KEPT_WAYS = 20_000
"""Of so many rows the ways into a condition are not kept once all have gone them, only where each ended."""
KEPT_BYTES, ELEMENT_BYTES = 64e6, 250.0
"""What the networks with faults that the reference keeps may take, and what one takes by element (measured)."""


class TabledForecast:
    """The forecast for the rows of a vehicle.

    Raises:
        ValueError: the sound vehicle itself cannot be lowered.
    """

    def __init__(
        self,
        vehicle: Vehicle,
        faults: Sequence[tuple[Fault, ...]],
        lowering: Lowering,
        seed: int = 0,
        room: Room | None = None,
    ) -> None:
        self.vehicle, self.faults, self.lowering = vehicle, faults, lowering
        self.reference = Modelled(vehicle, faults, lowering)
        self._audit = Audit(vehicle, faults, lowering, self.reference.sound, seed)
        self.counts = self._audit.counts
        self.room = room if room is not None else Room()
        self._columns: dict[Condition, dict[Setup, Column]] = {}
        self._rows_read: dict[Condition, int] = {}
        self._columns_made = 0
        self._sights: dict[Condition, Sights] = {}
        self._looked: dict[Condition, BoolArray] = {}
        self._seen_bytes: dict[Condition, float] = {}
        self._kept_bytes: dict[Condition, float] = {}
        netlist = self.reference.sound.p.netlist
        batteries = [part.id for part in vehicle.parts.values() if part.kind == "battery"]
        parts = vehicle.parts.values()
        self._fuses = tuple(part.id for part in parts if part.kind in ("fuse", "fuselink", "breaker"))
        self._joints = joints(netlist)
        self._where = looked(netlist, loads_of(vehicle, netlist), batteries)
        self.tables = Tables(self.reference.sound, self._change, self._where.places.tolist())
        self._edits = lowering if isinstance(lowering, LoweringOf) and lowering.vehicle is vehicle else None

    def readings(self, setups: Sequence[Setup], needed: IntArray | None = None) -> Readings:
        """The readings of the rows needed; nan for the others, and where there is no answer."""
        wanted = self._wanted(needed)
        low = np.full((len(self.faults), len(setups)), np.nan)
        high = low.copy()
        for place, setup in enumerate(setups):
            column = self._column(setup)
            new = column.unknown(wanted)
            if len(new):
                self._read(setup, column, new)
            self._use(setup.condition, len(new) > 0)
            low[column.rows, place], high[column.rows, place] = column.low, column.high
        return Readings(low, high)

    def sights(self, condition: Condition, needed: IntArray | None = None) -> Sights:
        """The loads and fuses of the rows needed, nan where there is no answer; the others mean nothing."""
        if condition not in self._sights:
            names = tuple(load.id for load in self._where.loads)
            self._sights[condition] = room_for_sights(len(self.faults), names, self._fuses, self._where.batteries)
            self._looked[condition] = np.zeros(len(self.faults), dtype=np.bool_)
        wanted = self._wanted(needed)
        new = wanted[~self._looked[condition][wanted]]
        if len(new):
            self._look(condition, new)
        self._use(condition, len(new) > 0)
        return self._sights[condition]

    def drop(self, condition: Condition) -> None:
        """Let go of all that is kept of a condition."""
        self._sights.pop(condition, None)
        self._looked.pop(condition, None)
        self._seen_bytes.pop(condition, None)
        self._kept_bytes.pop(condition, None)
        self._columns.pop(condition, None)
        self._rows_read.pop(condition, None)
        self.tables.drop(condition)

    def _use(self, condition: Condition, more: bool) -> None:
        """A condition is used, of which `more` has been worked out or not."""
        if more or condition not in self._kept_bytes:
            read_bytes = self._rows_read.get(condition, 0) * BYTES_A_ROW
            seen_bytes = self._seen_bytes.get(condition, 0.0)
            self._kept_bytes[condition] = seen_bytes + read_bytes + self.tables.kept_bytes(condition)
            self.room.heap.look()
        self.room.use(self, condition, self._kept_bytes[condition])

    def _column(self, setup: Setup) -> Column:
        known = self._columns.setdefault(setup.condition, {})
        if setup not in known:
            known[setup] = Column()
            self._columns_made += 1
        return known[setup]

    def dear(self, condition: Condition) -> BoolArray:
        """The rows that go no way of others: each is gone with by itself, or the reference is asked for it."""
        found = np.zeros(len(self.faults), dtype=np.bool_)
        found[list(self.tables.without_end(condition))] = True
        return found

    def taken_back(self) -> int:
        """In how many conditions tables were found wrong."""
        return len(self.counts.distrusted)

    def _wanted(self, needed: IntArray | None) -> IntArray:
        return np.arange(len(self.faults)) if needed is None else np.asarray(needed, dtype=np.intp)

    def _change(self, row: int) -> Change | None:
        sound = self.reference.sound.p.netlist
        if self._edits is not None:
            edited = self._edits.edit(self.faults[row])
            return change_of(sound, edited.value) if edited.usable else None
        lowered = self.lowering(self.vehicle, self.faults[row])
        return difference(sound, lowered.value) if lowered.usable else None

    def _look(self, condition: Condition, rows: IntArray) -> None:
        known, looked = self._sights[condition], self._looked[condition]
        leading: dict[int, list[int]] = {}
        for row in rows.tolist():
            leading.setdefault(self.tables.like(row), []).append(row)
        first = condition not in self.counts.distrusted and not looked.any()
        left = [one for one in leading if not looked[one]]
        ended: list[int] = []
        netlist = self.reference.sound.p.netlist
        step = max(1, int(ANEW_BYTES / (ANEW_BYTES_EACH * (netlist.nodes + len(netlist.elements)))))
        for start in range(0, len(left), step):
            some = left[start : start + step]
            ended += self._look_at_some(known, condition, some)
            looked[some] = True
            self.room.heap.look()
        for one, alike in leading.items():
            others = [row for row in alike if row != one]
            if others:
                copy_rows(known, others, known, [one] * len(others))
            looked[alike] = True
        if looked.all() and len(looked) >= MOST_KEPT_WAYS:
            self.tables.arrived(condition)
            give_back()
        self._seen_bytes[condition] = self._seen_bytes.get(condition, 0.0) + taken_bytes(known, rows)
        if first and len(ended) > 1:
            self._audit_sights(condition, ended)

    def _look_at_some(self, known: Sights, condition: Condition, rows: Sequence[int]) -> list[int]:
        """Fill in some rows; those that tables had an answer for."""
        ends = self._ends(condition, rows)
        groups = _by_course(ends.values())
        found = [see(self._where, known, course, some) for course, some in groups.items()]
        fill(known, [end.row for some in groups.values() for end in some], found)
        known_of = [*ends, *(one for one in rows if one not in ends and self._led(known, condition, one))]
        self.tables.tidy()
        self.counts.tabled += len(known_of)
        done = frozenset(known_of)
        rest = [one for one in rows if one not in done]
        self.counts.fell_back("sights", len(rest))
        if rest:
            self._copy(known, condition, rest)
        return known_of

    def _led(self, known: Sights, condition: Condition, row: int) -> bool:
        """Fill in a row that went a way of its own, if the tables took it there."""
        settled = None if condition in self.counts.distrusted else self.tables.led(condition, row)
        if settled is None:
            return False
        view = seen(self.vehicle, self.reference.sound.p.netlist, settled, self._where.loads)
        if view.known:
            there = blank_sights(1, known.loads, known.fuses, known.batteries)
            write_view(view, 0, there)
            fill(known, [row], [there])
        return view.known

    def _ends(self, condition: Condition, rows: Sequence[int]) -> dict[int, End]:
        return {} if condition in self.counts.distrusted else dict(self.tables.ends(condition, rows))

    def _copy(self, known: Sights, condition: Condition, rows: Sequence[int]) -> None:
        """By the reference, a few at a time so that not all of their networks are kept."""
        for start in range(0, len(rows), AT_A_TIME):
            some = rows[start : start + AT_A_TIME]
            copy_rows(known, some, self.reference.look(condition, some), range(len(some)))
            self._limit()

    def _limit(self) -> None:
        """Let the reference forget where it keeps too much."""
        if self.reference.kept() * len(self.reference.sound.p.a) * ELEMENT_BYTES > KEPT_BYTES:
            self.reference.forget()

    def _read(self, setup: Setup, column: Column, rows: IntArray) -> None:
        """Fill in rows that are not known yet."""
        left = self._read_apart(setup, column, rows)
        place_of = {row: k for k, row in enumerate(left.tolist())}
        low = np.full(len(left), np.nan)
        netlist = self.reference.sound.p.netlist
        ends = self._ends(setup.condition, left.tolist()) if len(left) and may_be_shown(netlist, setup) else {}
        groups = list(_by_course(ends.values()).items())
        for (_, some), value in zip(groups, shown(netlist, setup, groups), strict=True):
            low[[place_of[end.row] for end in some]] = value
        self._read_onward(setup, left, low)
        high = low.copy()
        tabled = left[~np.isnan(low)].tolist()
        rest = left[~np.isin(left, tabled)]
        self.counts.tabled += len(tabled)
        self.counts.fell_back("readings", len(rest))
        for start in range(0, len(rest), AT_A_TIME):
            few = rest[start : start + AT_A_TIME]
            found, places = self.reference.readings((setup,), few), [place_of[row] for row in few.tolist()]
            low[places], high[places] = found.low[few, 0], found.high[few, 0]
            self._limit()
        column.put(left, low, high)
        self._rows_read[setup.condition] = self._rows_read.get(setup.condition, 0) + len(rows)
        if len(tabled) > 1 and self._columns_made % AUDITED_EVERY == 1:
            self._audit_reading(setup, column, tabled)

    def _read_onward(self, setup: Setup, rows: IntArray, low: FloatArray) -> None:
        """Fill in, of rows that were followed, those that end nowhere or that the meter sets something going in."""
        netlist, places = self.reference.sound.p.netlist, np.flatnonzero(np.isnan(low))
        law = by_current(setup)
        if not len(places) or setup.condition in self.counts.distrusted or law is None or setup.black is None:
            return
        if may_be_shown(netlist, setup):
            probe, _ = meter(setup, netlist.node_of[setup.red], netlist.node_of[setup.black], netlist.nominal_v)
            low[places] = self.tables.metered(
                setup.condition, rows[places].tolist(), probe, law, as_is=setup.meter in PLAIN
            )

    def _read_apart(self, setup: Setup, column: Column, rows: IntArray) -> IntArray:
        """Fill in the rows whose faults have nothing to do with a piece that is taken apart; those that are left."""
        netlist = self.reference.sound.p.netlist
        ends = [netlist.node_of.get(point) for point in (setup.red, setup.black) if point is not None]
        if setup.condition in self.counts.distrusted or any(end is None for end in ends) or setup.black is None:
            return rows
        inputs = self.tables.sound_situation(setup.condition).inputs
        piece = self._joints.detached(inputs, [end for end in ends if end is not None])
        if piece is None:
            return rows
        away = [row != 0 and not touches(netlist, piece, self.tables.change(row)) for row in rows.tolist()]
        beside, left = rows[np.array(away, dtype=np.bool_)], rows[~np.array(away, dtype=np.bool_)]
        if len(beside):
            sound = np.zeros(1, dtype=np.intp)
            if len(column.unknown(sound)):
                self._read(setup, column, sound)
                left = left[left != 0]
            usual = np.full(len(beside), column.of(0))
            column.put(beside, usual, usual)
            self.counts.apart += len(beside)
        return left

    def _audit_sights(self, condition: Condition, rows: Sequence[int]) -> None:
        some = self._audit.sampled(rows, ROWS_AUDITED, (len(self._sights),))
        fine = [self._audit.sights(self._sights[condition], row, condition) for row in some]
        if not all(fine):
            again = np.flatnonzero(self._looked[condition])
            self._distrust(condition)
            self._look(condition, again)

    def _audit_reading(self, setup: Setup, column: Column, rows: Sequence[int]) -> None:
        (row,) = self._audit.sampled(rows, 1, (self._columns_made, len(self._sights)))
        if not self._audit.reading(column.of(row), row, setup):
            again = column.rows
            self._distrust(setup.condition)
            self._read(setup, column, again)

    def _distrust(self, condition: Condition) -> None:
        """Forget what tables said of a condition; from now on the reference is asked for it."""
        self.counts.distrusted.append(condition)
        for column in self._columns.get(condition, {}).values():
            column.clear()
        if condition in self._looked:
            self._looked[condition][:] = False
            self._seen_bytes.pop(condition, None)


def _by_course(ends: Iterable[End]) -> dict[Course, list[End]]:
    found: dict[Course, list[End]] = {}
    for end in ends:
        found.setdefault(end.course, []).append(end)
    return found
