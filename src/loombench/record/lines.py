"""From the bytes of a case's file to its events: what is whole is used, what is not is said."""

from dataclasses import dataclass

from loombench.base.problems import Problem, Span, error, warning
from loombench.evidence.codec import decode_line
from loombench.evidence.envelope import Envelope
from loombench.record.clock import clock_warnings

LONGEST_LINE = 4_000_000


@dataclass(frozen=True)
class Content:
    """A file understood. `torn` is the piece of a line at its end that was never finished; `unfinished` is true where
    only the end of the last line's line is missing. `newer` is true where a format is not known."""

    events: tuple[Envelope, ...]
    problems: tuple[Problem, ...]
    lines: int
    torn: bytes
    unfinished: bool
    newer: bool

    @property
    def next_number(self) -> int:
        """A line that cannot be read has had a number too, so it counts."""
        return max(self.lines, self.events[-1].number if self.events else 0) + 1


def understand(data: bytes, file: str, case: str) -> Content:
    """The events in the bytes of `file`, which is to be that of `case`."""
    *whole, rest = data.split(b"\n")
    torn, unfinished = rest, False
    if rest and _event(rest, Span(file, len(whole) + 1), case)[0] is not None:
        whole, torn, unfinished = [*whole, rest], b"", True
    events: list[Envelope] = []
    problems: list[Problem] = []
    for number, line in enumerate(whole, 1):
        event, wrong = _event(line.removesuffix(b"\r"), Span(file, number), case)
        problems.extend(wrong)
        before = events[-1].number if events else 0
        if event is None:
            continue
        if event.number <= before:
            problems.append(error("record-number", Span(file, number), number=event.number, before=before))
            continue
        if event.number > max(before + 1, number):
            problems.append(warning("record-gap", Span(file, number), number=event.number, before=before))
        events.append(event)
    problems.extend(clock_warnings(events, file))
    newer = any(problem.code == "event-format" for problem in problems)
    return Content(tuple(events), tuple(problems), len(whole), torn, unfinished, newer)


def _event(line: bytes, span: Span, case: str) -> tuple[Envelope | None, tuple[Problem, ...]]:
    if len(line) > LONGEST_LINE:
        return None, (error("record-line-long", span, size=len(line), limit=LONGEST_LINE),)
    try:
        text = line.decode("utf-8")
    except UnicodeDecodeError as wrong:
        column = len(line[: wrong.start].decode("utf-8")) + 1
        return None, (error("event-json", Span(span.file, span.line, column, column + 1), column=column),)
    outcome = decode_line(text, span)
    if outcome.value is not None and outcome.value.case != case:
        return None, (error("record-foreign", span, found=outcome.value.case[:80], case=case[:80]),)
    return outcome.value, outcome.problems
