"""Pin-outs, the plan of places, feeds and returns, as pages."""

import pytest
from starlette.testclient import TestClient


def test_every_plug_is_a_page(client: TestClient) -> None:
    listed = client.get("/vehicle/telehandler-roof/sheets")
    assert listed.status_code == 200
    links = [piece.split('"')[0] for piece in listed.text.split('href="/vehicle/telehandler-roof/sheets/plug/')[1:]]
    assert "X12%40boom" in links
    answer = client.get("/vehicle/telehandler-roof/sheets/plug/X12%40boom?from=mating")
    assert answer.status_code == 200
    assert '<th scope="row">3</th><td>OG/BK</td>' in answer.text
    assert "Seen from the face that mates" in answer.text


@pytest.mark.parametrize(
    ("path", "said"),
    [("places", "boom-head"), ("feeds", "F12"), ("feeds?do=S4%3Don", "8.95 A"), ("returns?do=S4%3Don", "W3")],
)
def test_a_sheet_is_drawn(client: TestClient, path: str, said: str) -> None:
    answer = client.get(f"/vehicle/telehandler-roof/sheets/{path}")
    assert answer.status_code == 200
    assert answer.text.count("<svg") >= 1
    assert said in answer.text


@pytest.mark.parametrize(
    ("path", "status", "said"),
    [
        ("telehandler-roof/sheets/plug/X99", 404, "X99"), ("telehandler-roof/sheets/nothing", 404, "no such page"),
        ("nothing/sheets", 404, "no vehicle nothing"), ("nothing/sheets/plug/X1", 404, "no vehicle nothing"),
        ("nothing/sheets/places", 404, "no vehicle nothing"),
        ("telehandler-roof/sheets/feeds?do=S99%3Don", 200, "S99"),
    ],
)  # fmt: skip
def test_what_there_is_not_is_said(client: TestClient, path: str, status: int, said: str) -> None:
    answer = client.get(f"/vehicle/{path}")
    assert (answer.status_code, said in answer.text) == (status, True)
