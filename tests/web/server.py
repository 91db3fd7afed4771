"""A bench to be asked by tests: a real server of its own, or the application in this process; and a browser before it.

Each has its own folder, with vehicles copied into it, and its own store.
"""

import re
import shutil
import subprocess
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Page
from starlette.testclient import TestClient

from loombench.shell.web.application import application
from loombench.shell.web.guarding import HEADER
from loombench.shell.web.settings import Settings

ROOT = Path(__file__).resolve().parents[2]
AXE = ROOT / "tests/web/vendor/axe.min.js"
LAMP = """\
loombench 1
vehicle "Lamp" 12V
colours IEC
body chassis
stud W1 on chassis
battery G1 70Ah
switch S4 off | on: 1=2
lamp E7 12V 21W
G1.- (BK 16mm2 0.4m) W1/a
G1.+ (RD 1mm2 1m) S4.1
S4.2 (GY 1mm2 1m) E7 (BN 1mm2 1m) W1/b
"""
SIZES: Mapping[str, tuple[int, int]] = {
    "tablet": (768, 1024), "tablet-wide": (1024, 768), "laptop": (1366, 768), "phone": (390, 844),
}  # fmt: skip
KEY = b"k" * 32
TOLD = re.compile(r"http://\S+/")
_WATCH = """
addEventListener("securitypolicyviolation", (it) => console.error(`refused: ${it.violatedDirective} ${it.blockedURI}`));
"""


def shelf_of(folder: Path, *examples: str) -> Path:
    """A folder with the vehicle `Lamp` (address `lamp`), and copies of example vehicles by their folders' names."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "lamp.circuit").write_text(LAMP, encoding="utf-8")
    for name in examples:
        shutil.copytree(ROOT / "examples" / name, folder / name)
    return folder


@dataclass(frozen=True)
class Server:
    """A server that runs: its address ends in a slash."""

    address: str
    folder: Path
    store: Path
    process: subprocess.Popen[str]


@contextmanager
def serving(
    folder: Path, store: Path, words: Sequence[str] = (), environment: Mapping[str, str] | None = None
) -> Iterator[Server]:
    """`loombench serve` on a free port of loopback, as a group of processes of its own, until left."""
    command = [sys.executable, "-m", "loombench", "serve", str(folder), "--store", str(store)]
    with subprocess.Popen(
        [*command, "--port", "0", *words],
        cwd=ROOT,
        env=environment,
        text=True,
        stdout=subprocess.PIPE,
        start_new_session=True,
    ) as process:
        try:
            assert process.stdout is not None
            said = TOLD.search(process.stdout.readline())
            assert said is not None, "it does not serve; what it said is above"
            yield Server(said[0], folder, store, process)
        finally:
            process.terminate()
            process.wait(20)


@contextmanager
def asked(folder: Path, store: Path, lan: str = "") -> Iterator[TestClient]:
    """The application in this process, with one worker in each lane; asked by a whole address, it takes the request
    for one that was received there."""
    settings = Settings(folder, store, quick=1, deep=1, lan=lan)
    with TestClient(application(settings, KEY), base_url=settings.address()) as client:
        yield client


def writing(client: TestClient, page: str = "/") -> dict[str, str]:
    """The headers with which a client may write: it has looked at a page before."""
    found = re.search(rf'"{HEADER}":"(\w+)"', client.get(page).text)
    assert found is not None
    return {HEADER: found[1]}


@contextmanager
def watched(browser: Browser, address: str, size: str = "laptop", **options: Any) -> Iterator[Page]:
    """A page of a fresh session at the first screen. `options` are those of a browser's context, such as
    `color_scheme="dark"`.

    Raises:
        AssertionError: its console told of an error, or the policy refused something, until it was left.
    """
    width, height = SIZES[size]
    context = browser.new_context(viewport={"width": width, "height": height}, base_url=address, **options)
    page, wrong = context.new_page(), list[str]()
    page.add_init_script(_WATCH)
    page.on("console", lambda said: wrong.append(said.text) if said.type == "error" else None)
    page.on("pageerror", lambda raised: wrong.append(str(raised)))
    try:
        page.goto(address)
        yield page
        # What was refused in the last moment is told in the next turn of the page's loop.
        page.evaluate("new Promise((done) => requestAnimationFrame(() => setTimeout(done)))")
    finally:
        context.close()
    assert not wrong, "\n".join(wrong)


def barriers(page: Page, part: str = "body", rules: Sequence[str] = ()) -> list[str]:
    """What keeps somebody out of a page or a part of it, by axe-core: the rule and the elements. By all its rules, or
    by those that are named."""
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate("([part, rules]) => axe.run(part, rules.length ? {runOnly: rules} : {})", [part, list(rules)])
    assert len(found["passes"]) > (0 if rules else 5)
    return [f"{one['id']}: {node['html']}" for one in found["violations"] for node in one["nodes"]]
