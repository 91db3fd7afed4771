"""Problems on a page: what is wrong, where, and one thing to do."""

from loombench.app.desk.saying import told
from loombench.base.problems import Span, error
from loombench.base.wording import catalogue
from loombench.shell.web.pages import say_in, templates


def shown(*places: Span) -> str:
    problems = told([error("bracket-open", *places, mark="(")], catalogue())
    return str(templates().get_template("problems.html").make_module().problems(problems, say_in("en")))  # type: ignore[attr-defined]


def test_a_problem_says_in_which_line_it_is_and_not_where_the_file_lies() -> None:
    text = shown(Span("/srv/van/lights.circuit", 4, 22), Span("C:\\van\\rear.circuit", 7))
    assert "lights.circuit:4, rear.circuit:7" in text
    assert "/srv" not in text
    assert "C:" not in text


def test_what_has_no_place_is_shown_without_one() -> None:
    assert "muted" not in shown()


def test_a_file_name_is_no_markup() -> None:
    assert "<b>.circuit" not in shown(Span("<b>.circuit", 1))
