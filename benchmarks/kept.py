"""What a kept result hangs on, so that one of another state of the source is not taken up."""

import hashlib
from collections.abc import Iterable, Sequence
from pathlib import Path

from benchmarks.findcases import ROOT

LAYERS = ("app", "circuit", "diagnose", "evidence", "facts", "text", "vehicle")


def source_digest(benchmarks: Sequence[str], more: Iterable[Path] = ()) -> str:
    """Of the tool's source, its tables, the examples, and the benchmarks and files named."""
    digest = hashlib.sha256()
    paths = [*(ROOT / "src" / "loombench" / "facts").rglob("*.csv"), *(ROOT / "examples").rglob("*.circuit"), *more]
    for layer in LAYERS:
        paths += (ROOT / "src" / "loombench" / layer).rglob("*.py")
    paths += [ROOT / "benchmarks" / f"{name}.py" for name in benchmarks]
    for path in sorted(paths):
        digest.update(path.read_bytes())
    return digest.hexdigest()[:12]
