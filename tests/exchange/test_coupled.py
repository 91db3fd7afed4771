"""A vehicle of two files that meet at a connector: nothing is joined until somebody says so. Figures by hand.

Wires 101 to 103 come to X10.1 in the cab's file, 201 to 203 to X10.2 in the frame's, cavity by cavity; 104 and 204 go
to ring terminals. The third cavity's signals differ (49L and 31), so names and signals do not prove the joint.
"""

from collections.abc import Mapping

from loombench.app.importing import Import, Request, import_bytes
from loombench.base.outcome import errors
from tests.exchange.reading import TRAPS

FILES: Mapping[str, bytes] = {name: (TRAPS / name).read_bytes() for name in ("coupled-cab.kbl", "coupled-frame.kbl")}


def made(request: Request) -> Import:
    """The import of both files."""
    outcome = import_bytes(FILES, request)
    assert not errors(outcome.problems)
    assert outcome.value is not None
    return outcome.value


def figures(found: Import) -> tuple[int, ...]:
    """Connections, connectors, rings, nets, pins of the largest net."""
    counts = found.counts
    return counts.connections, counts.connectors, counts.rings, counts.nets, counts.largest_net


def test_the_joint_is_proposed_and_not_made() -> None:
    found = made(Request(()))
    assert figures(found) == (8, 8, 2, 8, 2)
    (lack,) = [lack for lack in found.lacks if lack.key == ("mating", "X10.1")]
    assert lack.proposal == "X10.2"
    assert lack.key not in found.taken


def test_the_joint_is_made_when_said() -> None:
    assert figures(made(Request((), joins=(("X10.1", "X10.2"),)))) == (8, 8, 2, 5, 4)
    assert figures(made(Request((), joins=(("X10.2", "X10.1"),)))) == (8, 8, 2, 5, 4)
    assert figures(made(Request((), accept=True))) == (8, 8, 2, 5, 4)


def test_a_joint_with_what_is_not_there_is_refused() -> None:
    outcome = import_bytes(FILES, Request((), joins=(("X10.1", "X99"),)))
    assert [problem.code for problem in errors(outcome.problems)] == ["answer-mating"]
    assert outcome.value is None or not outcome.value.files
