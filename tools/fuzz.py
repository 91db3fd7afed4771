"""Fuzz the readers of harness data for as long as one likes, guided by coverage.

    python -m pip install atheris      # not locked: needed for nothing else
    python tools/fuzz.py FORMAT [-max_total_time=300] [-seed=1] [FOLDER] ...

FORMAT is kbl, vec or list; what follows it goes to the fuzzer (libFuzzer's arguments). The fuzzer's bytes are dice:
they choose a sample or trap of the tests and how it is spoilt, so that most files get past the parser. What must hold
is in `tests/exchange/soundness.py`. Where something does not, the file it happened with is written beside the fuzzer's
own record, and becomes a test.
"""

import hashlib
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from types import MappingProxyType, ModuleType
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
ENDINGS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {"kbl": (".kbl",), "vec": (".vec", ".xml"), "list": (".csv", ".tsv")}
)


@dataclass
class Bytes:
    """Dice out of the fuzzer's bytes; all zero when they are used up."""

    provider: Any

    def below(self, sides: int) -> int:
        """A number from 0 up to but without `sides`."""
        return int(self.provider.ConsumeIntInRange(0, sides - 1))


def main() -> None:
    """Fuzz one format."""
    if len(sys.argv) < 2 or sys.argv[1] not in ENDINGS:
        sys.exit(__doc__)
    try:
        atheris = import_module("atheris")
    except ImportError:
        sys.exit("The fuzzer is not installed: python -m pip install atheris")
    fuzz(atheris, sys.argv.pop(1))


def fuzz(atheris: ModuleType, kind: str) -> None:
    """Import the program so that its branches are seen, and fuzz until the fuzzer has enough."""
    sys.path[:0] = [str(ROOT), str(ROOT / "src")]
    with atheris.instrument_imports(include=["loombench"]):
        reading, soundness, spoiling = (
            import_module(f"tests.exchange.{name}") for name in ("reading", "soundness", "spoiling")
        )
    folders = (reading.SAMPLES, reading.TRAPS)
    found = [path for folder in folders for path in sorted(folder.iterdir()) if path.suffix in ENDINGS[kind]]
    whole = [(path.name, path.read_bytes()) for path in found]

    def one(data: bytes) -> None:
        dice = Bytes(atheris.FuzzedDataProvider(data))
        name, sound = whole[dice.below(len(whole))]
        structured = spoiling.spoilt_rows if kind == "list" else spoiling.spoilt_tree
        try:
            bad = (spoiling.spoilt_bytes if dice.below(8) == 0 else structured)(sound, dice)
        except SyntaxError:  # a sample that a tree cannot be made of: one of the traps is no whole file
            return
        try:
            soundness.check(bad, name)
        except BaseException:  # whatever it was: the file is kept, and the fuzzer must see it too
            Path(f"crash-{hashlib.sha256(bad).hexdigest()[:12]}-{name}").write_bytes(bad)
            raise

    atheris.Setup(sys.argv, one)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
