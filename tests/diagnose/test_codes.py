"""A trouble code as evidence. What each suspect makes the module see is worked out by hand beside each row."""

from dataclasses import replace

import numpy as np
import pytest

from loombench.app.case import bench_for
from loombench.diagnose.belief import Belief, contradicted, update
from loombench.diagnose.bench import Bench
from loombench.diagnose.codes import KnownCode, code_fits, codes_seen, known_codes
from loombench.diagnose.likelihood import log_likelihood
from loombench.diagnose.observation import CodeSeen, LoadSeen
from loombench.diagnose.pairs import allowed
from loombench.evidence.events import CodesRead
from loombench.text.load import load_file
from loombench.vehicle.condition import Condition, Operation
from tests.text.circuits import ROOT

ON = Condition((Operation("set", "S3", "on"),))
REST = Condition()
CAR = load_file(ROOT / "examples" / "cases" / "codes.circuit").value
DEAD = LoadSeen("E7", "dead", ON)


@pytest.fixture(name="bench", scope="module")
def _bench() -> Bench:
    return bench_for(CAR)


def fits(bench: Bench, seen: CodeSeen) -> dict[str, float]:
    """By fault the most that one of its hypotheses fits."""
    table = code_fits(bench, seen)
    found: dict[str, float] = {}
    for member, value in zip(bench.hypotheses.members, table, strict=True):
        name = member.group if member.fault is None else str(member.fault)
        found[name] = max(found.get(name, 0.0), float(value))
    return found


@pytest.mark.parametrize(
    ("pin", "saw", "condition", "does", "does_not"),
    [
        # On: the output gives 12 V into nothing.
        ("4", "open", ON, ("open E7", "open A2.4~X7.1", "open contact W2/a"), ("open S3", "blown F1", "sound")),
        # On, and yet at ground: by a short, or because the output is dead. Behind an open the pin is at 12 V; without
        # its command it is low as it should be; without supply nothing is stored.
        ("4", "low", ON, ("stuck A2.4 off",), ("open E7", "open S3", "blown F1", "stuck A2 reset", "sound")),
        # Off, and yet at 12 V: also where the output's leak of 10 uA finds no load to go through.
        ("4", "high", REST, ("stuck A2.4 on", "open E7"), ("open S3", "stuck A2.4 off", "sound")),
        # The switch is on and nothing comes; what the output does is nothing to this pin.
        ("3", "no-signal", ON, ("open S3", "open S3.2~A2.3"), ("open E7", "stuck A2.4 off", "blown F1", "sound")),
        # Pulled down, so an open end is low.
        ("3", "open", ON, ("open contact A2.3",), ("stuck A2.3 off", "sound")),
    ],
)
def test_what_the_module_would_have_seen(
    bench: Bench, pin: str, saw: str, condition: Condition, does: tuple[str, ...], does_not: tuple[str, ...]
) -> None:
    found = fits(bench, CodeSeen("A2", pin, saw, condition))
    assert {name: found[name] for name in does} == dict.fromkeys(does, 1.0)
    assert {name: found[name] for name in does_not} == dict.fromkeys(does_not, 0.0)


def test_shorts_are_low_and_high(bench: Bench) -> None:
    low, high = (fits(bench, CodeSeen("A2", "4", saw, REST if saw == "high" else ON)) for saw in ("low", "high"))
    # With 12 V by less than 1.5 ohm the output comes to its 8 A and gives up, or the fuse of 10 A opens.
    for found, to in ((low, "ground"), (high, "supply")):
        values = [value for name, value in found.items() if name.startswith(f"short A2.4 to {to}")]
        assert values == [1.0] * 3


def test_between_low_and_high_is_out_of_range(bench: Bench) -> None:
    """1 kohm pull-down behind a bad contact of 250 to 4,000 ohm: 20 to 80 % of the volts."""
    found = code_fits(bench, CodeSeen("A2", "3", "range", ON))
    cells = [
        (member.fault.ohm, float(value))
        for member, value in zip(bench.hypotheses.members, found, strict=True)
        if member.fault is not None and (member.fault.mode, member.fault.target) == ("resistance", "contact A2.3")
    ]
    assert all(value == 0.0 for ohm, value in cells if ohm < 30.0)
    assert max(value for ohm, value in cells if ohm > 60.0) >= 0.5


def test_a_code_speaks_for_suspects_and_puts_none_out(bench: Bench) -> None:
    code = CodeSeen("A2", "4", "open", ON)
    before, after = (update(Belief(bench), seen) for seen in ((DEAD,), (DEAD, code)))
    lamp, fuse = (bench.hypotheses.groups.index(name) for name in ("E7", "F1"))
    ratio = (after.group_share / before.group_share)[[lamp, fuse]]
    assert ratio[0] > 20.0 * ratio[1]
    assert after.group_share[fuse] > 0.0
    assert not contradicted(after)[1].any()
    assert allowed(code, bench).all()


def test_where_nothing_fits_a_code_the_order_stays(bench: Bench) -> None:
    """No fault of this lamp's feed makes the switched-off input go high but one at the input; a code that says so of
    the supply pin, which is no such thing, weighs all alike."""
    stale = CodeSeen("A2", "1", "range", REST)
    likely = log_likelihood(stale, bench)
    nothing = ~bench.hypotheses.unexplained & (code_fits(bench, stale) == 0.0)
    assert nothing.sum() > 100
    assert np.ptp(likely[nothing]) == 0.0
    assert np.exp(likely[nothing][0]) > 0.01


def test_in_another_vehicle_it_tells_nothing(bench: Bench) -> None:
    assert set(code_fits(bench, CodeSeen("A99", "1", "low", ON))) == {0.5}


def test_which_codes_the_drawing_knows() -> None:
    read = CodesRead(("b1a04-13", "U0100"))
    assert known_codes(CAR, read) == (KnownCode("A2", "4", "open", "B1A04-13"),)
    assert known_codes(CAR, replace(read, module="A2"))
    assert known_codes(CAR, replace(read, module="A3")) == ()
    assert codes_seen(CAR, read, ON) == (CodeSeen("A2", "4", "open", ON),)
    assert codes_seen(CAR, replace(read, condition=REST), ON, ("F1",)) == (CodeSeen("A2", "4", "open", REST, ("F1",)),)
    van = load_file(ROOT / "examples" / "library-van" / "vehicle.circuit").value
    assert [one.pin for one in known_codes(van, CodesRead(("B1105-11", "C1903-29")))] == ["5", "3"]
