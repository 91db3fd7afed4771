"""A job as one file: what is given out comes back whole, and what is not as it was given out is refused whole."""

import hashlib
import io
import json
import random
import shutil
from pathlib import Path
from unittest.mock import patch

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loombench.app.jobs import back_up, export_job, stored_jobs, take_in, unpack
from loombench.evidence.codec import encode_line
from loombench.evidence.envelope import envelope
from loombench.evidence.events import CaseOpened, Payload
from loombench.record.attachment import attach_as
from loombench.record.jobfile import JobFile, job_lines, read_job
from loombench.record.jsonl import JsonlStore
from loombench.record.sqlite import SqliteStore
from tests.evidence.strategies import payloads
from tests.record.samples import CASE, event
from tests.record.storeexamples import no_growth
from tests.record.test_sqlite import codes, opened

TEXT = b'loombench 1\nvehicle "Barrow" 12V\n'
DIGEST = hashlib.sha256(TEXT).hexdigest()
VEHICLE = attach_as("vehicle", "barrow.circuit", "text/plain", TEXT, DIGEST)
PICTURE = bytes(range(256)) * 40
PHOTO = attach_as("photo", "bay/1.jpg", "image/jpeg", PICTURE)
OPENED = event(1, payload=CaseOpened("Barrow", DIGEST, "E7 dead", "barrow.circuit"))


@pytest.fixture
def store(tmp_path: Path) -> SqliteStore:
    """A store with a job: two entries, the vehicle's text, a photo."""
    made = opened(tmp_path / "jobs.sqlite")
    made.attach(CASE, VEHICLE, TEXT)
    for one in (OPENED, event(2)):
        made.append(one)
    made.attach(CASE, PHOTO, PICTURE)
    return made


def written(store: SqliteStore, folder: Path) -> bytes:
    target = folder / "out.jsonl"
    target.unlink(missing_ok=True)
    assert export_job(store, CASE, target).problems == ()
    return target.read_bytes()


def understood(data: bytes) -> tuple[JobFile | None, list[str]]:
    read = read_job(io.BytesIO(data), "job.jsonl")
    return read.value, codes(read)


@settings(max_examples=30)
@given(st.lists(payloads, min_size=1, max_size=5), st.lists(st.binary(max_size=40), max_size=4))
def test_what_is_written_is_read(given_payloads: list[Payload], given_data: list[bytes]) -> None:
    events = [event(number, "c", payload) for number, payload in enumerate(given_payloads, 1)]
    contents = [(attach_as("file", f"{row}.bin", "x/y", data), data) for row, data in enumerate(given_data)]
    job, said = understood(b"".join(job_lines("c", [encode_line(one) for one in events], contents)))
    assert said == []
    assert job == JobFile("c", tuple((one, encode_line(one)) for one in events), tuple(contents))


def test_a_job_goes_to_another_store_whole(store: SqliteStore, tmp_path: Path) -> None:
    data = written(store, tmp_path)
    other = opened(tmp_path / "other.sqlite")
    assert take_in(other, tmp_path / "out.jsonl").problems == ()
    assert other.read(CASE) == store.read(CASE)
    assert other.attached(CASE) == store.attached(CASE)
    assert other.content(PHOTO).value == PICTURE
    assert written(other, tmp_path) == data
    assert (tmp_path / "out.jsonl").stat().st_mode & 0o777 == 0o600
    assert [line for line in data.decode().splitlines() if '"format":1' in line] == [
        encode_line(one) for one in (OPENED, event(2))
    ]


def test_a_file_that_is_there_is_not_written_over(store: SqliteStore, tmp_path: Path) -> None:
    for act in (lambda path: export_job(store, CASE, path), lambda path: back_up(store, path)):
        target = tmp_path / "kept"
        target.write_text("kept")
        assert codes(act(target)) == ["export-exists"]
        assert target.read_text() == "kept"
        assert codes(act(tmp_path / "none" / "x")) == ["export-unwritten"]
        with no_growth(1000):
            assert codes(act(tmp_path / "full")) == ["export-unwritten"]
    assert sorted(path.name for path in tmp_path.iterdir() if "jobs.sqlite" not in path.name) == ["kept"]


def test_wherever_a_file_breaks_off_nothing_of_it_is_taken_in(store: SqliteStore, tmp_path: Path) -> None:
    data = written(store, tmp_path)
    for size in {*range(0, len(data), 997), *(at for at, byte in enumerate(data) if byte == 10), len(data) - 1}:
        job, said = understood(data[:size])
        assert job is None
        assert said


def test_a_byte_that_was_altered_is_noticed(store: SqliteStore, tmp_path: Path) -> None:
    data, draw = written(store, tmp_path), random.Random(1)
    for at in draw.sample(range(len(data)), 150):
        altered = data[:at] + bytes([data[at] ^ (1 << draw.randrange(8))]) + data[at + 1 :]
        assert understood(altered)[0] is None


@given(st.lists(st.sampled_from([b"{", b"}", b"[", b'"job"', b":1", b",", b'"end"', b'"case":"c"', b"\n", b"\xff"])))
def test_no_bytes_raise(pieces: list[bytes]) -> None:
    assert understood(b"".join(pieces))[0] is None


def sealed(*lines: object) -> bytes:
    """A file with a true end, whatever is in it."""
    body = "".join(f"{line if isinstance(line, str) else json.dumps(line)}\n" for line in lines).encode()
    return body + json.dumps({"end": hashlib.sha256(body).hexdigest()}).encode() + b"\n"


HEAD = {"job": 1, "case": CASE}
ENTRY = encode_line(event(1))
NAMED = {"kind": "photo", "bundle": "", "name": "x.jpg", "media": "image/jpeg", "sha256": DIGEST}


@pytest.mark.parametrize(
    ("lines", "code"),
    [
        (({"job": 2, "case": CASE}, ENTRY), "job-file-newer"),
        (({"job": True, "case": CASE}, ENTRY), "job-file-newer"),
        (({"job": 1, "case": 7}, ENTRY), "job-file-line"),
        ((HEAD,), "job-file-line"),
        ((HEAD, HEAD, ENTRY), "job-file-line"),
        ((HEAD, ENTRY.replace('"format":1', '"format":2')), "event-format"),
        ((HEAD, ENTRY, ENTRY), "record-number"),
        ((HEAD, encode_line(event(1, "other"))), "record-foreign"),
        ((HEAD, "[" * 100_000), "job-file-line"),
        ((HEAD, '{"format":NaN}'), "job-file-line"),
        ((HEAD, ENTRY, {"attached": 3}), "job-file-line"),
        ((HEAD, ENTRY, {"attached": NAMED | {"name": "../../x"}}), "attachment-name"),
        ((HEAD, ENTRY, {"attached": NAMED | {"kind": "program"}}), "attachment-name"),
        ((HEAD, ENTRY, {"attached": NAMED | {"sha256": "\u00e9"}}), "job-file-line"),
        ((HEAD, ENTRY, {"attached": NAMED}), "job-file-content"),
        ((HEAD, ENTRY, {"content": DIGEST, "text": "other"}), "job-file-content"),
        ((HEAD, ENTRY, {"content": DIGEST, "base64": "?"}), "job-file-content"),
        ((HEAD, ENTRY, {"content": DIGEST, "text": "\ud800"}), "job-file-content"),
        ((HEAD, ENTRY, {"content": DIGEST}), "job-file-line"),
        ((HEAD, ENTRY, {"shell": "x"}), "job-file-line"),
        ((HEAD, ENTRY, {"end": "0"}), "job-file-cut"),
    ],
)
def test_what_is_ill_is_refused_even_with_a_true_end(tmp_path: Path, lines: tuple[object, ...], code: str) -> None:
    file = tmp_path / "job.jsonl"
    file.write_bytes(sealed(*lines))
    assert understood(sealed(HEAD, ENTRY))[1] == []
    with file.open("rb") as stream:
        read = read_job(stream, file.name)
    assert read.value is None
    assert codes(read)[-1] == code


@pytest.mark.parametrize("limit", ["MOST_BYTES", "MOST_EVENTS", "MOST_ATTACHED", "LONGEST_LINE", "LONGEST_CONTENT"])
def test_what_is_beyond_a_limit_is_refused(store: SqliteStore, tmp_path: Path, limit: str) -> None:
    data = written(store, tmp_path)
    with patch(f"loombench.record.jobfile.{limit}", 1):
        assert understood(data) == (None, ["job-file-limit"])


def test_a_plain_record_is_taken_in_and_its_text_is_missed(tmp_path: Path) -> None:
    plain = JsonlStore(tmp_path / "cases")
    for one in (OPENED, event(2)):
        plain.append(one)
    store = opened(tmp_path / "jobs.sqlite")
    assert codes(take_in(store, tmp_path / "cases" / f"case-{CASE}.jsonl")) == ["job-no-vehicle"]
    assert store.read(CASE) == plain.read(CASE)


def test_a_job_is_gone_on_with_and_one_that_went_another_way_is_refused(store: SqliteStore, tmp_path: Path) -> None:
    written(store, tmp_path)
    other = opened(tmp_path / "other.sqlite")
    take_in(other, tmp_path / "out.jsonl")
    other.append(event(3))
    written(other, tmp_path)
    known = take_in(store, tmp_path / "out.jsonl")
    assert [(one.code, one.fact("count"), one.fact("more")) for one in known.problems] == [("job-known", "2", "1")]
    assert store.read(CASE).value == (OPENED, event(2), event(3))
    store.append(event(4, payload=event(40).payload))
    other.append(event(4))
    written(other, tmp_path)
    before = store.read(CASE)
    refused = take_in(store, tmp_path / "out.jsonl")
    assert refused.value is None
    assert [(one.code, one.fact("number")) for one in refused.problems] == [("job-differs", "4")]
    assert store.read(CASE) == before


def test_a_job_is_taken_in_whole_or_not_at_all(store: SqliteStore, tmp_path: Path) -> None:
    big = bytes(200_000)
    store.attach(CASE, attach_as("photo", "big.jpg", "image/jpeg", big), big)
    written(store, tmp_path)
    other = opened(tmp_path / "other.sqlite")
    with no_growth(100_000):
        assert take_in(other, tmp_path / "out.jsonl").value is None
    assert (other.cases(), other.attached(CASE).value) == ((), ())
    assert take_in(other, tmp_path / "out.jsonl").problems == ()


def test_a_copy_of_a_store_in_use_is_a_store(store: SqliteStore, tmp_path: Path) -> None:
    done = back_up(store, tmp_path / "copy.sqlite")
    assert done.problems == ()
    assert done.value is not None
    assert (done.value.jobs, done.value.events, done.value.contents) == (1, 2, 2)
    assert (tmp_path / "copy.sqlite").stat().st_mode & 0o777 == 0o600
    assert [path.name for path in tmp_path.iterdir() if "copy" in path.name] == ["copy.sqlite"]
    copy = opened(Path(shutil.copy(tmp_path / "copy.sqlite", tmp_path / "again.sqlite")))
    assert copy.read(CASE) == store.read(CASE)
    assert copy.content(PHOTO).value == PICTURE
    copy.append(event(3))


def test_the_text_last_worked_with_is_written_out(store: SqliteStore, tmp_path: Path) -> None:
    later = TEXT + b"# later\n"
    for name in ("barrow.circuit", "more/lamps.circuit"):
        store.attach(CASE, attach_as("vehicle", name, "text/plain", later, "2"), later)
    files = unpack(store, CASE, tmp_path / "barrow").value
    assert [path.relative_to(tmp_path).as_posix() for path in files] == [
        "barrow/barrow.circuit",
        "barrow/more/lamps.circuit",
    ]
    assert [path.read_bytes() for path in files] == [later, later]
    assert codes(unpack(store, CASE, tmp_path / "barrow")) == ["export-exists"]
    assert codes(unpack(store, "none", tmp_path / "none")) == ["job-unknown"]


def test_the_list_follows_what_was_kept_last_and_not_the_clock(store: SqliteStore) -> None:
    for case, year in (("early", 2030), ("late", 2001)):
        store.append(envelope(1, f"{year}-01-01T00:00:00Z", case, "", OPENED.payload))
    assert [one.case for one in stored_jobs(store).value] == ["late", "early", CASE]
