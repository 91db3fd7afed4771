"""Tracing a load's way from the battery and back, as a person would with a finger."""

from loombench.text.load import load_text
from loombench.vehicle.model import Vehicle
from loombench.vehicle.trace import Run, runs

HEAD = """loombench 1
vehicle "Trace" 12V
colours IEC
body chassis
stud W1 on chassis
battery G1 70Ah
fuse F1 10A
switch S4 off | on: 1=2
relay K3 make 30 85 86 87
lamp E7 12V 21W
diode D1 3A
G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.6m) F1
"""


def vehicle(rows: str) -> Vehicle:
    outcome = load_text(HEAD + rows, "trace.circuit")
    assert outcome.usable, outcome.problems
    return outcome.value


def run_of(made: Vehicle, load: str) -> Run:
    return next(run for run in runs(made) if run.load.via == load)


def names(run: Run) -> list[str]:
    return [step.link.via for step in (*run.feed, *run.back)]


def test_a_lamp_behind_fuse_and_switch() -> None:
    made = vehicle("F1 (RD 1mm2 1m) S4.1\nS4.2 (GY 1mm2 1m) E7 (BN 1mm2 1m) W1/b\n")
    assert names(run_of(made, "E7")) == [
        "G1.+~F1.in", "F1", "F1.out~S4.1", "S4", "S4.2~E7.1", "E7.2~W1/b", "W1", "W1", "G1.-~W1/a",
    ]  # fmt: skip


def test_a_missing_return_is_seen() -> None:
    run = run_of(vehicle("F1 (RD 1mm2 1m) S4.1\nS4.2 (GY 1mm2 1m) E7.1\n"), "E7")
    assert run.feed
    assert not run.back


def test_a_missing_feed_is_seen() -> None:
    run = run_of(vehicle("E7.2 (BN 1mm2 1m) W1/b\n"), "E7")
    assert not run.feed
    assert run.back


def test_coil_and_contact_are_two_runs() -> None:
    made = vehicle(
        "F1 (RD 1mm2 1m) SP1\nSP1 (RD 1mm2 1m) K3.30\nSP1 (RD 1mm2 1m) S4.1\nS4.2 (GY 1mm2 1m) K3.86\n"
        "K3.85 (BN 1mm2 1m) W1/b\nK3.87 (WH 1mm2 1m) E7 (BN 1mm2 1m) W1/c\n"
    )
    lamp, coil = run_of(made, "E7"), next(run for run in runs(made) if run.load.via.startswith("K3"))
    assert any(step.link.via.startswith("K3") and step.link.kind == "switch" for step in lamp.feed)
    assert any(step.link.via == "S4" for step in coil.feed)
    assert not any(step.link.via == "S4" for step in lamp.feed)


def test_nothing_is_fed_backwards_through_a_diode() -> None:
    forward = vehicle("F1 (RD 1mm2 1m) D1.a\nD1.k (RD 1mm2 1m) E7 (BN 1mm2 1m) W1/b\n")
    backward = vehicle("F1 (RD 1mm2 1m) D1.k\nD1.a (RD 1mm2 1m) E7 (BN 1mm2 1m) W1/b\n")
    assert run_of(forward, "E7").feed
    assert not run_of(backward, "E7").feed
