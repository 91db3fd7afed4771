"""Writes `docs/facts.md` from the tables themselves: `python -m tests.facts.data_page`."""

from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from loombench.facts.table import Kind, Row, load_table, table_names
from tests.reference.handbook.examples import worked_examples
from tests.reference.handbook.through_functions import ANSWERS

PAGE = Path(__file__).parents[2] / "docs" / "facts.md"

_HEAD = """# Facts: the tables and where they come from

Every row of every table in `src/loombench/facts/data/` says what kind of value it holds, from which source and
edition; a row that does not is refused. This page is written from the tables by `python -m tests.facts.data_page`, and
a test holds the two together.

The kinds:

- **printed**: the value stands in the document named, and was read there or in a maker's or authority's reprint of it.
- **computed**: made from a named formula.
- **from memory**: the document named was not read for this value. Not checked.
- **common practice**: what the trade does; no source. Orientation only.
- **estimate**: a judgement, so that a circuit computes before anybody has measured.

A value of the last three kinds keeps its mark wherever it is shown. None of them condemns a part: the maker's figure, a
measurement on the vehicle and the local code come first.
"""


def _kinds(rows: tuple[Row, ...]) -> str:
    counts = Counter(row.provenance.kind for row in rows)
    return ", ".join(f"{counts[kind]} {kind.value}" for kind in Kind if counts[kind])


def _tables() -> Iterator[str]:
    every = tuple(row for name in table_names() for row in load_table(name))
    yield f"## The {len(table_names())} tables\n"
    yield f"{len(every)} rows: {_kinds(every)}.\n"
    yield "| table | rows | kinds | columns |\n| --- | --- | --- | --- |"
    for name in table_names():
        rows = load_table(name)
        yield f"| `{name}` | {len(rows)} | {_kinds(rows)} | {', '.join(rows[0].cells)} |"


def _sources() -> Iterator[str]:
    yield "\n## Sources by table\n"
    for name in table_names():
        yield f"**{name}**\n"
        found = dict.fromkeys((r.provenance.kind, r.provenance.source, r.provenance.edition) for r in load_table(name))
        for kind, source, edition in found:
            yield f"- {source} [{kind.value}; edition {edition}]"
        yield ""


def _examples() -> Iterator[str]:
    examples = worked_examples()
    answered = [example for example in examples if example.id in ANSWERS]
    printed = [example for example in answered if example.outside_truth]
    wrong = [example for example in answered if example.agrees == "NO"]
    yield "## Worked examples\n"
    yield f"{len(answered)} of the {len(examples)} examples in `tests/reference/handbook/` go through these formulas:"
    yield f"{len(printed)} against an answer printed in the document named, {len(wrong)} against a print that is wrong,"
    yield f"{len(answered) - len(printed) - len(wrong)} against answers worked out by us or remembered, which prove"
    yield "arithmetic only. The others belong to the bus and to diagnostic services.\n"
    yield "| topic | examples | answered here | printed and right |\n| --- | --- | --- | --- |"
    for topic in dict.fromkeys(example.topic for example in examples):
        ours = [example for example in examples if example.topic == topic]
        here = sum(example in answered for example in ours)
        yield f"| {topic} | {len(ours)} | {here} | {sum(example in printed for example in ours)} |"


def page_text() -> str:
    """The page as it has to be."""
    return "\n".join((_HEAD, *_tables(), *_sources(), *_examples())) + "\n"


if __name__ == "__main__":
    PAGE.write_text(page_text(), encoding="utf-8")
