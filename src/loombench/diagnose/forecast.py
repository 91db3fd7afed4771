"""What each hypothesis says one would read and see: the contract between the circuit and the weighing of evidence.

A forecast is made for a fixed list of rows (a row is a set of faults, row 0 the sound vehicle). `diagnose.modelled`
makes one by computing the circuit; anything else that keeps this contract will do.
"""

import mmap
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol, TypeVar

import numpy as np
import numpy.typing as npt

from loombench.vehicle.condition import Condition, Setup

FloatArray = npt.NDArray[np.float64]
SingleArray = npt.NDArray[np.float32]
IntArray = npt.NDArray[np.intp]
BoolArray = npt.NDArray[np.bool_]
Real = TypeVar("Real", np.float32, np.float64)


@dataclass(frozen=True, eq=False)
class Readings:
    """[rows, setups] each: lowest and highest value a row may give; nan where there is no answer."""

    low: FloatArray
    high: FloatArray


@dataclass(frozen=True, eq=False)
class Sights:
    """What is seen in one condition. `share` [rows, loads] is each load's volts as a share of what it is made for, for
    a motor negative where it turns the other way, in single precision as most of what is kept of a large vehicle;
    `blown` [rows, fuses] 1 where a fuse is blown, 0 where not, between where it may be either.

    `period_s` [rows, loads] is the time from one coming on to the next, 0 where a load does not pulse, nan where
    that is not known; `astray` [rows, loads] 1 where what it drives stands outside its park; `stops_s` [rows, loads]
    how long it works until a breaker that trips by heat stops it, 0 where none does; `opens_s` [rows, fuses] how long a
    fuse takes to open, 0 where too much current does not open it; `draw_a` [rows, batteries] what each gives.
    """

    loads: tuple[str, ...]
    share: SingleArray
    fuses: tuple[str, ...]
    blown: FloatArray
    batteries: tuple[str, ...]
    period_s: FloatArray
    astray: FloatArray
    stops_s: FloatArray
    opens_s: FloatArray
    draw_a: FloatArray


PAGE_BYTES = 4096
"""A page of memory on most systems."""
MAPPED_BYTES = 1 << 20
"""From so many bytes on a table has its memory from the system by itself."""
_TABLES = ("share", "blown", "period_s", "astray", "stops_s", "opens_s", "draw_a")


def blank_sights(rows: int, loads: tuple[str, ...], fuses: tuple[str, ...], batteries: tuple[str, ...]) -> Sights:
    """Sights of which nothing is known yet, to be filled."""
    found = room_for_sights(rows, loads, fuses, batteries)
    for name in _TABLES:
        getattr(found, name)[:] = np.nan
    return found


def room_for_sights(rows: int, loads: tuple[str, ...], fuses: tuple[str, ...], batteries: tuple[str, ...]) -> Sights:
    """Sights that have room for all rows and mean nothing yet. Columns take memory once there is something other than 0
    in them: in most conditions few loads are lit, fewer pulse, and few fuses blow."""

    def room(columns: tuple[str, ...]) -> FloatArray:
        return _zeros(len(columns), rows, np.float64).T

    share = _zeros(len(loads), rows, np.float32).T
    period_s, astray, stops_s = room(loads), room(loads), room(loads)
    return Sights(
        loads, share, fuses, room(fuses), batteries, period_s, astray, stops_s, room(fuses), room(batteries)
    )  # fmt: skip


def _zeros(columns: int, rows: int, kind: type[Real]) -> npt.NDArray[Real]:
    """[columns, rows] zeros. Pages that were never written are handed out by most systems without any behind them; but
    numpy asks Linux for huge ones where there is much to be had, and one of 2 MiB is many columns long."""
    size = columns * rows * np.dtype(kind).itemsize
    if size < MAPPED_BYTES or sys.platform != "linux":
        return np.zeros((columns, rows), kind)
    pages = mmap.mmap(-1, size, mmap.MAP_PRIVATE | mmap.MAP_ANONYMOUS)
    pages.madvise(mmap.MADV_NOHUGEPAGE)
    return np.frombuffer(pages, kind).reshape(columns, rows)


def taken_bytes(known: Sights, rows: IntArray) -> float:
    """What some rows, ascending, take of the room: the pages in which they have something other than 0."""
    some = slice(None) if len(rows) == len(known.share) else rows
    pages = 0
    for name in _TABLES:
        table = getattr(known, name)
        there, starts = table[some] != 0.0, np.flatnonzero(np.diff(rows // _page_rows(table), prepend=-1))
        pages += int(np.logical_or.reduceat(there, starts, axis=0).sum()) if there.size else 0
    return pages * float(PAGE_BYTES)


def _page_rows(table: npt.NDArray[Real]) -> int:
    """Rows of a column in a page."""
    return PAGE_BYTES // table.itemsize


def fill_rows(table: npt.NDArray[Real], rows: Sequence[int] | IntArray, values: npt.NDArray[np.floating]) -> None:
    """Write some rows of a table with room, `values` [rows, columns]; where that is 0 before and after, nothing is
    touched. A table of few rows takes a page a column however little is in it."""
    if len(table) <= _page_rows(table):
        table[rows] = values
        return
    some = np.flatnonzero((values != 0.0).any(axis=0) | (table[rows] != 0.0).any(axis=0))
    table[np.ix_(np.asarray(rows, dtype=np.intp), some)] = values[:, some]


def copy_rows(to: Sights, rows: Sequence[int] | IntArray, of: Sights, those: Sequence[int] | IntArray) -> None:
    """Fill some rows of sights with those of others."""
    for name in _TABLES:
        fill_rows(getattr(to, name), rows, getattr(of, name)[those])


def fill(to: Sights, rows: Sequence[int] | IntArray, found: Sequence[Sights]) -> None:
    """Fill some rows of sights with those of others, one after the other."""
    if found:
        for name in _TABLES:
            fill_rows(getattr(to, name), rows, np.concatenate([getattr(one, name) for one in found]))


class Forecast(Protocol):
    """Readings and sights of all rows."""

    def readings(self, setups: Sequence[Setup], needed: IntArray | None = None) -> Readings:
        """The readings under each set-up of the rows `needed` (of all where None); others may be nan."""
        ...

    def sights(self, condition: Condition, needed: IntArray | None = None) -> Sights:
        """The loads and fuses in a condition of the rows `needed` (of all where None), nan where there is no answer;
        other rows mean nothing."""
        ...

    def dear(self, condition: Condition) -> BoolArray:
        """[rows] which rows, of those asked for in a condition so far, took many times as long as the others."""
        ...

    def taken_back(self) -> int:
        """How often something that was said before was taken back, an audit having found it wrong."""
        ...
