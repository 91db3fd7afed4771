"""The page to search in: all it holds is text, nothing is loaded, the one script is the one its policy names."""

import base64
import hashlib
import html
import re

from loombench.paper.browse import Browsable, to_browsable
from loombench.paper.document import clean
from tests.paper.hostile import TEXTS
from tests.paper.test_html import Seen


def page_of(texts: tuple[str, ...]) -> str:
    rows = tuple((text, "state", text) for text in texts)
    return to_browsable(Browsable(texts[0], texts[-1], texts, ("a", "b", texts[0]), rows, 1, ("s", "c", "e", "n")))


def test_hostile_texts_are_shown_as_they_are() -> None:
    page = page_of(TEXTS)
    seen = Seen(page)
    for text in TEXTS:
        assert clean(text) in seen.texts or not clean(text)
    assert seen.tags.count("script") == 1
    assert seen.tags.count("img") == 0
    assert not [name for name, _ in seen.attributes if name.startswith("on") or name in ("src", "href")]
    page.encode("utf-8")


def test_the_policy_allows_the_pages_own_script_only() -> None:
    page = page_of(("a",))
    (script,) = re.findall(r"<script>(.*)</script>", page, re.S)
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    (policy,) = re.findall(r'Content-Security-Policy" content="([^"]*)"', page)
    assert "default-src 'none'" in html.unescape(policy)
    assert html.unescape(policy).count("script-src") == 1
    assert f"script-src 'sha256-{digest}'" in html.unescape(policy)


def test_without_script_the_whole_table_is_there_and_no_dead_tools() -> None:
    page = page_of(("one", "two", "three"))
    assert page.count("<tr>") == 4
    assert '<div id="tools" hidden>' in page
    assert "<tr hidden" not in page
