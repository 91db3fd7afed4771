"""Habits that make a green run worth less: tests set aside, and errors caught that nobody expected."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

from tests.guard.source import Module, modules

_ASIDE = frozenset({"skip", "skipif", "xfail", "importorskip", "skipIf", "skipUnless", "SkipTest", "expectedFailure"})
_SOURCES = frozenset({"pytest", "mark", "unittest"})
_BROAD = frozenset({"Exception", "BaseException"})
_CODES = re.compile(r"noqa(:[ A-Z0-9,]*)?|type: *ignore(\[[^]]*\])?|pragma: *no cover")
_FEWEST_WORDS = 3


def set_aside(root: Path) -> tuple[str, ...]:
    """One line for each place below `root` that sets a test aside instead of letting it join a group.

    Raises:
        ValueError: no module below `root`.
    """
    return tuple(line for module in modules(root) for line in _set_aside(module))


def _set_aside(module: Module) -> Iterator[str]:
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Attribute) and node.attr in _ASIDE:
            stem = ast.unparse(node.value).split(".")[-1]
            if stem in _SOURCES:
                yield f"{module.path}:{node.lineno}: {stem}.{node.attr} sets a test aside; see tests/groups.py"
        elif isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] in _SOURCES:
            for alias in node.names:
                if alias.name in _ASIDE:
                    yield f"{module.path}:{node.lineno}: {alias.name} sets a test aside; see tests/groups.py"


def broad_excepts(root: Path) -> tuple[str, ...]:
    """One line for each `except` below `root` that catches everything without saying why in a comment on its line.

    Raises:
        ValueError: no module below `root`.
    """
    return tuple(line for module in modules(root) for line in _broad(module))


def _broad(module: Module) -> Iterator[str]:
    for node in ast.walk(module.tree):
        if not isinstance(node, ast.ExceptHandler):
            continue
        kinds = node.type.elts if isinstance(node.type, ast.Tuple) else [node.type]
        names = {"BaseException" if kind is None else ast.unparse(kind).split(".")[-1] for kind in kinds}
        if names & _BROAD and not _reason(module.lines[node.lineno - 1]):
            yield f"{module.path}:{node.lineno}: catches everything without a reason; name the errors, or say why"


def _reason(line: str) -> bool:
    comment = line.partition("#")[2]
    return len(re.findall(r"\w+", _CODES.sub("", comment))) >= _FEWEST_WORDS
