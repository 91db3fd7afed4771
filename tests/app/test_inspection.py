"""The inspection sheet: what it says must work does in that state, and reads what the circuit gives."""

import re
from pathlib import Path

import pytest

from loombench.app.inspection import Inspection, inspection, sheet_document, sheet_lines, write_sheet
from loombench.app.vehicles import open_vehicle
from loombench.circuit.fault import Fault
from loombench.circuit.lower import lower
from loombench.circuit.observe import observe
from loombench.circuit.predict import predict
from loombench.paper.html import to_html
from loombench.text.names import find_point
from loombench.vehicle.condition import Condition, Setup
from loombench.vehicle.model import Vehicle
from tests.diagnose.vehicles import AIRBAG, HEAD, LAMP, vehicle

SECOND_WITH_KEY = (
    HEAD
    + """
fuse   F1 10A at box
fuse   F2 10A at box
switch S1 off | on: 1=2 at dash "lamp, by the door"
switch S2 off | on: 1=2 at dash "lamp, in the cab"
switch S3 off | on: 1=2 at dash "key"
switch S4 off | on: 1=2 at dash "something else"
lamp   E7 12V 21W at head "load space"
lamp   E8 12V 21W at head "something else"
loom chassis
G1.- (BK 25mm2 0.4m) W1/a
G1.+ (RD 6mm2 0.8m) SP1
SP1 (RD 2.5mm2 0.4m) F1 (RD 1mm2 0.4m) S1.1
S1.2 (WH 1mm2 0.4m) SP2
SP1 (RD 2.5mm2 0.4m) F2 (RD 1mm2 0.4m) S3.1
S3.2 (BK 1mm2 0.4m) S2.1
S2.2 (WH 1mm2 0.4m) SP2
SP1 (RD 1mm2 0.4m) S4.1
S4.2 (YE 1mm2 1m) E8 (BN 1mm2 1m) W3/b
SP2 (WH 1mm2 2m) E7 (BN 1mm2 1m) W3/a
"""
)
EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


def made(car: Vehicle, said: str) -> Inspection:
    sheet = inspection(car, said).value
    assert sheet is not None
    return sheet


def lit(car: Vehicle, condition: Condition) -> set[str]:
    (seen,) = observe(car, condition, [()], lower)
    return {load.id for load in seen.loads if load.light != "dead"}


def name_of(load: str) -> str:
    return load.partition(" ")[0]


@pytest.mark.parametrize(
    ("example", "said", "count"),
    [("telehandler-roof", "", 8), ("telehandler-roof", "boom work lamp", 2), ("library-van", "high brake lamp", 1)],
)
def test_what_must_work_works_and_reads_what_the_circuit_gives(example: str, said: str, count: int) -> None:
    car = open_vehicle(str(EXAMPLES / example)).vehicle
    sheet = made(car, said)
    assert sum(len(state.checks) for state in sheet.states) >= count
    assert not set(map(name_of, sheet.resting)) & lit(car, Condition())
    for state in sheet.states:
        on = lit(car, state.condition)
        assert {name_of(check.load) for check in state.checks} <= on
        assert {name_of(load) for load in state.besides} == on - {name_of(check.load) for check in state.checks}
        for check in state.checks:
            red, black = (find_point(car, piece).value for piece in check.leads.split(" to "))
            assert red is not None
            value = predict(car, [Setup(state.condition, red, black)], [()])
            highest = max(float(value.high[0, 0]), float(value.values[0, 0]))
            shown = float(re.findall(r"[\d.]+", check.volts)[0])
            shown = shown / 1e3 if "mV" in check.volts else shown
            assert shown == pytest.approx(highest, abs=0.006)
            assert 0.85 * shown <= float(check.least.removesuffix(" V")) <= 0.95 * shown


def test_the_other_station_and_the_other_way_are_on_the_list_too() -> None:
    car = open_vehicle(str(EXAMPLES / "tipper-tarpaulin")).vehicle
    (state,) = made(car, "tarpaulin motor").states
    every = (state.condition, *state.also)
    assert {one.split("=")[0] for each in every for one in str(each).split(", ")} >= {"S40", "S41"}
    assert sum("open" in str(each) for each in every) == 2
    assert sum("close" in str(each) for each in every) == 2
    for each in every:
        assert "M8" in lit(car, each)


def test_a_station_that_wants_the_key_as_well_is_on_the_list_once() -> None:
    car = vehicle(SECOND_WITH_KEY)
    (state,) = made(car, "E7").states
    assert str(state.condition) == "S1=on"
    assert list(map(str, state.also)) == ["S3=on, S2=on"]
    assert "E7" in lit(car, state.also[0])
    assert "S3=on, S2=on" in " ".join(sheet_lines(made(car, "E7")))


def test_a_weak_feed_reads_below_the_least() -> None:
    car = vehicle(LAMP)
    sheet = made(car, "E7")
    (state,) = sheet.states
    (check,) = state.checks
    red, black = (find_point(car, piece).value for piece in check.leads.split(" to "))
    assert red is not None
    faults = [(), (Fault("resistance", "E7.2~W3/a", "", 0.5),)]
    sound, weak = predict(car, [Setup(state.condition, red, black)], faults).values[:, 0]
    assert weak < float(check.least.removesuffix(" V")) < sound


def test_cautions_stand_first_and_every_load_has_a_box() -> None:
    sheet = made(vehicle(LAMP), "")
    lines = sheet_lines(sheet)
    first = next(place for place, line in enumerate(lines) if "[  ]" in line)
    assert any(line.startswith("! ") for line in lines[:first])
    assert sum("[  ]" in line for line in lines) == 1 + sum(len(state.checks) for state in sheet.states)
    page = to_html(sheet_document(sheet))
    assert page.count("[  ]") == 1 + sum(len(state.checks) for state in sheet.states)
    assert page.index("hydrogen") < page.index("[  ]")


def test_nothing_is_read_on_an_airbag_circuit() -> None:
    for state in made(vehicle(AIRBAG), "").states:
        assert not any("R40" in check.leads for check in state.checks)


def test_what_is_no_load_or_not_there_is_said() -> None:
    car = vehicle(LAMP)
    assert [one.code for one in inspection(car, "S4").problems] == ["complaint-no-load"]
    assert [one.code for one in inspection(car, "rear wiper").problems] == ["function-unknown"]


def test_it_is_printed_into_a_new_folder(tmp_path: Path) -> None:
    written = write_sheet(made(vehicle(LAMP), "E7"), tmp_path / "new")
    assert [path.suffix for path in written.value][:1] == [".html"]
    assert all(path.stat().st_size > 0 for path in written.value)
