"""Makes what the browser runs anew, from the versions locked beside this file: `python tools/web/build.py [--check]`.

Needs Node.js with npm, and a network for npm alone; no script of a package is run. Written are the scripts and style
sheets of `src/loombench/shell/web/static`, the accessibility checks of `tests/web/vendor`, their licences, and
`tools/web/SHA256SUMS`, which a test holds. The same locks give the same bytes. With `--check` nothing is written:
it says which file would change.
"""

import hashlib
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from types import MappingProxyType

ROOT = Path(__file__).resolve().parents[2]
HERE = Path("tools/web")
STATIC = Path("src/loombench/shell/web/static")
VENDOR = Path("tests/web/vendor")
SUMS = HERE / "SHA256SUMS"
ENTRY = "editor-entry.js"
SOURCES = (
    ENTRY, "editor-find.js", "editor-notation.js", "editor-problems.js", "editor-theme.js", "package.json",
    "package-lock.json",
)  # fmt: skip
UNALTERED: Mapping[Path, str] = MappingProxyType({
    STATIC / "htmx.min.js": "htmx.org/dist/htmx.min.js",
    STATIC / "htmx-LICENSE.txt": "htmx.org/LICENSE",
    STATIC / "sse.min.js": "htmx-ext-sse/dist/sse.min.js",
    STATIC / "sse-LICENSE.txt": "htmx-ext-sse/LICENSE",
    STATIC / "uPlot.iife.min.js": "uplot/dist/uPlot.iife.min.js",
    STATIC / "uPlot.min.css": "uplot/dist/uPlot.min.css",
    STATIC / "uPlot-LICENSE.txt": "uplot/LICENSE",
    VENDOR / "axe.min.js": "axe-core/axe.min.js",
    VENDOR / "axe-LICENSE.txt": "axe-core/LICENSE",
    VENDOR / "axe-LICENSE-3RD-PARTY.txt": "axe-core/LICENSE-3RD-PARTY.txt",
})  # fmt: skip
# What the editor is bundled from, one licence text each.
BUNDLED = (
    "@codemirror/autocomplete", "@codemirror/commands", "@codemirror/language", "@codemirror/lint",
    "@codemirror/search", "@codemirror/state", "@codemirror/streamparser", "@codemirror/view", "@lezer/common",
    "@lezer/highlight", "@marijn/find-cluster-break", "crelt", "style-mod", "w3c-keyname",
)  # fmt: skip
BANNER = (
    "/*! The editor of Loombench's notation (Apache-2.0) with CodeMirror 6 and what it needs (MIT, see "
    "editor-LICENSES.txt). Made by tools/web/build.py: do not edit. */"
)


def main(words: Sequence[str]) -> int:
    """Make, or with `--check` compare, all files; the exit status is 1 if one differs."""
    if any(word != "--check" for word in words):
        print(__doc__)
        return 2
    with tempfile.TemporaryDirectory() as folder:
        made = _made(Path(folder))
    hashed = {HERE / name: (ROOT / HERE / name).read_bytes() for name in SOURCES} | made
    made[SUMS] = sums(hashed).encode()
    if words:
        differ = [path for path, data in made.items() if not _is(ROOT / path, data)]
        print("\n".join(f"{path.as_posix()} differs" for path in differ) or "every file is as it would be made")
        return 1 if differ else 0
    for path, data in made.items():
        (ROOT / path).parent.mkdir(parents=True, exist_ok=True)
        (ROOT / path).write_bytes(data)
    return 0


def sums(files: Mapping[Path, bytes]) -> str:
    """The lines that `sha256sum --check` reads, by path from the checkout on."""
    return "".join(
        f"{hashlib.sha256(files[path]).hexdigest()}  {path.as_posix()}\n" for path in sorted(files, key=Path.as_posix)
    )


def _made(folder: Path) -> dict[Path, bytes]:
    for name in SOURCES:
        shutil.copyfile(ROOT / HERE / name, folder / name)
    npm = shutil.which("npm")
    if npm is None:
        raise SystemExit("npm is not on the path: install Node.js")
    quiet = ("--ignore-scripts", "--no-audit", "--no-fund", "--loglevel=error")
    subprocess.run([npm, "ci", *quiet], cwd=folder, check=True)
    packages = folder / "node_modules"
    _bundle(folder)
    made = {path: (packages / source).read_bytes() for path, source in UNALTERED.items()}
    made[STATIC / "editor.js"] = (folder / "editor.js").read_bytes()
    made[STATIC / "editor-LICENSES.txt"] = _licences(packages, (folder / "inputs.json").read_text(encoding="utf-8"))
    return made


def _bundle(folder: Path) -> None:
    node = shutil.which("node")
    if node is None:
        raise SystemExit("node is not on the path: install Node.js")
    options = (
        "--bundle", "--format=esm", "--minify", "--target=es2022", "--legal-comments=none", f"--banner:js={BANNER}",
        "--log-level=warning", "--metafile=inputs.json", "--outfile=editor.js",
    )  # fmt: skip
    subprocess.run([node, "node_modules/esbuild/bin/esbuild", ENTRY, *options], cwd=folder, check=True)


def _licences(packages: Path, inputs: str) -> bytes:
    """The licence of each package in the bundle.

    Raises:
        SystemExit: the list above names others than the bundle holds.
    """
    held = {name for name in _names(packages) if f'"node_modules/{name}/' in inputs}
    if held != set(BUNDLED):
        raise SystemExit(f"BUNDLED has to be changed by {', '.join(sorted(held ^ set(BUNDLED)))}")
    texts = (f"{name}\n\n{(packages / name / 'LICENSE').read_text(encoding='utf-8').strip()}\n" for name in BUNDLED)
    return "\n----\n\n".join(texts).encode()


def _names(packages: Path) -> list[str]:
    found = [*packages.glob("[!@.]*"), *packages.glob("@*/*")]
    return sorted(path.relative_to(packages).as_posix() for path in found)


def _is(path: Path, data: bytes) -> bool:
    return path.is_file() and path.read_bytes() == data


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
