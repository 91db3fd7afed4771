"""Files and names that a page gives in backticks exist: a page that sends somebody to a place sends them to a real one.

Outside fenced blocks: a path (`docs/kinds/lamp.md`, `src/loombench/`) is looked for from the root of the checkout, from
the page's folder and from `src/loombench`; `<kind>` and `*` in it stand for any name. A table (`relay.csv`) is one of
the facts'. A dotted name (`circuit.inject.inject`, with or without `loombench.` before it) is a module of the program
or something in one.
"""

import importlib
import re
from collections.abc import Iterator
from pathlib import Path

_FENCED = re.compile(r"^```.*?^```[ ]*$", re.S | re.M)
_TICKED = re.compile(r"`([^`\n]+)`")
_PATH = re.compile(r"(?:[\w.*<>-]+/)+(?:[\w.*<>-]+\.(?:py|md|toml|csv|circuit|cir|json|txt))?")
_TABLE = re.compile(r"\w+\.csv")
_DOTTED = re.compile(r"[a-z_]\w*(?:\.\w+)+(?<!\.circuit)")
_PACKAGE = "loombench"
_MADE = frozenset({"benchmarks/results/", "job-cards/"})
"""Folders that a run of the program makes."""


def missing_names(root: Path, page: str) -> tuple[str, ...]:
    """One line for each path or name the page gives that is not there.

    Raises:
        OSError: there is no such page.
    """
    return tuple(_missing(root, page, (root / page).read_text(encoding="utf-8")))


def _missing(root: Path, page: str, text: str) -> Iterator[str]:
    source = root / "src" / _PACKAGE
    packages = {path.name for path in source.iterdir() if (path / "__init__.py").is_file()}
    prose = _FENCED.sub(lambda fenced: "\n" * fenced[0].count("\n"), text)
    for found in _TICKED.finditer(prose):
        name = found[1]
        where = f"{page}:{prose.count(chr(10), 0, found.start()) + 1}"
        if _PATH.fullmatch(name):
            if name not in _MADE and not any(_there(base, name) for base in (root, (root / page).parent, source)):
                yield f"{where}: there is no {name}"
        elif _TABLE.fullmatch(name):
            if not (source / "facts" / "data" / name).is_file():
                yield f"{where}: there is no table {name}"
        elif _DOTTED.fullmatch(name):
            first = name.partition(".")[0]
            full = name if first == _PACKAGE else f"{_PACKAGE}.{name}"
            if (first == _PACKAGE or first in packages) and not resolves(full):
                yield f"{where}: there is nothing called {name}"


def _there(base: Path, name: str) -> bool:
    pattern = re.sub(r"<\w+>", "*", name)
    return any(base.glob(pattern)) if "*" in pattern else (base / name).exists()


def resolves(dotted: str) -> bool:
    """Whether a dotted name is a module, or something in one; a field of a dataclass counts."""
    words = dotted.split(".")
    for length in range(len(words), 0, -1):
        try:
            found: object = importlib.import_module(".".join(words[:length]))
        except ModuleNotFoundError:
            continue
        for word in words[length:]:
            if word in getattr(found, "__dataclass_fields__", {}):
                return word == words[-1]
            if not hasattr(found, word):
                return False
            found = getattr(found, word)
        return True
    return False
