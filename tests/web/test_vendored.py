"""What the browser is given by others is what the list says, and is what the locks name."""

import hashlib
import json
import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
STATIC = ROOT / "src/loombench/shell/web/static"
SUMS = "tools/web/SHA256SUMS"
PACKAGE_OF = {
    "htmx.min.js": "htmx.org",
    "sse.min.js": "htmx-ext-sse",
    "uPlot.iife.min.js": "uplot",
    "uPlot.min.css": "uplot",
    "editor.js": "@codemirror/view",
    "axe.min.js": "axe-core",
}


def differing(root: Path) -> list[str]:
    """The files of the list that are not what it says, or not there."""
    lines = (root / SUMS).read_text(encoding="ascii").splitlines()
    listed = dict(reversed(line.split("  ", 1)) for line in lines)
    return [name for name, sum_ in listed.items() if not _is(root / name, sum_)]


def _is(path: Path, wanted: str) -> bool:
    return path.is_file() and hashlib.sha256(path.read_bytes()).hexdigest() == wanted


def lock() -> dict[str, dict[str, object]]:
    """The locked packages by name."""
    read = json.loads((ROOT / "tools/web/package-lock.json").read_text(encoding="utf-8"))
    return {path.removeprefix("node_modules/"): entry for path, entry in read["packages"].items() if path}


def test_every_file_is_as_it_was_made() -> None:
    assert differing(ROOT) == []


def test_all_that_is_vendored_is_on_the_list() -> None:
    listed = (ROOT / SUMS).read_text(encoding="ascii")
    names = [entry["path"] for entry in tomllib.loads((ROOT / "THIRD_PARTY.toml").read_text("utf-8"))["vendored"]]
    ours = [name for name in names if Path(name).name in PACKAGE_OF]
    assert len(ours) == len(PACKAGE_OF)
    assert [name for name in ours if f"  {name}\n" not in listed] == []
    sources = [path for path in sorted((ROOT / "tools/web").iterdir()) if path.suffix in {".js", ".json"}]
    assert len(sources) > 4
    assert [path.name for path in sources if f"  tools/web/{path.name}\n" not in listed] == []


def test_a_planted_change_is_caught(tmp_path: Path) -> None:
    (tmp_path / "tools/web").mkdir(parents=True)
    for name, data in (("a.js", b"a"), ("b.js", b"b")):
        (tmp_path / name).write_bytes(data)
    names = ("a.js", "b.js", "gone.js")
    text = "".join(f"{hashlib.sha256(name[:1].encode()).hexdigest()}  {name}\n" for name in names)
    (tmp_path / SUMS).write_text(text, encoding="ascii")
    assert differing(tmp_path) == ["gone.js"]
    (tmp_path / "b.js").write_bytes(b"b\r")
    assert differing(tmp_path) == ["b.js", "gone.js"]


def test_the_versions_named_are_those_locked() -> None:
    entries = tomllib.loads((ROOT / "THIRD_PARTY.toml").read_text(encoding="utf-8"))["vendored"]
    locked = lock()
    named = {Path(entry["path"]).name: entry["version"] for entry in entries}
    assert {name: named[name] for name in PACKAGE_OF} == {
        name: locked[package]["version"] for name, package in PACKAGE_OF.items()
    }


def test_the_lock_holds_every_package_by_its_sum_and_names_no_address() -> None:
    text = (ROOT / "tools/web/package-lock.json").read_text(encoding="utf-8")
    assert "resolved" not in text
    assert "http" not in text
    assert len(lock()) > 15
    assert [name for name, entry in lock().items() if not str(entry.get("integrity", "")).startswith("sha512-")] == []


def test_what_is_asked_for_is_one_version() -> None:
    asked = json.loads((ROOT / "tools/web/package.json").read_text(encoding="utf-8"))["devDependencies"]
    assert {name: lock()[name]["version"] for name in asked} == asked


@pytest.mark.parametrize("name", ["editor.js", "sse.min.js", "uPlot.iife.min.js"])
def test_no_text_is_run_as_a_program(name: str) -> None:
    text = (STATIC / name).read_text(encoding="utf-8")
    assert len(text) > 1000
    assert re.findall(r"\beval\s*\(|\bFunction\s*\(|\bimport\s*\(|set(?:Timeout|Interval)\(\s*[\"'`]", text) == []


def test_the_editor_asks_for_nothing_else() -> None:
    text = (STATIC / "editor.js").read_text(encoding="utf-8")
    assert re.findall(r"^import\b|;import\b|\bfetch\(|XMLHttpRequest|WebSocket|//# source", text, re.M) == []
    assert re.findall(r"export\{(.*?)\}", text) == [re.findall(r"\w+ as makeEditor", text)[-1]]
