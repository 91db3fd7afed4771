"""Reading a source tree for the guards: its modules, and everything each of them imports."""

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Module:
    """One file: its path below the root with `/`, its dotted name, its syntax tree and its lines."""

    path: str
    name: str
    tree: ast.Module
    lines: tuple[str, ...]


@dataclass(frozen=True)
class Import:
    """One imported name: `import a.b` gives 'a.b'; `from a.b import c` gives 'a.b.c' with stem 'a.b'."""

    line: int
    name: str
    stem: str
    relative: bool = False


def modules(root: Path) -> tuple[Module, ...]:
    """All modules below a root, in order of their paths.

    Raises:
        ValueError: there is none, so the path is wrong or the tree was moved.
        SyntaxError: one cannot be read.
    """
    found = []
    for path in sorted(root.rglob("*.py")):
        text = path.read_text(encoding="utf-8")
        below = path.relative_to(root)
        parts = below.with_suffix("").parts
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        found.append(Module(below.as_posix(), name, ast.parse(text, str(path)), tuple(text.splitlines())))
    if not found:
        raise ValueError(f"no module below {root}: is the path right?")
    return tuple(found)


def imports(module: Module) -> Iterator[Import]:
    """Everything a module imports, at any depth, also by `import_module("...")` and `__import__("...")`."""
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield Import(node.lineno, alias.name, alias.name)
        elif isinstance(node, ast.ImportFrom):
            stem = node.module or ""
            for alias in node.names:
                yield Import(node.lineno, f"{stem}.{alias.name}".strip("."), stem, node.level > 0)
        elif isinstance(node, ast.Call) and node.args and _called(node) in {"import_module", "__import__"}:
            first = node.args[0]
            if isinstance(first, ast.Constant) and isinstance(first.value, str):
                yield Import(node.lineno, first.value, first.value, first.value.startswith("."))


def _called(node: ast.Call) -> str:
    return node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
