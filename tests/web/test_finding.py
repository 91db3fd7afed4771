"""The finding view and the record over HTTP: begun, worked out, entered once, stopped, printed; and nothing else."""

import asyncio
import json
from collections.abc import Mapping
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from starlette.testclient import TestClient

from loombench.evidence.codec import encode_setup
from loombench.shell.web import recordpages, workings
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.points import PIN, Point
from tests.web.server import shelf_of, writing

ON = Condition((Operation("set", "S4", "on"),))
AT_LAMP = encode_setup(Setup(ON, Point("E7", "1"), Point("G1", "-", layer=PIN)))


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("bench")
    shelf_of(folder / "vehicles")
    return folder


@pytest.fixture(scope="module")
def token(client: TestClient) -> Mapping[str, str]:
    return writing(client)


@pytest.fixture
def job(client: TestClient, token: Mapping[str, str]) -> str:
    """The address of a job that was just begun."""
    told = {"vehicle": "lamp", "complaint": "E7 dead when S4=on"}
    begun = client.post("/jobs", json=told, headers=token)
    assert begun.status_code == 201
    assert begun.headers["hx-redirect"] == begun.json()["url"]
    return str(begun.json()["url"])


def enter(client: TestClient, token: Mapping[str, str], job: str, **entry: Any) -> Any:
    return client.post(f"{job}/entries", json={"entry": "a1", **entry}, headers=token)


def now(client: TestClient, job: str) -> str:
    """Where a job stands, once that is worked out."""
    while 'data-state="runs"' in (shown := client.get(f"{job}/now?again=1").text):
        pass
    return shown


def paper(client: TestClient, address: str) -> Any:
    """The page of a paper, once it is made."""
    while "data-again-ms" in (made := client.get(address)).text:
        pass
    return made


def kept(client: TestClient, job: str) -> list[str]:
    """The kinds of a job's events."""
    lines = client.get(f"{job}/file.jsonl").text.splitlines()
    return [json.loads(line)["kind"] for line in lines if '"kind"' in line and '"number"' in line]


def test_the_first_look_is_shown_and_answered_while_the_rest_is_worked_out(
    client: TestClient, token: Mapping[str, str], job: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(workings, "AT_ONCE_S", 0.0)
    shown = client.get(f"{job}/now").text
    assert 'data-state="runs"' in shown
    assert 'data-step="see E7 when S4=on"' in shown
    assert shown.index('class="caution"') < shown.index('id="action"')
    answered = enter(client, token, job, line="dead", step="see E7 when S4=on", number=2)
    assert answered.json()["kept"]
    assert kept(client, job)[-1] == "Observed"
    assert 'data-step="see E7 when S4=on"' not in client.get(f"{job}/now").text


def test_a_step_that_comes_while_its_first_look_is_asked_for_is_shown(
    client: TestClient, job: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def only_then(self: workings.Workings, case: str, language: str, number: int) -> None:
        while self.there(case, language, number) is None:
            await asyncio.sleep(0.01)

    monkeypatch.setattr(workings, "AT_ONCE_S", 0.0)
    monkeypatch.setattr(workings.Workings, "first", only_then)
    shown = client.get(f"{job}/now").text
    assert 'class="working"' not in shown
    assert 'data-number="2"' in shown


def test_a_job_is_begun_from_a_form_or_json_and_its_page_is_there(
    client: TestClient, token: Mapping[str, str], job: str
) -> None:
    by_form = client.post("/jobs", data={"vehicle": "lamp", "complaint": "E7 dim when S4=on"}, headers=token)
    assert by_form.status_code == 201
    assert by_form.headers["hx-redirect"] != job
    assert "E7 dead when S4=on" in client.get(job).text
    assert client.get(f"{job}/record").status_code == 200
    assert "/job/" in client.get("/").text


def test_what_cannot_be_begun_is_said_in_the_page(client: TestClient, token: Mapping[str, str]) -> None:
    refused = client.post("/jobs", data={"vehicle": "lamp", "complaint": "E7 wobbles"}, headers=token)
    assert refused.status_code == 200
    assert "problem error" in refused.text
    as_json = client.post("/jobs", json={"vehicle": "lamp", "complaint": "E7 wobbles"}, headers=token)
    assert (as_json.status_code, as_json.json()["problems"][0]["title"] != "") == (422, True)


def test_the_step_comes_and_its_answer_leads_to_the_next(
    client: TestClient, token: Mapping[str, str], job: str
) -> None:
    first = now(client, job)
    assert 'data-say-step="dead"' in first
    assert 'data-number="2"' in first
    said = enter(client, token, job, line="dead", step="see E7 when S4=on").json()
    assert (said["kept"], said["number"], said["problems"]) == (True, 3, [])
    following = now(client, job)
    assert 'data-number="3"' in following
    assert "data-pad" in following or "data-say-step" in following
    assert "<svg" in client.get(f"{job}/step").text
    assert "E7" in client.get(f"{job}/why?suspect=1").text


def test_an_entry_that_is_sent_again_is_kept_once(client: TestClient, token: Mapping[str, str], job: str) -> None:
    for _ in range(3):
        assert enter(client, token, job, line="11.9", step="volts", setup=AT_LAMP).json()["kept"]
    assert kept(client, job) == ["CaseOpened", "ComplaintGiven", "ReadingTaken"]


@pytest.mark.parametrize("entry", [
    {}, {"line": ""}, {"line": 7}, {"line": "12.4", "number": "2"}, {"line": "x" * 2001}, {"line": "1", "setup": []},
    {"line": "1", "step": None}, {"entry": "", "line": "1"}, {"entry": "a" * 81, "line": "note x"},
])  # fmt: skip
def test_what_is_no_entry_is_refused(
    client: TestClient, token: Mapping[str, str], job: str, entry: Mapping[str, object]
) -> None:
    answer = enter(client, token, job, **entry)
    assert answer.status_code == 400 or answer.json()["kept"] is False
    assert len(kept(client, job)) == 2


@pytest.mark.parametrize("path", ["/entries", "/stop", "/record/entries", "/record/photos?entry=a1"])
def test_nothing_is_written_without_the_pages_token(client: TestClient, job: str, path: str) -> None:
    body = json.dumps({"entry": "a1", "line": "note x", "kind": "note", "fields": {"text": "x"}})
    assert client.post(f"{job}{path}", content=body).status_code == 403
    assert client.post("/jobs", json={"vehicle": "lamp", "complaint": "E7 dead"}).status_code == 403
    assert len(kept(client, job)) == 2


@pytest.mark.parametrize("path", [
    "", "/now", "/record/now", "/file.jsonl", "/photo/" + "0" * 64, "/paper/card", "/paper/secret",
    "/photo/..%2f..%2fx",
])  # fmt: skip
@pytest.mark.parametrize("case", ["gone", "..%2f..%2fetc", "%00", "<script>"])
def test_a_job_that_is_none_has_no_pages(client: TestClient, case: str, path: str) -> None:
    answer = client.get(f"/job/{case}{path}")
    assert answer.status_code == 404
    assert "<script>" not in answer.text.replace("<script src", "")


def test_what_is_worked_out_can_be_stopped_and_gone_on_with(
    client: TestClient, token: Mapping[str, str], job: str
) -> None:
    assert client.post(f"{job}/stop", headers=token).status_code == 204
    assert 'data-number="2"' in now(client, job)


def test_the_record_takes_what_is_told_once(client: TestClient, token: Mapping[str, str], job: str) -> None:
    def add(entry: str, kind: str, **fields: str) -> Any:
        told = {"entry": entry, "kind": kind, "fields": fields}
        return client.post(f"{job}/record/entries", json=told, headers=token).json()

    assert add("a1", "clock-on")["kept"]
    assert add("a1", "clock-on") == {"kept": True, "said": [], "number": 3, "problems": []}
    assert add("a2", "consent", minutes="90", amount="150 EUR", who="A. Berg")["kept"]
    assert add("a3", "part", text="lamp 12V 21W no 433-1 x2 used")["kept"]
    assert add("a4", "signed", role="customer", name="A. Berg", strokes="M1 2L3 4")["kept"]
    assert add("a5", "leads-out")["kept"]
    for kind, fields in (
        ("consent", {}), ("consent", {"minutes": "many"}), ("consent", {"minutes": "-5"}), ("note", {"text": " "}),
        ("signed", {"role": "customer", "name": "A", "strokes": "M1 2L3 4<script>"}),
        ("signed", {"role": "thief", "name": "A"}),
        ("signed", {"role": "customer", "name": ""}), ("CaseClosed", {"verdict": "x"}), ("part", {"text": "x3"}),
    ):  # fmt: skip
        refused = add("b", kind, **fields)
        assert refused["kept"] is False
        assert refused["problems"][0]["fix"]
    shown = client.get(f"{job}/record/now").text
    for said in ("at most 90 min, 150 EUR, A. Berg", "433-1", "M1 2L3 4", "Stop the work clock"):
        assert said in shown
    assert kept(client, job)[2:] == ["WorkClock", "ConsentGiven", "PartUsed", "Signed", "LeadsCounted"]


def test_a_running_clock_is_on_the_first_screen_and_warns_past_what_was_agreed(
    client: TestClient, token: Mapping[str, str], job: str
) -> None:
    def add(entry: str, kind: str, **fields: str) -> None:
        told = {"entry": entry, "kind": kind, "fields": fields}
        assert client.post(f"{job}/record/entries", json=told, headers=token).json()["kept"]

    def row() -> str:
        return client.get("/").text.partition(f'href="{job}"')[2].partition("</li>")[0]

    def warns() -> bool:
        return 'class="caution over">' in client.get(f"{job}/record/now").text

    assert "work clock since" not in row()
    add("b1", "clock-on")
    add("b2", "consent", minutes="90")
    assert "work clock since" in row()
    assert not warns()
    add("b3", "consent", minutes="0.000001")
    while not warns():  # times are kept in whole seconds
        pass
    add("b4", "clock-off")
    assert "work clock since" not in row()


def test_a_photo_is_kept_as_our_own_and_shown(client: TestClient, token: Mapping[str, str], job: str) -> None:
    out = BytesIO()
    Image.new("RGB", (640, 480), "red").save(out, "PNG")
    for _ in range(2):
        sent = client.post(f"{job}/record/photos?entry=p1&text=rust", content=out.getvalue(), headers=token)
        assert sent.json()["kept"]
    assert kept(client, job)[2:] == ["PhotoTaken"]
    shown = client.get(f"{job}/record/now").text
    address = shown.partition('src="')[2].partition('"')[0]
    picture = client.get(address)
    assert (picture.status_code, picture.headers["content-type"]) == (200, "image/jpeg")
    assert Image.open(BytesIO(picture.content)).size == (640, 480)
    assert client.get(address[:-1] + ("0" if address[-1] != "0" else "1")).status_code == 404


def test_what_is_no_photo_is_refused(client: TestClient, token: Mapping[str, str], job: str) -> None:
    for data in (b"", b"GIF89a", b"<svg onload=alert(1)>", b"\xff\xd8\xff\xe0 broken"):
        assert client.post(f"{job}/record/photos?entry=p1", content=data, headers=token).status_code == 415
    assert client.post(f"{job}/record/photos?entry=../x", content=b"", headers=token).status_code == 400
    large = client.post(f"{job}/record/photos?entry=p1", content=bytes(25_000_001), headers=token)
    assert large.status_code == 413
    assert len(kept(client, job)) == 2


def test_the_papers_of_a_job(client: TestClient, token: Mapping[str, str], job: str) -> None:
    enter(client, token, job, line="because <b>water</b>")
    card, copy = paper(client, f"{job}/paper/card"), paper(client, f"{job}/paper/customer")
    assert "&lt;b&gt;water&lt;/b&gt;" in card.text
    assert "Job card: Lamp" in card.text
    assert "Your vehicle: Lamp" in copy.text
    assert "<style" not in card.text
    along = client.get(f"{job}/paper/along.html")
    assert along.headers["content-disposition"].startswith("attachment")
    assert "<script" not in along.text
    assert "http-equiv" in along.text
    assert "What happened" in along.text
    assert "data:image/svg+xml" in along.text
    assert client.get("/paper.css").headers["content-type"].startswith("text/css")


@pytest.mark.pdf
def test_a_paper_that_takes_long_is_announced_and_comes_by_itself(
    client: TestClient, job: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(recordpages, "SOON_S", 0.0)
    announced = client.get(f"{job}/paper/card")
    assert announced.status_code == 200
    assert 'data-again-ms="1500"' in announced.text
    monkeypatch.setattr(recordpages, "SOON_S", 60.0)
    assert "Job card: Lamp" in paper(client, f"{job}/paper/card").text


def test_the_card_as_a_file_to_print(client: TestClient, job: str) -> None:
    made = client.get(f"{job}/paper/card.pdf")
    assert made.content.startswith(b"%PDF")
    assert made.headers["content-disposition"].endswith('.pdf"')


def test_a_complaint_can_be_picked_from_what_the_vehicle_has(client: TestClient) -> None:
    page = client.get("/vehicle/lamp/find").text
    for said in ('data-load="E7"', 'data-does="dead"', 'data-control="S4"', "<option>on</option>"):
        assert said in page
    assert client.get("/vehicle/gone/find").status_code == 404


def test_without_a_complaint_there_is_a_list_to_tick_off(client: TestClient) -> None:
    page = paper(client, "/vehicle/lamp/inspection")
    assert page.status_code == 200
    assert "S4=on" in page.text
    assert "E7" in page.text
    for address in ("/vehicle/lamp/inspection?what=%3Ci%3E", "/vehicle/gone/inspection"):
        refused = client.get(address)
        assert refused.status_code == 404
        assert "<i>" not in refused.text
