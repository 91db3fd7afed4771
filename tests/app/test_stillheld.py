"""What springs back is said to stay held as long as readings need it: nobody goes on holding it of themselves."""

from loombench.app.case import bench_for
from loombench.app.complaints import understand
from loombench.app.finding import answer, next_step, open_case
from loombench.evidence.complaint import Complaint
from loombench.record.memory import MemoryStore
from loombench.text.load import load_text

TIME = "2026-03-02T09:15:00+01:00"
LAMP = """\
loombench 1
vehicle "Lamp" 12V
colours IEC
body chassis
stud W1 on chassis
battery G1 70Ah
switch S7 off | {push}: 1=2
lamp E7 12V 21W
G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 1mm2 1m) S7.1
S7.2 (GY 1mm2 1m) E7 (BN 1mm2 1m) W1/b
"""


def told(push: str) -> tuple[str, str]:
    """The look at the complaint, and the reading after it, in a circuit with that position of its switch."""
    car = load_text(LAMP.format(push=push)).value
    complaint = next(one for one in understand(car, "E7 dead when S7=push").value if isinstance(one, Complaint))
    case = open_case(car, "0" * 64, complaint, MemoryStore(), "2026-1", TIME, bench=bench_for(car))
    look = next_step(case)
    assert look is not None
    case = answer(case, look.id, "dead", TIME)
    while (reading := next_step(case)) is not None and not reading.unit:
        assert reading.choices[0] == "as believed"
        case = answer(case, reading.id, reading.choices[0], TIME)
    assert reading is not None
    return look.action, reading.action


def test_a_position_that_springs_back_is_kept_held() -> None:
    look, reading = told("push!")
    assert look.startswith("Have S7 held at push. ")
    assert reading.startswith("Keep S7 held at push. ")


def test_a_position_that_stays_is_said_once() -> None:
    look, reading = told("push")
    assert look.startswith("Set S7 to push. ")
    assert "S7 to push" not in reading
    assert "held" not in reading
