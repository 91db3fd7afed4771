"""Option conditions: what they ask for, in the ways programs write them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.exchange.conditions import codes_in, holds


@pytest.mark.parametrize(
    ("condition", "codes", "expected"),
    [
        ("A1B+C2D/C2E+F3G", "A1B C2D", True),
        ("A1B+C2D/C2E+F3G", "C2E F3G", True),
        ("A1B+C2D/C2E+F3G", "A1B C2E", False),
        ("A1B+(C2D/C2E)+F3G", "A1B C2E F3G", True),
        ("A1B+(C2D/C2E)+F3G", "A1B F3G", False),
        ("A1B+-C2D", "A1B", True),
        ("A1B+-C2D", "A1B C2D", False),
        ("-(A/B)", "", True),
        ("-(A/B)", "B", False),
        ("A and not B;", "A", True),
        ("A und nicht B oder C", "B C", True),
        ("A&B|C", "C", True),
        ("A && !B || C", "A B", False),
        ("A,B;C", "C", True),
        ("MOD-1", "MOD-1", True),
        ("MOD-1+A", "A", False),
        ('"M/L 1"+A', "", False),
        ("ALL", "", True),
        ("", "", True),
        ("A+ALL", "A", True),
        ("((A))", "A", True),
        ("A1B+", "A1B", None),
        ("A1B C2D", "A1B", None),
        ("(A", "A", None),
        ("A)", "A", None),
        ("+", "", None),
        ("A++B", "A B", None),
        ("(" * 1000 + "A" + ")" * 1000, "A", None),
        ("A1B+", "A1B+", True),
    ],
)
def test_a_condition_holds_or_not(condition: str, codes: str, expected: bool | None) -> None:
    assert holds(condition, frozenset(codes.split())) is expected


def test_quoted_codes_keep_their_signs() -> None:
    assert holds('"M/L 1"+A', frozenset({"M/L 1", "A"})) is True


def test_the_codes_of_a_condition_are_told_once_and_in_order() -> None:
    assert codes_in("B+A/-B+(C/A)") == ("B", "A", "C")
    assert codes_in("A+") == ()
    assert codes_in("ALL") == ()


@given(st.text(alphabet='AB+/-!&|() ,;"', max_size=40), st.sets(st.sampled_from("AB")))
def test_no_text_raises(text: str, codes: set[str]) -> None:
    assert holds(text, frozenset(codes)) in (True, False, None)


_TREES = st.recursive(
    st.sampled_from("ABCD"),
    lambda inner: st.one_of(
        st.tuples(st.just("+"), inner, inner), st.tuples(st.just("/"), inner, inner), st.tuples(st.just("-"), inner)
    ),
    max_leaves=12,
)


def _written(tree: str | tuple[str, ...]) -> str:
    if isinstance(tree, str):
        return tree
    if tree[0] == "-":
        return f"-({_written(tree[1])})"
    return f"({_written(tree[1])}){tree[0]}({_written(tree[2])})"


def _value(tree: str | tuple[str, ...], codes: set[str]) -> bool:
    if isinstance(tree, str):
        return tree in codes
    if tree[0] == "-":
        return not _value(tree[1], codes)
    one, two = _value(tree[1], codes), _value(tree[2], codes)
    return (one and two) if tree[0] == "+" else (one or two)


@given(_TREES, st.sets(st.sampled_from("ABCD")))
def test_a_written_condition_holds_as_its_tree_does(tree: str | tuple[str, ...], codes: set[str]) -> None:
    assert holds(_written(tree), frozenset(codes)) is _value(tree, codes)
