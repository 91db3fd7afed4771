"""State that outlives a call: none in a module or a class.

What a module or a class holds is a constant: a tuple, a frozenset, a `MappingProxyType`, a frozen value, or something
annotated as read-only (`Final`, `Mapping`, `Sequence`, ...), so that the type checker refuses to change it.
"""

import ast
from collections.abc import Iterable, Iterator
from pathlib import Path

from tests.guard.source import Module, modules

_MUTABLE_CALLS = frozenset({
    "list", "dict", "set", "bytearray", "defaultdict", "deque", "OrderedDict", "Counter", "ChainMap", "array",
    "WeakKeyDictionary", "WeakValueDictionary", "local",
})  # fmt: skip
_MUTABLE = (ast.List, ast.Dict, ast.Set, ast.ListComp, ast.DictComp, ast.SetComp)
_READ_ONLY = frozenset({"Final", "Mapping", "Sequence", "Collection", "Iterable", "Set", "AbstractSet"})
# Python itself wants these as lists, or leaves it open.
_FREE = frozenset({"__all__", "__path__"})


def offences(root: Path) -> tuple[str, ...]:
    """One line for each mutable value a module or class below `root` holds, and each `global` statement.

    Raises:
        ValueError: no module below `root`.
    """
    return tuple(line for module in modules(root) for line in _of_module(module))


def _of_module(module: Module) -> Iterator[str]:
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Global):
            yield f"{module.path}:{node.lineno}: `global {', '.join(node.names)}`: pass the value instead"
    for node in _held(module.tree.body):
        if isinstance(node, ast.AugAssign):
            yield f"{module.path}:{node.lineno}: changed after it was made: {ast.unparse(node.target)}"
            continue
        if isinstance(node, ast.AnnAssign) and _read_only(node.annotation):
            continue
        targets = node.targets if isinstance(node, ast.Assign) else [node.target]
        names = [ast.unparse(target) for target in targets]
        if node.value is not None and _mutable(node.value) and not set(names) <= _FREE:
            yield f"{module.path}:{node.lineno}: {', '.join(names)} can be changed by anyone; make it read-only"


def _held(body: Iterable[ast.stmt]) -> Iterator[ast.Assign | ast.AnnAssign | ast.AugAssign]:
    """The assignments that run when the module is imported, also those under `if`, `try` or `with`, and of classes."""
    for node in body:
        if isinstance(node, ast.Assign | ast.AnnAssign | ast.AugAssign):
            yield node
        elif not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            for name in ("body", "orelse", "finalbody"):
                yield from _held(getattr(node, name, []))
            for handler in getattr(node, "handlers", []):
                yield from _held(handler.body)


def _mutable(value: ast.expr) -> bool:
    if isinstance(value, ast.IfExp):
        return _mutable(value.body) or _mutable(value.orelse)
    if isinstance(value, ast.Call):
        called = value.func.value if isinstance(value.func, ast.Subscript) else value.func
        return (called.attr if isinstance(called, ast.Attribute) else getattr(called, "id", "")) in _MUTABLE_CALLS
    return isinstance(value, _MUTABLE)


def _read_only(annotation: ast.expr) -> bool:
    """True where the outermost word of the annotation (within `ClassVar`) promises that nobody changes the value."""
    if isinstance(annotation, ast.Subscript):
        outer = ast.unparse(annotation.value).split(".")[-1]
        return _read_only(annotation.slice) if outer == "ClassVar" else outer in _READ_ONLY
    return ast.unparse(annotation).split(".")[-1] in _READ_ONLY
