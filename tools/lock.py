"""Write the lock files anew from pyproject.toml: versions and hashes for Python 3.11 to 3.14 on every system.

    python tools/lock.py [--upgrade]

Needs the program `uv` on the path. No address of a package index is written. All files are resolved together first,
so that a package has one version in all of them. Without `--upgrade` what is locked stays where it can.
"""

import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
LOCKS = (
    ("requirements.txt", ()),
    ("requirements-drawing.txt", ("--extra", "drawing")),
    ("requirements-pdf.txt", ("--extra", "pdf")),
    ("requirements-fast.txt", ("--extra", "fast")),
    ("requirements-dev.txt", ("--group", "dev")),
)
_COMPILE = (
    "uv", "pip", "compile", "--quiet", "--universal", "--python-version", "3.11", "--generate-hashes", "--no-header",
    "--no-annotate", "--no-emit-index-url", "--no-emit-find-links",
)  # fmt: skip


def main(words: Sequence[str]) -> int:
    """Write all lock files; the exit status."""
    if any(word != "--upgrade" for word in words):
        print(__doc__)
        return 2
    everything = [word for _, chosen in LOCKS for word in chosen]
    with tempfile.TemporaryDirectory() as folder:
        together = Path(folder) / "together.txt"
        if not words:
            together.write_text("".join(_pins(ROOT / name) for name, _ in LOCKS), encoding="utf-8")
        _compile(everything, together, words)
        for name, chosen in LOCKS:
            _compile([*chosen, "--constraint", str(together)], ROOT / name, ["--upgrade"])
    return 0


def _pins(path: Path) -> str:
    return path.read_text(encoding="utf-8") if path.exists() else ""


def _compile(chosen: Sequence[str], output: Path, words: Sequence[str]) -> None:
    subprocess.run([*_COMPILE, "pyproject.toml", *chosen, *words, "-o", str(output)], cwd=ROOT, check=True)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
