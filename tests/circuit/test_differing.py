"""Values told by how they differ from others are these values, whatever they are told from."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.circuit.tables.differing import differing

NAMES = st.sampled_from(["engine", "S4", "relay:K1", "fuse:F12", "timer:K9", "clock:K9"])
VALUES = st.dictionaries(NAMES, st.sampled_from(["", "on", "off", "blown"]))


@given(VALUES, VALUES)
def test_it_holds_what_the_values_hold(usual: dict[str, str], values: dict[str, str]) -> None:
    found = differing(usual, values)
    assert found == values
    assert dict(found) == values
    assert (len(found), set(found)) == (len(values), set(values))
    for name in usual.keys() | values.keys():
        assert found.get(name, "none") == values.get(name, "none")
        assert (name in found) == (name in values)


def test_what_is_gone_is_an_error_to_ask_for() -> None:
    found = differing({"S4": "on", "clock:K9": "3"}, {"S4": "off"})
    with pytest.raises(KeyError, match="clock:K9"):
        found["clock:K9"]
