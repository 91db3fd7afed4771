"""What an import says: its figures as lines for a person and as plain values for machines."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import asdict, replace

from loombench.app.checking import problems_json
from loombench.app.importing import MISSING, Import
from loombench.base.problems import Problem
from loombench.base.wording import Catalogue, catalogue
from loombench.exchange.wirelist.layout import AUTOMATIC, FIELDS, OPTION, Layout

MOST_OPTIONS = 60
LIST_WORDS = (
    "sheet", "header-line", "size-unit", "length-unit", "colour-system", "decimal", "delimiter", "dates", "unmarked",
)  # fmt: skip
"""What can be told of lists of wires, beside `column-N`, the columns counted from 1."""
_NONE = ("", "none", "-")


def options_of(text: str | None) -> tuple[str, ...] | None:
    """The codes of a text, parted by commas or semicolons; None where nobody has said, empty for `none`."""
    if text is None:
        return None
    codes = tuple(code.strip() for code in text.replace(";", ",").split(","))
    return () if text.strip().casefold() in _NONE else tuple(code for code in codes if code)


def layout_of(texts: Sequence[str]) -> Layout | str:
    """What is told of lists of wires, each text `NAME=VALUE`; the first text that says nothing, if there is one."""
    layout = AUTOMATIC
    for text in texts:
        name, mark, value = (part.strip() for part in text.partition("="))
        column = name.removeprefix("column-")
        field = name.replace("-", "_")
        if not mark or not value:
            return text
        if column != name and column.isdecimal() and int(column) > 0 and _is_meaning(value):
            layout = replace(layout, columns=(*layout.columns, (int(column) - 1, value)))
        elif name == "header-line" and value.lstrip("-").isdecimal():
            layout = replace(layout, header_line=int(value))
        elif name in LIST_WORDS and name != "header-line":
            layout = replace(layout, **{field: value})  # type: ignore[arg-type]  # these fields are all texts
        else:
            return text
    return layout


def _is_meaning(value: str) -> bool:
    return value in FIELDS or value.startswith(OPTION)


def import_lines(made: Import, folder: str, words: Catalogue | None = None) -> Iterator[str]:
    """What was read and counted, what was put right, which options there are, what is not known yet."""
    say = (words or catalogue()).say
    for one in made.read:
        rows = ", ".join(f"{name} {number}" for name, number in one.rows) or "-"
        yield say("import.said.read", file=one.file, format=one.format or "-", rows=rows)
    repairs: Counter[str] = Counter()
    for one in made.read:
        repairs.update(dict(one.repairs))
    if repairs:
        yield say("import.said.repairs")
        yield from (f"  {code}: {number}" for code, number in sorted(repairs.items()))
    yield say("import.said.counts", **asdict(made.counts))
    if made.options:
        yield say("import.said.codes")
        yield from (f"  {one.code}  {one.words}".rstrip() for one in made.options[:MOST_OPTIONS])
        if len(made.options) > MOST_OPTIONS:
            yield say("import.said.more", count=len(made.options) - MOST_OPTIONS)
    if made.taken:
        accepted = sum(1 for answer in made.taken.values() if answer.accepted)
        yield say("import.said.answered", count=len(made.taken), accepted=accepted)
    if folder:
        yield say("import.said.written", folder=folder)
        if made.open:
            yield say("import.said.open", count=made.open, file=f"{folder}/{MISSING}")


def import_json(made: Import | None, problems: Sequence[Problem], words: Catalogue | None = None) -> dict[str, object]:
    """The figures at the top, then files, options, the rows of what lacks with their answers, and problems."""
    words = words or catalogue()
    found: dict[str, object] = {"problems": problems_json(tuple(problems), words)}
    if made is None:
        return found
    rows = []
    for lack in made.lacks:
        answer = made.taken.get(lack.key)
        because = words.say(f"import.because.{lack.because}", **dict(lack.facts)) if lack.because else ""
        rows.append(
            {
                "what": lack.what, "id": lack.id, "pins": lack.pins, "seen": lack.seen, "proposal": lack.proposal,
                "proposed_pins": lack.proposed_pins, "because": because, "answer": answer.text if answer else None,
                "accepted": bool(answer and answer.accepted),
            }
        )  # fmt: skip
    read = [
        {"file": one.file, "format": one.format, "rows": dict(one.rows), "repairs": dict(one.repairs)}
        for one in made.read
    ]
    options = [{"code": one.code, "words": one.words} for one in made.options]
    return asdict(made.counts) | {"read": read, "options": options, "open": made.open, "missing": rows} | found
