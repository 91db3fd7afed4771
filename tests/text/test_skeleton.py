"""Skeletons: each loads, is full of `?`, and is a circuit whose loads have a way from the battery and back."""

import pytest

from loombench.text.skeleton import SKELETONS, find_skeleton, skeleton
from loombench.vehicle.trace import runs
from tests.text.circuits import codes, sound


@pytest.mark.parametrize("kind", SKELETONS)
def test_a_skeleton_is_a_whole_circuit_of_which_little_is_known(kind: str) -> None:
    text = skeleton(kind)
    vehicle = sound(text)
    assert text.count("?") > 10
    assert all(wire.assumed == ("size", "length") for wire in vehicle.wires)
    found = runs(vehicle)
    assert found
    assert all(run.feed and run.back for run in found)


def test_a_skeleton_is_found_by_its_name() -> None:
    assert find_skeleton(" Relay and load ").value == skeleton("relay-and-load")
    (problem,) = find_skeleton("relay").problems
    assert problem.code == "skeleton-unknown"
    assert codes(find_skeleton("").problems) == ["skeleton-unknown"]
    with pytest.raises(KeyError, match="there are switch-and-lamp"):
        skeleton("relay")
