"""The page of the tables says what the tables say."""

from loombench.facts.table import load_table, table_names
from tests.facts.data_page import PAGE, page_text


def test_the_page_is_up_to_date() -> None:
    assert PAGE.read_text(encoding="utf-8") == page_text(), "write it again: python -m tests.facts.data_page"


def test_the_page_names_every_table_and_source() -> None:
    text = PAGE.read_text(encoding="utf-8")
    for name in table_names():
        assert f"| `{name}` | {len(load_table(name))} |" in text
        for row in load_table(name):
            assert f"- {row.provenance.source} [{row.provenance.kind.value}" in text
