"""What one worker keeps between questions: vehicles as read, their drawings, cases under way; the oldest go first.

A vehicle is read again where one of its files is another than when it was read. A case takes in what others have added
to it in the store before anything is done with it.
"""

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from loombench.app.ahead import StoppedError
from loombench.app.cards import StepCard
from loombench.app.case import Case
from loombench.app.circuits import Circuits
from loombench.app.desk.asking import Asked
from loombench.app.desk.drafts import Drafts
from loombench.app.desk.shelf import MAIN, SUFFIX, Shelved, shelf
from loombench.app.drawing import Drawings, cache_folder, layouts_here
from loombench.app.finding import resumed
from loombench.app.jobs import Gathering, SqliteStore, open_store, unpack
from loombench.app.livepages import LivePages
from loombench.app.practiceround import Table
from loombench.app.search import take_up
from loombench.app.vehicles import Opened, open_vehicle
from loombench.base.outcome import Outcome
from loombench.base.problems import error
from loombench.diagnose.piecewise import piecewise
from loombench.draw.layout.arrange import Layouts
from loombench.evidence.events import CaseOpened, NotAsDrawn, Undone
from loombench.vehicle.condition import Condition

VEHICLES_KEPT = 6
CASES_KEPT = 2
"""The bench of a large vehicle is most of a worker's memory."""
UNPACKED = "unpacked"
"""The folder beside the store for vehicles that are there only as the text kept with a job."""


@dataclass(frozen=True)
class DeskPlace:
    """Where a desk finds things: the folder of vehicles and the file of the store."""

    folder: Path
    store: Path


@dataclass(frozen=True, eq=False)
class OnDesk:
    """A vehicle that was read, with its drawings."""

    shelved: Shelved
    opened: Opened
    drawings: Drawings

    @cached_property
    def circuits(self) -> Circuits:
        """What was computed of it so far."""
        return Circuits(self.opened.vehicle)

    @cached_property
    def live(self) -> LivePages:
        """Its drawings as they follow the state."""
        return LivePages(self.drawings)

    @cached_property
    def table(self) -> Table:
        """Where rounds of practice are played on it."""
        return Table(self.circuits)


class Desk:
    """What is kept for the vehicles and jobs of a place."""

    def __init__(self, place: DeskPlace) -> None:
        self.place = place
        self._vehicles: OrderedDict[str, tuple[object, OnDesk]] = OrderedDict()
        self._cases: OrderedDict[str, tuple[Opened, Case]] = OrderedDict()
        self._store: SqliteStore | None = None
        self._asked = Asked()
        self.cards: dict[str, tuple[int, StepCard | None]] = {}
        """The card on show of each case, with the number of the last event it follows from."""
        self.followed: dict[str, int] = {}
        """The number of the last event of each case whose card was followed to the next ones."""

    def shelf(self) -> Outcome[tuple[Shelved, ...]]:
        """The vehicles there are now."""
        return shelf(self.place.folder)

    @cached_property
    def drafts(self) -> Drafts:
        """Texts under way in an editor."""
        return Drafts()

    @cached_property
    def layouts(self) -> Layouts:
        """The layout engine, started when it is needed first."""
        return layouts_here(cache_folder())

    def store(self) -> Outcome[SqliteStore | None]:
        """The store of jobs; opened when it is needed first, and again where that failed."""
        if self._store is not None:
            return Outcome(self._store)
        opened = open_store(self.place.store)
        if opened.value is not None and opened.value.barred is None:
            self._store = opened.value
        return opened

    def vehicle(self, name: str) -> Outcome[OnDesk | None]:
        """The vehicle of that address, as its files are now."""
        found = next((one for one in self.shelf().value if one.id == name), None)
        if found is None:
            return Outcome(None, (error("desk-vehicle-unknown", name=name[:80]),))
        return Outcome(self._read(found))

    def _read(self, shelved: Shelved) -> OnDesk:
        kept = self._vehicles.pop(shelved.id, None)
        if kept is None or kept[0] != _stamp(kept[1].opened, shelved.file):
            opened = open_vehicle(str(shelved.file))
            kept = (_stamp(opened, shelved.file), OnDesk(shelved, opened, Drawings(opened.vehicle)))
        self._vehicles[shelved.id] = kept
        while len(self._vehicles) > VEHICLES_KEPT:
            self._vehicles.popitem(last=False)
        return kept[1]

    def case(self, name: str, asked: Asked) -> Outcome[Case | None]:
        """A case with all its events so far. Its vehicle is read from where it lies, else from what the store keeps.
        What is worked out in it from now on is for who asks: it tells how far it is and is left where nobody waits."""
        self._asked = asked
        opened = self.store()
        if opened.value is None:
            return Outcome(None, opened.problems)
        kept = self._cases.pop(name, None)
        if kept is not None:
            case = self._caught_up(kept[1], opened.value)
            if case is not None:
                self._cases[name] = (kept[0], case)
                return Outcome(case)
        return self._taken_up(name, opened.value)

    def keep(self, case: Case) -> None:
        """Go on from this case the next time."""
        kept = self._cases.pop(case.id, None)
        if kept is not None:
            self.put(kept[0], case)

    def put(self, opened: Opened, case: Case) -> None:
        """Keep a case that was begun here."""
        bench = piecewise(case.bench, self._between)
        self._cases[case.id] = (opened, case if bench is case.bench else replace(case, bench=bench))
        while len(self._cases) > CASES_KEPT:
            self._cases.popitem(last=False)

    def latest(self, asked: Asked) -> Case | None:
        """The case that was used last, as it was left."""
        self._asked = asked
        return next((case for _, case in reversed(self._cases.values())), None)

    def _between(self, condition: Condition, done: int, of: int) -> None:
        """What stands between two pieces of a long question."""
        if self._asked.stopped():
            raise StoppedError
        if done < of:
            self._asked.tell(self._asked.words.say("web.working-out", state=condition, share=f"{done / of:.0%}"))

    @staticmethod
    def _caught_up(case: Case, store: SqliteStore) -> Case | None:
        """The case with what others added; None where that asks for reading it anew."""
        if store.next_number(case.id) == case.following:
            return case
        read = store.read(case.id)
        fresh = [one for one in read.value if one.number >= case.following]
        if read.problems or any(isinstance(one.payload, NotAsDrawn | Undone) for one in fresh):
            return None
        for event in fresh:
            case = resumed(case, event)
        return case

    def _taken_up(self, name: str, store: SqliteStore) -> Outcome[Case | None]:
        read = store.read(name)
        if not read.value:
            return Outcome(None, read.problems or (error("job-unknown", case=name[:80], known=""),))
        first = read.value[0].payload
        file = lying(store.file, first.file) if isinstance(first, CaseOpened) else None
        if file is None:
            file = self._unpacked(name, store)
        if file is None:
            return Outcome(None, (error("job-no-vehicle", case=name[:80]),))
        opened = open_vehicle(str(file))
        if opened.broken:
            return Outcome(None, opened.problems)
        taken = take_up(opened, read.value, Gathering(store))
        if taken.value is None:
            return Outcome(None, (*read.problems, *taken.problems))
        self.put(opened, taken.value)
        return Outcome(self._cases[name][1], (*read.problems, *taken.problems))

    def _unpacked(self, name: str, store: SqliteStore) -> Path | None:
        folder = store.file.parent / UNPACKED / name
        if not folder.exists():
            written = unpack(store, name, folder).value
            return written[0] if written else None
        return next(
            iter(sorted(folder.glob("*.circuit"), key=lambda one: (one.name != "vehicle.circuit", one.name))), None
        )


def lying(store: Path, told: str) -> Path | None:
    """Where the vehicle of a job lies, as the job tells it from the store's folder; None where no vehicle is there. A
    job may come from elsewhere: what it names is opened only where it is called a circuit file, or holds one."""
    try:
        file = (store.parent / told).resolve()
        whole = file.is_dir() and (file / MAIN).is_file()
        return file if whole or (file.suffix == SUFFIX and file.is_file()) else None
    except (OSError, ValueError, RuntimeError):
        return None


def _stamp(opened: Opened, file: Path) -> object:
    """Size and time of each file that was read, as they are now."""
    base = file.parent
    found = []
    for name in sorted({*opened.sources, str(file)}):
        path = next((one for one in (Path(name), base / name) if one.exists()), None)
        seen = path.stat() if path is not None else None
        found.append((name, (seen.st_size, seen.st_mtime_ns) if seen else None))
    return tuple(found)


Task = Callable[..., object]
"""A question: called with the desk, an `Asked` and its own arguments by name; its answer can be pickled."""
