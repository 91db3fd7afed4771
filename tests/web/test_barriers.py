"""Every view in every theme: nothing keeps anybody out, and nothing is wider than the screen."""

from collections.abc import Iterator, Mapping
from pathlib import Path
from types import MappingProxyType

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.web.server import Server, barriers, serving, shelf_of, watched

pytestmark = pytest.mark.chromium

PAPER = "main:not(:has([data-again-ms]))"
"""A paper, once it is made."""
WIDTHS = (390, 1366, 768)
VIEWS: Mapping[str, str] = MappingProxyType({
    "": ".vehicles a", "new": "form", "import": "form", "practice": "form", "devices": "h1", "pair": "h1",
    "vehicle/lamp/circuit": "main a", "vehicle/lamp/circuit/E7?do=S4%3Don&part=S4&pin=E7.1&red=E7.1": "#reading",
    "vehicle/lamp/find": "[data-load]", "vehicle/lamp/look-up?text=E7.1": "main svg",
    "vehicle/lamp/notation": ".cm-content", "vehicle/lamp/sheets": "main a", "vehicle/lamp/sheets/feeds": "main svg",
    "practice/lamp/easy/1": "#meter", "vehicle/lamp/inspection": PAPER,
})  # fmt: skip
"""What is on each view once all of it is there."""
BEGIN = """async () => {
  const headers = {...JSON.parse(document.body.getAttribute("hx-headers")), "Content-Type": "application/json"};
  const body = JSON.stringify({vehicle: "lamp", complaint: "E7 dead when S4=on"});
  const begun = await (await fetch("/jobs", {method: "POST", headers, body})).json();
  for (const [at, volts] of ["12.6", "12.4", "12.3"].entries()) {
    const entry = JSON.stringify({entry: `e${at}`, line: `S4.1 ${volts} V when S4=on`});
    await fetch(`${begun.url}/entries`, {method: "POST", headers, body: entry});
  }
  return begun.url;
}"""
"""A job with the same point read three times; its address."""


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """A server of the lamp alone: what is looked at is the page, and not how much there is on it."""
    folder: Path = tmp_path_factory.mktemp("bench")
    with serving(shelf_of(folder / "vehicles"), folder / "store" / "jobs.sqlite") as found:
        yield found


def barriers_of(page: Page, address: str, ready: str) -> list[str]:
    """What is in the way at an address once `ready` is there, in whatever theme; a theme changes nothing but inks."""
    page.goto(address)
    expect(page.locator(ready).first).to_be_visible(timeout=60_000)
    found = barriers(page)
    for theme in ("dark", "sun"):
        page.evaluate("(theme) => document.documentElement.dataset.theme = theme", theme)
        found += [f"{theme}: {one}" for one in barriers(page, rules=("color-contrast",))]
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 800})
        if not page.evaluate("document.documentElement.scrollWidth <= innerWidth"):
            found.append(f"wider than {width} px")
    return found


def test_nobody_is_kept_out_of_any_view(server: Server, browser: Browser) -> None:
    with watched(browser, server.address, "tablet", color_scheme="light") as page:
        job = str(page.evaluate(BEGIN))[1:]
        views = {**VIEWS, job: "#at", f"{job}/record": ".course canvas", f"{job}/paper/card": PAPER}
        found = {view: barriers_of(page, server.address + view, ready) for view, ready in views.items()}
    assert {view: some for view, some in found.items() if some} == {}
