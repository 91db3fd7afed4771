"""Texts that would be scripts, wherever a text can come from: on every page they are text, and nothing runs."""

import json
from collections import deque
from collections.abc import Iterator
from contextlib import closing, contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from threading import Thread
from urllib.parse import quote, urlsplit

import pytest
from playwright.sync_api import Browser, Page

from tests.web.server import Server, serving, watched

pytestmark = pytest.mark.chromium

EVIL = "<script>window.ran=1</script><img src=x onerror=window.ran=2 data-evil><svg onload=window.ran=3>{{7*7}}&lt;"
QUOTED = "' onmouseover=window.ran=4 data-evil='"
BREAKING = "--></style></title></script><b data-evil onclick=window.ran=5>"
VEHICLE = f"""\
loombench 1
vehicle "{EVIL}" 12V
colours IEC
place dash reach 1min "{QUOTED}"
place rear reach 1min "{BREAKING}"
body chassis
stud W1 on chassis at rear "{EVIL}"
battery G1 70Ah at rear "{QUOTED}"
fuse F1 10A at dash "{BREAKING}"
switch S4 off | on: 1=2 at dash "{EVIL}"
connector X1 2way at rear "{QUOTED}"
lamp E7 12V 21W at rear "{EVIL}"
G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 1mm2 1m) F1 (RD 1mm2 1m) S4.1
S4.2 (GY 1mm2 1m) X1.1 (GY 1mm2 1m) E7 (BN 1mm2 1m) W1/b
# {BREAKING}
"""
MOST_PAGES = 60
ENDS = (
    "/?q={}", "/new?kind={}&name={}", "/meant?vehicle=hostile&text={}", "/vehicle/{}/circuit",
    "/vehicle/hostile/circuit?find={}", "/vehicle/hostile/circuit/{}", "/vehicle/hostile/look-up?text={}",
    "/vehicle/hostile/look-up/found?text={}", "/vehicle/hostile/sheets/{}", "/vehicle/hostile/sheets/plug/{}",
    "/meant/states?vehicle=hostile&complaint={}", "/vehicle/hostile/look-up/which?where={}&colour={}",
    "/vehicle/hostile/inspection?what={}", "/vehicle/hostile/sheets/feeds?do={}",
    "/vehicle/hostile/circuit/E7?do={}&fault={}&part={}&pin={}&red={}&black={}&meter={}",
    "/job/{}", "/job/{}/record", "/static/{}", "/practice/hostile/{}/1", "/gone/{}",
)  # fmt: skip


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """A server of a vehicle whose every text is hostile, and so are names of files."""
    folder = tmp_path_factory.mktemp("hostile")
    (folder / "vehicles").mkdir()
    (folder / "vehicles" / "hostile.circuit").write_text(VEHICLE, encoding="utf-8")
    (folder / "vehicles" / f"{EVIL.replace('/', '-')[:90]}.circuit").write_text(VEHICLE, encoding="utf-8")
    (folder / "vehicles" / "broken.circuit").write_text(f'{VEHICLE}lamp {EVIL}\nwire "{EVIL}\n', encoding="utf-8")
    with serving(folder / "vehicles", folder / "store" / "jobs.sqlite") as found:
        yield found


def harmless(page: Page) -> None:
    """Nothing ran, and no text became an element of the page."""
    assert page.evaluate("window.ran ?? null") is None, page.url
    assert page.locator("[data-evil]").count() == 0, page.url
    assert "{{7*7}}" in page.content() or "49" not in page.title()


def links(page: Page, address: str) -> list[str]:
    found: list[str] = page.evaluate("[...document.querySelectorAll('a[href]')].map((it) => it.href)")
    return [one.partition("#")[0] for one in found if urlsplit(one).netloc == urlsplit(address).netloc]


def begun(page: Page) -> str:
    """A job with hostile words in it, as a page of the bench would send them; its address."""
    asked = """async ([path, body]) => {
      const headers = {...JSON.parse(document.body.getAttribute("hx-headers")), "Content-Type": "application/json"};
      const answer = await fetch(path, {method: "POST", headers, body: JSON.stringify(body)});
      return answer.text();
    }"""
    begun = json.loads(page.evaluate(asked, ["/jobs", {"vehicle": "hostile", "complaint": "E7 dead when S4=on"}]))
    for number, words in enumerate((EVIL, QUOTED, BREAKING)):
        entry = {"entry": f"e{number}", "line": f"note {words}"}
        page.evaluate(asked, [f"/job/{begun['case']}/entries", entry])
    page.evaluate(asked, [f"/job/{begun['case']}/entries", {"entry": "x", "line": EVIL}])
    return str(begun["url"])


def test_on_no_page_a_text_is_run(server: Server, browser: Browser) -> None:
    with watched(browser, server.address) as page:
        job = begun(page)
        waiting = deque([server.address, f"{server.address}{job[1:]}", f"{server.address}{job[1:]}/record"])
        seen = set(waiting)
        kinds: dict[str, int] = {}
        while waiting and sum(kinds.values()) < MOST_PAGES:
            address = waiting.popleft()
            kind = "/".join(urlsplit(address).path.split("/")[:4:2])
            if kinds.get(kind, 0) >= 6 or "/paper/" in address or address.endswith("file.jsonl"):
                continue
            kinds[kind] = kinds.get(kind, 0) + 1
            answer = page.goto(address)
            assert answer is not None
            assert answer.status < 500, address
            harmless(page)
            fresh = [one for one in dict.fromkeys(links(page, server.address)) if one not in seen]
            seen.update(fresh)
            waiting.extend(fresh)
        assert sum(kinds.values()) > 12


def test_what_an_address_says_is_not_run(server: Server, browser: Browser) -> None:
    context = browser.new_context(base_url=server.address)
    page, said = context.new_page(), list[str]()
    page.on("console", lambda one: said.append(one.text))
    page.on("dialog", lambda one: said.append(one.message))
    for end in ENDS:
        for text in (EVIL, QUOTED, BREAKING, "javascript:window.ran=6"):
            page.goto(end.replace("{}", quote(text, safe="")))
            harmless(page)
    context.close()
    assert [one for one in said if "Content Security Policy" in one] == []


def test_the_judge_sees_an_element_made_of_a_text(browser: Browser) -> None:
    page = browser.new_context().new_page()
    page.set_content(f"<p>{EVIL}</p>")
    with pytest.raises(AssertionError):
        harmless(page)
    page.context.close()


@contextmanager
def other_program() -> Iterator[str]:
    """The address of a page that is none of ours, on this machine."""

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(200)
            self.send_header("Content-Type", "text/html")
            self.end_headers()
            self.wfile.write(b"<!doctype html><body>")

        def log_message(self, *_: object) -> None:
            """Nothing on the terminal."""

    made = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    thread = Thread(target=made.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{made.server_address[1]}/"
    finally:
        made.shutdown()
        made.server_close()
        thread.join()


READ = """async (address) => {
  const seen = {};
  const frame = document.createElement("iframe");
  frame.src = `${address}devices`;
  const loaded = new Promise((done) => { frame.onload = done; });
  document.body.append(frame);
  await loaded;
  for (const mode of ["cors", "no-cors"]) {
    try {
      const answer = await fetch(`${address}devices`, {credentials: "include", mode});
      seen[mode] = [answer.type, await answer.text()];
    } catch { seen[mode] = ["error", ""]; }
  }
  try {
    const body = '{"vehicle": "hostile", "complaint": "E7 dead when S4=on"}';
    await fetch(`${address}jobs`, {method: "POST", credentials: "include", mode: "no-cors", body});
  } catch { /* what it did is looked at from the other side */ }
  const stream = new EventSource(`${address}devices/changes`, {withCredentials: true});
  seen.stream = await new Promise((done) => {
    stream.onerror = () => done("error");
    stream.onopen = () => done("open");
  });
  stream.close();
  return seen;
}"""
SEND = """(address) => {
  const form = document.createElement("form");
  form.method = "post"; form.action = `${address}jobs`;
  form.innerHTML = '<input name="vehicle" value="hostile"><input name="complaint" value="E7 dead when S4=on">';
  document.body.append(form); form.submit();
}"""


def test_no_page_of_another_program_frames_reads_or_writes_the_bench(server: Server, browser: Browser) -> None:
    """With the person's own browser, which sends it the cookies of the bench: to a browser it is of the same site, as
    the port does not count."""
    with other_program() as evil_address, closing(browser.new_context()) as context:
        page, evil = context.new_page(), context.new_page()
        page.goto(server.address)
        before = page.locator("a[href^='/job/']").count()
        statuses = dict[str, set[int]]()
        context.on("response", lambda one: statuses.setdefault(one.url, set()).add(one.status))
        evil.goto(evil_address)
        answers = evil.evaluate(READ, server.address)
        assert [frame.url for frame in evil.frames[1:]] == ["chrome-error://chromewebdata/"]
        assert answers == {"cors": ["error", ""], "no-cors": ["error", ""], "stream": "error"}
        evil.evaluate(SEND, server.address)
        evil.wait_for_url(f"{server.address}jobs")
        assert statuses[f"{server.address}jobs"] == {403}
        assert evil.get_by_text("another page").count() == 1
        page.reload()
        assert page.locator("a[href^='/job/']").count() == before
