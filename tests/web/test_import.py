"""The import view: files looked at, columns reassigned, options chosen, answers given, a vehicle written whole."""

import io
import json
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect
from starlette.testclient import TestClient

from tests.web.server import ROOT, barriers, writing

DATA = ROOT / "examples/harness-data"
FILES = ("cab.csv", "rear.csv", "connectors.csv")
SIMPLE = b"nr,here,pin,there,pin,colour,size\n1,X1,1,X2,1,BK,1\n2,X1,2,X2,2,RD,1\n"
Sent = list[tuple[str, tuple[str, bytes]]]


def sent(*files: tuple[str, bytes]) -> Sent:
    """Files as a form sends them."""
    return [("files", one) for one in files]


def examples() -> Sent:
    """The example's lists."""
    return sent(*((name, (DATA / name).read_bytes()) for name in FILES))


def answers() -> dict[str, str]:
    """Every answer of the example's table as the form has it."""
    given = {"option": "TWIN", "options-said": "yes", "accept": "yes", "name": "Field sprayer"}
    rows = (("device", "E7", "lamp 21W"), ("device", "E8", "lamp 21W"))
    for number, (what, name, text) in enumerate(rows):
        given |= {f"lack-{number}": json.dumps([what, name]), f"answer-{number}": text}
    return given


@pytest.fixture(autouse=True)
def untouched(place: Path) -> Iterator[None]:
    """What was made by a test is no business of the next one."""
    before = set((place / "vehicles").iterdir())
    yield
    for made in set((place / "vehicles").iterdir()) - before:
        for path in sorted(made.rglob("*"), reverse=True):
            path.rmdir() if path.is_dir() else path.unlink()
        made.rmdir()


def seen(client: TestClient, files: Sent, data: dict[str, Any] | None = None) -> str:
    """What the page shows of some files."""
    answer = client.post("/import/seen", files=files, data=data or {}, headers=writing(client))
    assert answer.status_code == 200
    return answer.text


def test_several_variants_are_asked_for_and_nothing_is_written_before(client: TestClient, place: Path) -> None:
    text = seen(client, examples())
    assert 'name="option" value="TWIN"' in text
    assert 'class="problem error"' not in text
    assert "/import/write" not in text
    chosen = seen(client, examples(), {"option": "TWIN", "options-said": "yes"})
    assert "/import/write" in chosen
    assert not (place / "vehicles/cab").exists()


def test_a_column_is_given_another_meaning(client: TestClient) -> None:
    files = sent(("list.csv", SIMPLE))
    assert 'class="problem error"' in seen(client, files)
    said = {"list-0": json.dumps(["list.csv", ""]), "header-0": "1"}
    fields = ("wire_no", "from_conn", "from_cavity", "to_conn", "to_cavity", "colour", "size")
    text = seen(client, files, said | {f"column-0-{at}": field for at, field in enumerate(fields)})
    assert 'class="problem error"' not in text
    assert "<b>2</b> connections" in text
    assert '<option value="from_conn" selected>' in text


def test_a_vehicle_is_written_whole_and_opened(client: TestClient, place: Path) -> None:
    answer = client.post("/import/write", files=examples(), data=answers(), headers=writing(client))
    assert answer.headers["hx-redirect"] == "/vehicle/field-sprayer/circuit"
    text = (place / "vehicles/field-sprayer/vehicle.circuit").read_text(encoding="utf-8")
    assert 'vehicle "Field sprayer" 12V' in text
    assert "lamp E7 21W" in text
    assert client.get("/vehicle/field-sprayer/circuit").status_code == 200
    again = client.post("/import/write", files=examples(), data=answers(), headers=writing(client))
    assert again.headers["hx-redirect"] == "/vehicle/field-sprayer-2/circuit"


@pytest.mark.parametrize("name", ["../../out", "/etc/cron.d/x", "C:\\Windows\\x", "a\0b", "..", "x" * 5000])
def test_no_name_leads_out_of_the_folder(client: TestClient, place: Path, name: str) -> None:
    # A worker that starts meanwhile makes its store.
    own = {place / "vehicles", place / "asked"}

    def elsewhere() -> set[Path]:
        return {path for path in place.rglob("*") if not own & {path, *path.parents}}

    before = elsewhere()
    files = sent((f"{name}/../../evil.csv", (DATA / "cab.csv").read_bytes()))
    client.post("/import/write", files=files, data={"accept": "yes", "name": name}, headers=writing(client))
    assert elsewhere() == before


def bomb(name: str) -> bytes:
    """A small archive whose content is far too large."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        with archive.open(name, "w", force_zip64=True) as part:
            for _ in range(300):
                part.write(b" " * 1_000_000)
        archive.writestr("[Content_Types].xml", "<Types/>")
    return packed.getvalue()


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("bomb.xlsx", b"xl/worksheets/sheet1.xml"), ("bomb.ods", b"content.xml"),
        ("laughs.kbl", b'<!DOCTYPE a [<!ENTITY b "x"><!ENTITY c "&b;&b;">]><KBL_container>&c;</KBL_container>'),
        ("outside.vec", b'<!DOCTYPE a [<!ENTITY b SYSTEM "file:///etc/passwd">]><VecContent>&b;</VecContent>'),
        ("picture.csv", b"\x89PNG\r\n\x1a\n" + bytes(100)), ("page.csv", b"<html><script>alert(1)</script></html>"),
        ("torn.xlsx", b"PK\x03\x04" + bytes(50)), ("noise.csv", bytes(range(256)) * 40),
    ],
)  # fmt: skip
def test_what_is_no_harness_is_refused_in_words(client: TestClient, name: str, data: bytes) -> None:
    content = bomb(data.decode()) if name.startswith("bomb") else data
    text = seen(client, sent((name, content)))
    assert 'class="problem error"' in text
    assert "/import/write" not in text
    assert "root:" not in text
    assert "<script>alert" not in text


def test_hostile_words_in_a_list_are_shown_as_text(client: TestClient) -> None:
    evil = '"<img src=x onerror=alert(1)>"'
    rows = f"wire,from,pin,to,pin,remark\n1,{evil},1,X2,1,{evil}\n".encode()
    text = seen(client, sent(("<b>'\".csv", rows)), {"name": "<script>alert(2)</script>"})
    assert "<img" not in text
    assert "<script>alert" not in text
    assert "<b>'" not in text


def test_too_much_is_refused(client: TestClient) -> None:
    headers = writing(client)
    large = sent(("big.csv", b"x" * (65 * 1024 * 1024)))
    assert client.post("/import/seen", files=large, headers=headers).status_code == 413
    many = sent(*((f"{at}.csv", b"x") for at in range(30)))
    assert client.post("/import/seen", files=many, headers=headers).status_code == 400
    assert client.post("/import/seen", data={"a": "b"}, headers=headers).status_code == 400
    broken = {**headers, "content-type": "multipart/form-data"}
    assert client.post("/import/seen", content=b"nothing", headers=broken).status_code == 400


def test_nothing_is_taken_without_the_token(client: TestClient) -> None:
    client.get("/")
    assert client.post("/import/write", files=examples(), data=answers()).status_code == 403


@pytest.mark.chromium
@pytest.mark.parametrize("page", ["tablet", "laptop"], indirect=True)
def test_from_files_to_a_vehicle(page: Page, place: Path) -> None:
    page.goto("/import")
    page.get_by_label("Files").set_input_files([DATA / name for name in FILES])
    expect(page.get_by_role("heading", name="cab.csv")).to_be_visible(timeout=60_000)
    assert barriers(page) == []
    page.get_by_label("TWIN").click()
    page.get_by_label("That is all it has").click()
    expect(page.get_by_role("heading", name="Missing")).to_be_visible()
    page.get_by_label("Take all proposals").click()
    expect(page.get_by_role("heading", name="Missing: 0")).to_be_visible()
    page.get_by_label("Answer: hangs on it E7").fill("lamp 21W")
    page.get_by_label("Name or number of the vehicle").fill("Field sprayer")
    assert barriers(page) == []
    page.get_by_role("button", name="Make the vehicle").click()
    page.wait_for_url("**/vehicle/field-sprayer/circuit", timeout=60_000)
    assert "lamp E7 21W" in (place / "vehicles/field-sprayer/vehicle.circuit").read_text(encoding="utf-8")
