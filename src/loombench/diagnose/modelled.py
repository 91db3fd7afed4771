"""A forecast by computing the circuit: each row's faults in the netlist, the condition replayed, the meter put on.

Rows that change nothing (`diagnose.untouched`) are not solved. Where the points of a voltmeter are tied to each other
by less than a thousandth of its own resistance, it reads what is there without it; elsewhere it is put on and all is
settled again, as `circuit.meter` does.
"""

from collections.abc import Callable, Sequence

import numpy as np
import numpy.typing as npt

from loombench.base.outcome import Outcome
from loombench.circuit.fault import Fault
from loombench.circuit.finding import Chatter
from loombench.circuit.meter import meter, read
from loombench.circuit.netlist import Netlist
from loombench.circuit.observe import Observed, seen
from loombench.circuit.operate import Situation, guess_from, operate
from loombench.circuit.point import OperatingPoint
from loombench.circuit.ready import Ready, ready_for
from loombench.diagnose.forecast import Readings, Sights, blank_sights, copy_rows, room_for_sights
from loombench.diagnose.onemore import cools, gone_on, timed, turns
from loombench.diagnose.tied import tied
from loombench.diagnose.untouched import NO_METER_CURRENT_A, Row, row, untouched
from loombench.diagnose.watched import felt, watched
from loombench.vehicle.condition import Condition, Setup
from loombench.vehicle.model import Vehicle

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.intp]
Lowering = Callable[[Vehicle, tuple[Fault, ...]], Outcome[Netlist]]
PLAIN = ("voltmeter", "min-max", "scope")


class Modelled:
    """The forecast for the rows of a vehicle. It remembers what it has solved; it never forgets within a case.

    Raises:
        ValueError: the sound vehicle itself cannot be lowered.
    """

    def __init__(self, vehicle: Vehicle, faults: Sequence[tuple[Fault, ...]], lowering: Lowering) -> None:
        self.vehicle, self.faults, self.lowering = vehicle, faults, lowering
        sound = lowering(vehicle, ())
        if not sound.usable:
            raise ValueError(f"{vehicle.name} cannot be computed")
        self._sound = ready_for(sound.value)
        self._ready: dict[int, Ready | None] = {0: self._sound}
        self._felt = felt(self._sound.p)
        self._looks: dict[int, Row | None] = {}
        self._situations: dict[tuple[int, Condition], Situation | None] = {}
        self._stages: dict[Condition, tuple[OperatingPoint, ...]] = {}
        self._seen_through: dict[Condition, npt.NDArray[np.bool_]] = {}
        self._values: dict[tuple[int, Setup], tuple[float, float]] = {}
        self._groups: dict[tuple[int, Condition], npt.NDArray[np.intp]] = {}
        self._sights: dict[Condition, Sights] = {}
        self._looked: dict[Condition, npt.NDArray[np.bool_]] = {}
        self._with_meter: dict[Setup, tuple[OperatingPoint, ...] | None] = {}

    def readings(self, setups: Sequence[Setup], needed: IntArray | None = None) -> Readings:
        """The readings of the rows needed; nan for the others, and where there is no answer."""
        rows = range(len(self.faults)) if needed is None else [int(one) for one in needed]
        low = np.full((len(self.faults), len(setups)), np.nan)
        high = low.copy()
        for column, setup in enumerate(setups):
            for one in rows:
                low[one, column], high[one, column] = self._reading(one, setup)
        return Readings(low, high)

    def sights(self, condition: Condition, needed: IntArray | None = None) -> Sights:
        """The loads and fuses of the rows needed, nan where there is no answer; the others mean nothing."""
        known = self._sights.get(condition)
        if known is None:
            known = self._sights[condition] = room_for_sights(len(self.faults), *self._looked_at(condition))
            self._looked[condition] = np.zeros(len(self.faults), dtype=bool)
        rows = range(len(self.faults)) if needed is None else [int(one) for one in needed]
        new = [one for one in rows if not self._looked[condition][one]]
        if new:
            copy_rows(known, new, self.look(condition, new), range(len(new)))
            self._looked[condition][new] = True
        return known

    def look(self, condition: Condition, rows: Sequence[int]) -> Sights:
        """The loads and fuses of some rows alone, in their order; they are not remembered."""
        found = blank_sights(len(rows), *self._looked_at(condition))
        for line, one in enumerate(rows):
            self._look(one, condition, found, line)
        return found

    def _looked_at(self, condition: Condition) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
        """The loads, fuses and batteries of the vehicle."""
        loads = tuple(sight.id for sight in self._seen(0, condition).loads)
        parts = self.vehicle.parts.values()
        fuses = tuple(part.id for part in parts if part.kind in ("fuse", "fuselink", "breaker"))
        batteries = tuple(part.id for part in parts if part.kind == "battery")
        return loads, fuses, batteries

    def dear(self, condition: Condition) -> npt.NDArray[np.bool_]:  # noqa: ARG002
        """None: all rows take about as long."""
        return np.zeros(len(self.faults), dtype=np.bool_)

    def taken_back(self) -> int:
        """Never: it is the reference."""
        return 0

    @property
    def sound(self) -> Ready:
        """The network without faults."""
        return self._sound

    def forget(self) -> None:
        """Drop all networks with faults and where they settled, not what was read and seen there."""
        self._ready = {0: self._sound}
        self._situations = {key: found for key, found in self._situations.items() if key[0] == 0}
        self._groups = {key: found for key, found in self._groups.items() if key[0] == 0}

    def kept(self) -> int:
        """How many networks and places where they settled are held on to."""
        return max(len(self._ready), len(self._situations))

    def solved(self) -> int:
        """How many pairs of row and condition have been solved so far."""
        return len(self._situations)

    def _reading(self, one: int, setup: Setup) -> tuple[float, float]:
        key = (one, setup)
        if key not in self._values:
            same = one != 0 and self._same_reading(one, setup)
            self._values[key] = self._reading(0, setup) if same else self._solve_reading(one, setup)
        return self._values[key]

    def _solve_reading(self, one: int, setup: Setup) -> tuple[float, float]:
        situation = self._situation(one, setup.condition)
        if situation is None:
            return np.nan, np.nan
        node_of = situation.ready.p.netlist.node_of
        if setup.red not in node_of or (setup.black is not None and setup.black not in node_of):
            return np.nan, np.nan
        settled = situation.settled
        if setup.meter in PLAIN and setup.black is not None and not settled.phases and not settled.alternatives:
            red, black = node_of[setup.red], node_of[setup.black]
            across = settled.point.across_v(red, black)
            group = self._group(one, setup.condition, situation)
            if across is not None and group[red] == group[black]:
                return across, across
        shown = read(situation, setup)
        if shown.value is None or shown.low is None or shown.high is None:
            return np.nan, np.nan
        # A meter shows the mean of a rhythm; only what may come out this way or that is a range.
        return (shown.low, shown.high) if settled.alternatives else (shown.value, shown.value)

    def _group(self, one: int, condition: Condition, situation: Situation) -> npt.NDArray[np.intp]:
        key = (one, condition)
        if key not in self._groups:
            self._groups[key] = tied(situation)
        return self._groups[key]

    def _same_reading(self, one: int, setup: Setup) -> bool:
        look = self._row(one)
        if look is None or not self._untouched(look, setup.condition):
            return False
        measured = self._measured(setup)
        return measured is not None and untouched(look, measured, self._felt, NO_METER_CURRENT_A)

    def _measured(self, setup: Setup) -> tuple[OperatingPoint, ...] | None:
        """The sound vehicle with the meter on; None where something chatters then, of whose states one is shown."""
        if setup not in self._with_meter:
            self._with_meter[setup] = self._put_on(setup)
        return self._with_meter[setup]

    def _put_on(self, setup: Setup) -> tuple[OperatingPoint, ...] | None:
        situation = self._situation(0, setup.condition)
        if situation is None or setup.black is None:
            return ()
        netlist = situation.ready.p.netlist
        probe, _ = meter(setup, netlist.node_of[setup.red], netlist.node_of[setup.black], netlist.nominal_v)
        settled = situation.measured(probe)
        if any(isinstance(one, Chatter) for one in settled.findings):
            return None
        return tuple(phase.point for phase in settled.all_phases)

    def _untouched(self, look: Row, condition: Condition) -> bool:
        """Whether a fault changes nothing on the way to a condition."""
        return (
            untouched(look, self._prefixes(condition), self._felt)
            and not self._watched_on_the_way(condition)[look.elements].any()
            and not self._runs_out(condition)
        )

    def _watched_on_the_way(self, condition: Condition) -> npt.NDArray[np.bool_]:
        if condition not in self._seen_through:
            sound = self._ready[0]
            if sound is None:
                raise ValueError(f"{self.vehicle.name} cannot be computed")
            found = np.zeros(len(sound.p.a), dtype=bool)
            for point in self._prefixes(condition):
                found |= watched(sound.p, point)
            self._seen_through[condition] = found
        return self._seen_through[condition]

    def _runs_out(self, condition: Condition) -> bool:
        """Whether a cam was turning when something was set: what it does until parked is no stage that settles."""
        stages = (self._situation(0, Condition(condition.operations[:k])) for k in range(len(condition.operations)))
        return any(stage is not None and turns(stage) for stage in stages)

    def _prefixes(self, condition: Condition) -> tuple[OperatingPoint, ...]:
        """Where the sound vehicle settles after each operation of a condition."""
        if condition not in self._stages:
            count = len(condition.operations)
            found = [self._situation(0, Condition(condition.operations[:k])) for k in range(count + 1)]
            settled = [one.settled for one in found if one is not None]
            ends = [end for one in settled for end in (one, *one.alternatives)]
            self._stages[condition] = tuple(phase.point for end in ends for phase in end.all_phases)
        return self._stages[condition]

    def _row(self, one: int) -> Row | None:
        if one not in self._looks:
            sound = self._ready[0]
            self._looks[one] = row(sound.p.netlist, self.faults[one]) if sound is not None else None
        return self._looks[one]

    def _netlist(self, one: int) -> Ready | None:
        if one not in self._ready:
            lowered = self.lowering(self.vehicle, self.faults[one])
            self._ready[one] = ready_for(lowered.value, self._ready[0]) if lowered.usable else None
        return self._ready[one]

    def _situation(self, one: int, condition: Condition) -> Situation | None:
        key = (one, condition)
        if key not in self._situations:
            ready = self._netlist(one)
            self._situations[key] = self._operated(one, ready, condition) if ready is not None else None
        return self._situations[key]

    def _operated(self, one: int, ready: Ready, condition: Condition) -> Situation:
        """Goes on from the condition one operation shorter where time makes no difference, else from rest."""
        if not condition.operations or timed(ready, condition):
            return operate(ready, condition)
        before = self._before(one, Condition(condition.operations[:-1]))
        if before is None or before.settled.phases or cools(before):
            return operate(ready, condition)
        return gone_on(before, ready, condition.operations[-1], self._guess(one, ready, condition))

    def _guess(self, one: int, ready: Ready, condition: Condition) -> FloatArray | None:
        """Volts across the elements as in the sound vehicle, to start from."""
        if one == 0:
            return None
        sound = self._situation(0, condition)
        if (
            sound is None
            or len(sound.ready.p.a) != len(ready.p.a)
            or sound.ready.p.netlist.nodes != ready.p.netlist.nodes
        ):
            return None
        return guess_from(ready, sound.settled)

    def _before(self, one: int, condition: Condition) -> Situation | None:
        """Where a row stands before the last operation; where the sound vehicle does if it changes nothing so far."""
        look, sound = self._row(one), self._situation(0, condition)
        if sound is not None and look is not None and self._untouched(look, condition):
            same = self._netlist(one)
            if same is not None and same.p.netlist.nodes == sound.ready.p.netlist.nodes:
                return sound
        return self._situation(one, condition)

    def _look(self, one: int, condition: Condition, known: Sights, line: int) -> None:
        look = self._row(one)
        same = one != 0 and look is not None and self._untouched(look, condition)
        view = self._seen(0 if same else one, condition)
        if view.known:
            write_view(view, line, known)

    def _seen(self, one: int, condition: Condition) -> Observed:
        situation = self._situation(one, condition)
        if situation is None:
            return Observed((), (), (), known=False)
        return seen(self.vehicle, situation.ready.p.netlist, situation.settled)


def write_view(view: Observed, one: int, known: Sights) -> None:
    """Fill a row of sights with what is seen."""
    sights = {sight.id: sight for sight in view.loads}
    for column, name in enumerate(known.loads):
        if (sight := sights.get(name)) is not None:
            turned = sight.kind == "motor" and sight.way < 0
            known.share[one, column] = -sight.share if turned else sight.share
            known.period_s[one, column] = sight.period_s
            known.astray[one, column] = sight.astray
            known.stops_s[one, column] = sight.stops_s
    opens, draw = dict(view.opens_s), dict(view.draw_a)
    known.opens_s[one] = [opens.get(name, 0.0) for name in known.fuses]
    known.draw_a[one] = [draw.get(name, np.nan) for name in known.batteries]
    known.blown[one] = [1.0 if name in view.blown else 0.5 if name in view.may_blow else 0.0 for name in known.fuses]
