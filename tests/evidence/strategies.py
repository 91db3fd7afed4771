"""Random events, every field at will: texts with half characters, line ends and quotes, readings without end."""

from hypothesis import strategies as st

from loombench.evidence.codec import STATES
from loombench.evidence.complaint import HISTORIES, PRESENCES, SYMPTOMS, Complaint, History
from loombench.evidence.envelope import Envelope, envelope
from loombench.evidence.events import (
    SIGNERS,
    CaseClosed,
    CaseOpened,
    CodesRead,
    ComplaintGiven,
    ConsentGiven,
    Disturbed,
    HistoryTold,
    LeadsCounted,
    NotAsDrawn,
    Note,
    Observed,
    PartUsed,
    Payload,
    PhotoTaken,
    ReadingTaken,
    ReasonGiven,
    RepairDone,
    Signed,
    StepDeclined,
    TemporaryMeasure,
    Undone,
    Verified,
    WorkClock,
)
from loombench.vehicle.condition import METERS, VERBS, Condition, Operation, Setup
from loombench.vehicle.points import FACE, PIN, WIRE, Point

texts = st.text(st.characters(exclude_categories=()), max_size=40)
words = st.text(min_size=1, max_size=12)
operations = st.builds(Operation, st.sampled_from(VERBS), texts, texts)
conditions = st.builds(Condition, st.lists(operations, max_size=4).map(tuple))
points = st.builds(Point, words, texts, texts, st.sampled_from((WIRE, FACE, PIN)), st.booleans())
numbers = st.floats(allow_nan=False)
finite = st.floats(allow_nan=False, allow_infinity=False)
setups = st.builds(Setup, conditions, points, st.none() | points, st.sampled_from(METERS), finite)
complaints = st.builds(Complaint, texts, st.sampled_from(SYMPTOMS), conditions, texts, st.sampled_from(PRESENCES))
counts = st.integers(1, 10**6)
payloads: st.SearchStrategy[Payload] = st.one_of(
    st.builds(CaseOpened, texts, texts, texts, texts),
    st.builds(ComplaintGiven, complaints),
    st.builds(ReadingTaken, setups, numbers, texts, texts),
    st.builds(Observed, texts, texts),
    st.builds(StepDeclined, texts, texts),
    st.builds(Undone, counts),
    st.builds(RepairDone, texts, texts, texts),
    st.builds(Verified, texts, st.booleans()),
    st.builds(CaseClosed, texts, st.booleans(), texts),
    st.builds(Note, texts),
    st.builds(CodesRead, st.lists(texts, max_size=4).map(tuple), texts, st.none() | conditions),
    st.builds(NotAsDrawn, texts, texts),
    st.builds(Disturbed, texts),
    st.builds(TemporaryMeasure, texts),
    st.builds(PartUsed, texts, texts, texts, st.sampled_from(STATES)),
    st.builds(ReasonGiven, texts),
    st.builds(LeadsCounted, st.booleans()),
    st.builds(WorkClock, st.booleans()),
    st.builds(ConsentGiven, st.floats(0.0, 1e6), texts, texts),
    st.builds(PhotoTaken, texts, texts, texts),
    st.builds(Signed, st.sampled_from(SIGNERS), texts, texts),
    st.builds(HistoryTold, st.builds(History, st.sampled_from(HISTORIES), texts, texts)),
)
envelopes: st.SearchStrategy[Envelope] = st.builds(
    envelope, counts, st.just("2026-03-02T14:05:00+01:00"), texts, texts, payloads
)
