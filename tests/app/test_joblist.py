"""The list of cases: where each was left and how to go on."""

from pathlib import Path

from loombench.app.joblist import OPEN, PROVEN, UNPROVEN, job_lines, job_list
from loombench.evidence.complaint import Complaint
from loombench.evidence.envelope import envelope
from loombench.evidence.events import CaseClosed, CaseOpened, ComplaintGiven, Note, Payload, Undone, WorkClock
from loombench.record.jsonl import JsonlStore
from loombench.vehicle.condition import Condition

TOLD = ComplaintGiven(Complaint("E7", "dead", Condition(), "E7 dead"))


def keep(folder: Path, case: str, hour: int, *payloads: Payload) -> None:
    store = JsonlStore(folder)
    opened = CaseOpened("Lamp", "0" * 64, "E7 dead", "../lamp.circuit")
    for number, payload in enumerate((opened, TOLD, *payloads), 1):
        store.append(envelope(number, f"2026-03-01T{hour:02d}:{number:02d}:00+01:00", case, "", payload))


def test_open_cases_come_first_and_of_those_the_last_worked_on(tmp_path: Path) -> None:
    keep(tmp_path, "a", 9)
    keep(tmp_path, "b", 12, CaseClosed("cured", True, "lamp E7"))
    keep(tmp_path, "c", 11, Note("asked the customer"))
    keep(tmp_path, "d", 10, CaseClosed("searching", False), Undone(3))
    keep(tmp_path, "e", 8, CaseClosed("one-class", False))
    jobs = job_list(tmp_path).value
    states = [("c", OPEN), ("d", OPEN), ("a", OPEN), ("b", PROVEN), ("e", UNPROVEN)]
    assert [(one.case, one.state) for one in jobs] == states
    assert (jobs[0].count, jobs[0].time, jobs[0].last) == (3, "2026-03-01 11:03", "note: asked the customer")
    assert jobs[1].last == "taken back: closed: No cause has been found."
    said = "\n".join(job_lines(jobs, tmp_path))
    assert f"loombench find {(tmp_path.parent / 'lamp.circuit').as_posix()} --case c" in said


def test_a_work_clock_that_runs_is_told(tmp_path: Path) -> None:
    keep(tmp_path, "a", 9, WorkClock(True))
    keep(tmp_path, "b", 10, WorkClock(True), WorkClock(False))
    keep(tmp_path, "c", 11, WorkClock(True), Undone(3))
    assert {one.case: one.clock_since for one in job_list(tmp_path).value} == {
        "a": "2026-03-01 09:03",
        "b": "",
        "c": "",
    }


def test_what_cannot_be_read_is_said_and_hides_no_other_case(tmp_path: Path) -> None:
    keep(tmp_path, "a", 9)
    keep(tmp_path, "b", 10)
    broken = next(file for file in tmp_path.iterdir() if file.name.startswith("case-b"))
    broken.write_text("{\n", encoding="utf-8")
    listed = job_list(tmp_path)
    assert [one.case for one in listed.value] == ["a"]
    assert listed.problems


def test_a_folder_without_cases_says_so(tmp_path: Path) -> None:
    (line,) = job_lines(job_list(tmp_path / "none").value, tmp_path / "none")
    assert "No cases" in line
