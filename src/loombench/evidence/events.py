"""What can happen in a case, as frozen values. A case is the list of these; everything else follows by replay.

`PAYLOADS` names every kind; the codec reads and writes exactly these.
"""

import math
from dataclasses import dataclass
from types import MappingProxyType

from loombench.evidence.complaint import Complaint, History
from loombench.vehicle.condition import Condition, Setup


@dataclass(frozen=True)
class CaseOpened:
    """The first event. `digest` is the SHA-256 (hexadecimal) of the vehicle's text as it was then, `complaint` what the
    customer said, word for word, `file` where that text lay, seen from the record's folder."""

    vehicle: str
    digest: str
    complaint: str
    file: str = ""


@dataclass(frozen=True)
class ComplaintGiven:
    """A complaint, or something said to work, as it was understood."""

    complaint: Complaint


@dataclass(frozen=True)
class HistoryTold:
    """Something of the vehicle's history that the customer told."""

    history: History


@dataclass(frozen=True)
class ReadingTaken:
    """What the meter showed under `setup`, in `unit` (V, A, ohm); infinite where an ohmmeter shows an open circuit.

    Raises:
        ValueError: the value is not a number. A surface refuses that before it gets here.
    """

    setup: Setup
    value: float
    unit: str
    note: str = ""

    def __post_init__(self) -> None:
        if math.isnan(self.value):
            raise ValueError("a reading is a number")


@dataclass(frozen=True)
class Observed:
    """Something looked at (`what`: the step's name) and what was `seen`."""

    what: str
    seen: str


@dataclass(frozen=True)
class StepDeclined:
    """A step that cannot be done here, by its name, and why."""

    step: str
    reason: str = ""


@dataclass(frozen=True)
class Undone:
    """The event of that number is taken back. Taking back an `Undone` puts its event in force again."""

    event: int


@dataclass(frozen=True)
class RepairDone:
    """A suspect (`fault`) was put right: how, and with which parts."""

    fault: str
    method: str = ""
    parts: str = ""


@dataclass(frozen=True)
class Verified:
    """After the repair: whether what was complained about (`complaint`: its target) is now as it should be."""

    complaint: str
    ok: bool


@dataclass(frozen=True)
class CaseClosed:
    """The end: the verdict's state, whether it is proven, and the cause where it is."""

    verdict: str
    proven: bool
    cause: str = ""


@dataclass(frozen=True)
class Note:
    """Anything else worth keeping."""

    text: str


@dataclass(frozen=True)
class CodesRead:
    """The fault codes read before anything was disconnected, as they were shown; empty where none was stored. `module`
    is the part they were read from, empty where that was not said; `condition` the state they were stored in, None
    where that is not known."""

    codes: tuple[str, ...]
    module: str = ""
    condition: Condition | None = None


@dataclass(frozen=True)
class NotAsDrawn:
    """The vehicle is not as its drawing says. `change` is the difference as a line of the notation (`size S4.2~E7.1
    2.5mm2`), from then on in force for this case; empty where it is only said in words."""

    text: str
    change: str = ""


@dataclass(frozen=True)
class Disturbed:
    """Something was moved, unplugged or knocked that may have altered the fault: the complaint has to be seen again."""

    note: str = ""


@dataclass(frozen=True)
class TemporaryMeasure:
    """What was done only for the time being, and has to be put right later."""

    text: str


@dataclass(frozen=True)
class PartUsed:
    """A part fitted: `state` is new, used or rebuilt."""

    name: str
    number: str = ""
    quantity: str = "1"
    state: str = "new"


@dataclass(frozen=True)
class ReasonGiven:
    """Why the fault came: water, chafing, a missing clip."""

    text: str


@dataclass(frozen=True)
class LeadsCounted:
    """Whether test leads, bridges and lamps are all out of the vehicle (`out`)."""

    out: bool


@dataclass(frozen=True)
class WorkClock:
    """The clock of the work time was started (`running`) or stopped, by the person and at the event's time."""

    running: bool


@dataclass(frozen=True)
class ConsentGiven:
    """What the customer agreed to before it costs more: `minutes` of work (0: none said), an `amount` as it was said,
    and `who` agreed. The last one counts."""

    minutes: float
    amount: str = ""
    who: str = ""

    def __post_init__(self) -> None:
        if not 0.0 <= self.minutes < math.inf:
            raise ValueError("minutes are a number from 0")


@dataclass(frozen=True)
class PhotoTaken:
    """A photo, kept with the job under its SHA-256 (hexadecimal); `step` is the step on show, empty where none was."""

    sha256: str
    text: str = ""
    step: str = ""


SIGNERS = ("technician", "customer")


@dataclass(frozen=True)
class Signed:
    """Somebody signed for all events before this one: who (`role` of `SIGNERS`), `name`, and the `strokes` drawn, as
    path data of SVG in a field of 1000 by 300; empty where it was signed on paper."""

    role: str
    name: str
    strokes: str = ""


Payload = (
    CaseOpened | ComplaintGiven | ReadingTaken | Observed | StepDeclined
    | Undone | RepairDone | Verified | CaseClosed | Note
    | CodesRead | NotAsDrawn | Disturbed | TemporaryMeasure | PartUsed | ReasonGiven | LeadsCounted | HistoryTold
    | WorkClock | ConsentGiven | PhotoTaken | Signed
)  # fmt: skip

PAYLOADS: MappingProxyType[str, type[Payload]] = MappingProxyType(
    {
        kind.__name__: kind
        for kind in (
            CaseOpened, ComplaintGiven, ReadingTaken, Observed, StepDeclined,
            Undone, RepairDone, Verified, CaseClosed, Note,
            CodesRead, NotAsDrawn, Disturbed, TemporaryMeasure, PartUsed, ReasonGiven, LeadsCounted,
            HistoryTold, WorkClock, ConsentGiven, PhotoTaken, Signed,
        )
    }
)  # fmt: skip
"""Every kind of event by its name."""
