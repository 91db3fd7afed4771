"""The page to search in, in a browser: what is typed and chosen leaves the rows that fit."""

import pytest

from loombench.paper.browse import Browsable, to_browsable
from tests.browser import browser_page

pytestmark = pytest.mark.chromium


def test_words_and_a_choice_leave_the_rows_that_fit() -> None:
    rows = (("open W1", "at rest", "E7 stops"), ("open W2", "S4=on", "E7 stops"), ("open W2", "at rest", "nothing"))
    text = to_browsable(Browsable("t", "s", (), ("fault", "state", "shows"), rows, 1, ("find", "state", "all", "rows")))
    with browser_page() as page:
        wrong: list[str] = []
        page.on("console", lambda message: wrong.append(message.text))
        page.set_content(text)
        page.fill("#find", "W2")
        assert page.locator("tbody tr:visible").count() == 2
        page.select_option("#pick", label="at rest")
        assert page.locator("tbody tr:visible").all_inner_texts() == ["open W2\tat rest\tnothing"]
        assert page.inner_text("#seen") == "1"
        assert wrong == []
