"""A job as one file: JSON lines, to be sent on, kept away, or taken in elsewhere.

    {"job": 1, "case": "2026-014"}                     the version of this form, the job's name
    {"format": 1, "number": 1, ...}                    its events, each line as in a plain record
    {"attached": {"kind": "vehicle", ...}}             what belongs to it, by name and SHA-256
    {"content": "<SHA-256>", "text": "..."}            each content once; "base64" where it is no text
    {"end": "<SHA-256>"}                               of all the bytes before this line

Without the last line a file broke off. A plain record of a folder, which has events alone, is read as well. A file from
elsewhere may be anything: it is read line by line within limits, and taken whole or not at all.
"""

import base64
import binascii
import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import BinaryIO

from loombench.base.outcome import Outcome, errors
from loombench.base.problems import Problem, Span, error, warning
from loombench.evidence.codec import decode
from loombench.evidence.envelope import Envelope
from loombench.evidence.fields import LONGEST_TEXT, shown
from loombench.record.attachment import LARGEST, Attached, unfit
from loombench.record.clock import clock_warnings
from loombench.record.lines import LONGEST_LINE

VERSION = 1
MOST_EVENTS = 100_000
MOST_ATTACHED = 5_000
MOST_BYTES = 500_000_000
LONGEST_CONTENT = 4 * LARGEST
"""Bytes of a content's line: base64 makes three bytes four, JSON a text of control characters six times as long."""


@dataclass(frozen=True)
class JobFile:
    """A job as it is in a file: its name, each event with its line, each thing that belongs to it with its bytes."""

    case: str
    entries: tuple[tuple[Envelope, str], ...]
    contents: tuple[tuple[Attached, bytes], ...]


def job_lines(case: str, lines: Iterable[str], contents: Iterable[tuple[Attached, bytes]]) -> Iterator[bytes]:
    """The lines of a job's file, each with its end."""
    seal = hashlib.sha256()
    for line in _body(case, lines, contents):
        data = line.encode() + b"\n"
        seal.update(data)
        yield data
    yield _json({"end": seal.hexdigest()}).encode() + b"\n"


def _body(case: str, lines: Iterable[str], contents: Iterable[tuple[Attached, bytes]]) -> Iterator[str]:
    yield _json({"job": VERSION, "case": case})
    yield from lines
    written = set[str]()
    for one, data in contents:
        yield _json({"attached": dict(vars(one))})
        if one.sha256 not in written:
            written.add(one.sha256)
            yield _json({"content": one.sha256, **_spelt(data)})


def _spelt(data: bytes) -> dict[str, str]:
    try:
        return {"text": data.decode("utf-8")}
    except UnicodeDecodeError:
        return {"base64": base64.b64encode(data).decode("ascii")}


def _json(fields: Mapping[str, object]) -> str:
    return json.dumps(fields, ensure_ascii=False, separators=(",", ":"))


class _Refused(Exception):  # noqa: N818  (it says what happened to the file)
    """Reading goes no further."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem.code)
        self.problem = problem


class _Reading:
    """What was found in a file so far."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.case: str | None = None
        self.sealed = False
        self.entries: list[tuple[Envelope, str]] = []
        self.named: list[tuple[Attached, Span]] = []
        self.contents: dict[str, bytes] = {}
        self.problems: list[Problem] = []
        self.seal = hashlib.sha256()
        self.end = ""

    def line(self, data: bytes, place: Span) -> None:
        """Take in one line."""
        if self.end:
            raise _Refused(error("job-file-line", place, seen="something after the end"))
        found = _object(data, place)
        if place.line == 1 and "job" in found:
            self._head(found, place)
        elif "format" in found or "number" in found:
            self._event(found, data, place)
        elif self.sealed and "attached" in found:
            self._attached(found, place)
        elif self.sealed and "content" in found:
            self._content(found, place)
        elif self.sealed and "end" in found:
            self.end = str(found["end"])
            if self.end != self.seal.hexdigest():
                raise _Refused(error("job-file-cut", place, file=self.file, seen="its checksum does not fit"))
        else:
            keys = ", ".join(sorted(str(key)[:20] for key in list(found)[:3])) or "nothing"
            raise _Refused(error("job-file-line", place, seen=f"an object with {ascii(keys)[1:-1]}"))
        self.seal.update(data)

    def _head(self, found: Mapping[str, object], place: Span) -> None:
        version = found["job"]
        if version != VERSION or not isinstance(version, int) or isinstance(version, bool):
            raise _Refused(error("job-file-newer", place, file=self.file, version=shown(version), known=VERSION))
        self.case = _asked(found, place, "case")["case"]
        self.sealed = True

    def _event(self, found: Mapping[str, object], data: bytes, place: Span) -> None:
        if len(data) > LONGEST_LINE:
            raise _Refused(error("job-file-limit", place, what="bytes in the line of an event", limit=LONGEST_LINE))
        if len(self.entries) >= MOST_EVENTS:
            raise _Refused(error("job-file-limit", place, what="events", limit=MOST_EVENTS))
        read = decode(found, place)
        self.problems.extend(read.problems)
        if read.value is None:
            return
        self.case = read.value.case if self.case is None else self.case
        before = self.entries[-1][0].number if self.entries else 0
        if read.value.case != self.case:
            self.problems.append(error("record-foreign", place, found=read.value.case[:80], case=self.case[:80]))
        elif read.value.number <= before:
            self.problems.append(error("record-number", place, number=read.value.number, before=before))
        else:
            if read.value.number > before + 1:
                self.problems.append(warning("record-gap", place, number=read.value.number, before=before))
            self.entries.append((read.value, data.rstrip(b"\r\n").decode("utf-8")))

    def _attached(self, found: Mapping[str, object], place: Span) -> None:
        if len(self.named) >= MOST_ATTACHED:
            raise _Refused(error("job-file-limit", place, what="things that belong to it", limit=MOST_ATTACHED))
        inner = found["attached"]
        if not isinstance(inner, Mapping):
            raise _Refused(error("job-file-line", place, seen=shown(inner)))
        said = _asked(inner, place, "kind", "bundle", "name", "media", "sha256")
        one = Attached(said["kind"], said["bundle"], said["name"], said["media"], said["sha256"])
        wrong = unfit(one)
        if wrong is not None:
            raise _Refused(error(wrong.code, place, **dict(wrong.facts)))
        self.named.append((one, place))

    def _content(self, found: Mapping[str, object], place: Span) -> None:
        said = _asked(found, place, "content", "base64" if "base64" in found else "text")
        try:
            coded = base64.b64decode(said["base64"], validate=True) if "base64" in said else said["text"].encode()
        except (binascii.Error, ValueError):
            coded = b""
        if len(coded) > LARGEST:
            raise _Refused(error("job-file-limit", place, what="bytes of a content", limit=LARGEST))
        if hashlib.sha256(coded).hexdigest() != said["content"]:
            raise _Refused(error("job-file-content", place, name=said["content"][:12], file=self.file))
        self.contents[said["content"]] = coded

    def finished(self) -> JobFile | None:
        """The job, if nothing is wrong with it."""
        if self.sealed and not self.end:
            self.problems.append(error("job-file-cut", file=self.file, seen="its last line is missing"))
        for one, place in self.named:
            if one.sha256 not in self.contents:
                self.problems.append(error("job-file-content", place, name=one.name, file=self.file))
        if not self.entries and not errors(self.problems):
            self.problems.append(error("job-file-line", Span(self.file, 1), seen="no event at all"))
        if errors(self.problems) or self.case is None:
            return None
        self.problems.extend(clock_warnings([one for one, _ in self.entries], self.file))
        contents = tuple((one, self.contents[one.sha256]) for one, _ in self.named)
        return JobFile(self.case, tuple(self.entries), contents)


def read_job(stream: BinaryIO, file: str) -> Outcome[JobFile | None]:
    """The job in a file called `file`; None where anything in it is wrong, and what.

    Raises:
        OSError: the stream cannot be read.
    """
    reading = _Reading(file)
    size = 0
    number = 1
    try:
        while data := stream.readline(LONGEST_CONTENT + 1):
            size += len(data)
            place = Span(file, number)
            if len(data) > LONGEST_CONTENT:
                raise _Refused(error("job-file-limit", place, what="bytes in a line", limit=LONGEST_CONTENT))
            if size > MOST_BYTES:
                raise _Refused(error("job-file-limit", place, what="bytes", limit=MOST_BYTES))
            if not data.endswith(b"\n"):
                raise _Refused(error("job-file-cut", place, file=file, seen="its last line is not whole"))
            reading.line(data, place)
            number += 1
    except _Refused as refused:
        return Outcome(None, (*reading.problems, refused.problem))
    job = reading.finished()
    return Outcome(job, tuple(reading.problems))


def _object(data: bytes, place: Span) -> Mapping[str, object]:
    """The JSON object of a line."""
    try:
        found = json.loads(data.decode("utf-8"), parse_constant=_no_number)
    except (ValueError, RecursionError):
        raise _Refused(error("job-file-line", place, seen="no JSON")) from None
    if not isinstance(found, Mapping):
        raise _Refused(error("job-file-line", place, seen=shown(found)))
    return found


def _no_number(word: str) -> float:
    raise ValueError(word)


def _asked(found: Mapping[str, object], place: Span, *names: str) -> dict[str, str]:
    """The texts in the fields asked for."""
    said: dict[str, str] = {}
    for name in names:
        value = found.get(name)
        most = LONGEST_CONTENT if name in ("text", "base64") else LONGEST_TEXT
        if not isinstance(value, str) or len(value) > most or (name in ("content", "sha256") and not value.isascii()):
            raise _Refused(error("job-file-line", place, seen=f'"{name}" is {shown(value)}'))
        said[name] = value
    return said
