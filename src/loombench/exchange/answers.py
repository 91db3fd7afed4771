"""The table of what lacks as a plain CSV file, and the same file read back with the answers in it.

Spreadsheets of many lands have had it in hand by then: commas, semicolons or tabs, with or without a byte-order mark.
"""

import csv
import io
from collections.abc import Iterable, Mapping, Sequence

from loombench.base.outcome import Outcome
from loombench.base.problems import Level, Span
from loombench.base.wording import Catalogue
from loombench.exchange.missing import WHAT, Answer, Key, Lack
from loombench.exchange.report import Notes

COLUMNS = ("what", "id", "pins", "seen", "proposal", "because", "answer", "answer_pins", "place", "label")
_NEEDED = ("what", "id", "answer")
_FORMULA = ("=", "@", "+", "-", "'")
_LONGEST = 2000
_MOST_ROWS = 100_000


def write_answers(lacks: Iterable[Lack], taken: Mapping[Key, Answer], words: Catalogue) -> str:
    """The table as CSV text, the answers that were taken in their column."""
    rows: list[Sequence[str]] = [COLUMNS]
    for lack in lacks:
        answer = taken.get(lack.key)
        because = words.say(f"import.because.{lack.because}", **dict(lack.facts)) if lack.because else ""
        proposal = lack.proposal + (f"  ({lack.proposed_pins})" if lack.proposed_pins else "")
        rows.append([
            lack.what, lack.id, lack.pins, lack.seen, proposal, because, answer.text if answer else "",
            answer.pins if answer else "", answer.place if answer else lack.place,
            answer.label if answer else lack.label,
        ])  # fmt: skip
    return write_rows(rows)


def write_rows(rows: Iterable[Sequence[str]]) -> str:
    """Rows as CSV text, each cell one line that a spreadsheet takes for a text."""
    made = io.StringIO()
    writer = csv.writer(made, lineterminator="\n")
    writer.writerows([_guarded(" ".join(cell.split())) for cell in row] for row in rows)
    return made.getvalue()


def _guarded(cell: str) -> str:
    """A cell that a spreadsheet takes for a text and not for a formula."""
    return f"'{cell}" if len(cell) > 1 and cell.startswith(_FORMULA) else cell


def _plain(cell: str) -> str:
    text = " ".join(cell[:_LONGEST].split())
    return text[1:] if len(text) > 2 and text[0] == "'" and text[1] in _FORMULA else text


def read_answers(text: str, file: str) -> Outcome[Mapping[Key, Answer]]:
    """The answers of a table by what they are for. A file without the columns that are needed is an error."""
    notes, found = Notes(), dict[Key, Answer]()
    lines = text.lstrip("\ufeff")
    if lines.casefold().startswith("sep="):
        lines = lines.partition("\n")[2]
    head = lines.partition("\n")[0]
    mark = max(",;\t", key=head.count)
    reader = csv.reader(io.StringIO(lines, newline=""), delimiter=mark)
    try:
        names = [cell.strip().casefold() for cell in next(reader, [])]
        missing = [name for name in _NEEDED if name not in names]
        if missing:
            notes.add("answers-unread", Level.ERROR, Span(file, 1), missing=", ".join(missing))
            return Outcome(found, tuple(notes.problems))
        for number, cells in enumerate(reader):
            span = Span(file, reader.line_num)
            row = {name: _plain(cell) for name, cell in zip(names, cells, strict=False)}
            key = (row["what"].casefold(), row["id"]) if {"what", "id"} <= set(row) else ("", "")
            if not any(row.values()) or number >= _MOST_ROWS:
                continue
            if key[0] not in WHAT:
                notes.add("answer-for-nothing", Level.WARNING, span, what=key[0][:20] or "-", name=key[1][:60] or "-")
                continue
            if key in found:
                notes.add("answer-twice", Level.WARNING, span, found[key].span, what=key[0], name=key[1][:60])
            found[key] = Answer(
                row.get("answer", ""), row.get("answer_pins", ""), row.get("place", ""), row.get("label", ""), span
            )
    except csv.Error:
        notes.add("answers-unread", Level.ERROR, Span(file, max(reader.line_num, 1)), missing="-")
    return Outcome(found, tuple(notes.problems))
