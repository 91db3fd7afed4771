"""The worked examples of `docs/howto` are followed: the blocks `python` of a page run, in order, as one program."""

from pathlib import Path

import pytest

from tests.guard.pages import blocks

PAGES = tuple(sorted((Path(__file__).parents[1] / "docs" / "howto").glob("*.md")))


def follow(name: str, page: str) -> None:
    """Run a page's blocks.

    Raises:
        ValueError: there is none, or none of them asserts anything.
        Exception: whatever a block raises, at the page's own line.
    """
    found = [block for block in blocks(page) if block.info == ("python",)]
    if not any("assert " in block.text for block in found):
        raise ValueError(f"{name}: no block asserts anything")
    names: dict[str, object] = {"__name__": "page"}
    for block in found:
        exec(compile("\n" * (block.line - 1) + block.text, name, "exec"), names)


def test_there_is_a_page_for_each_thing_that_is_often_added() -> None:
    assert {"add-a-part", "add-a-check", "add-a-fault"} <= {path.stem for path in PAGES}


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.stem)
def test_a_page_can_be_followed(path: Path) -> None:
    follow(path.name, path.read_text(encoding="utf-8"))


def test_a_planted_example_that_is_not_so_is_caught() -> None:
    with pytest.raises(AssertionError) as caught:
        follow("p.md", "# P\n\n```python\na = 1\n```\n\n```python\nassert a == 2\n```\n")
    assert (caught.traceback[-1].path, caught.traceback[-1].lineno) == ("p.md", 7)


def test_a_page_that_asserts_nothing_is_caught() -> None:
    with pytest.raises(ValueError, match="no block asserts"):
        follow("p.md", "# P\n\n```python\na = 1\n```\n")
