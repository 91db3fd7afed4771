"""Circles of imports between modules: none, not even one that a late import inside a function hides."""

from collections.abc import Mapping
from pathlib import Path

from tests.guard.source import imports, modules


def cycles(root: Path) -> tuple[tuple[str, ...], ...]:
    """The sets of modules below `root` that import each other, each in order of name.

    An import counts at any depth. `from a import b` counts for `a.b` where that is a module, else for `a`.

    Raises:
        ValueError: no module below `root`.
    """
    tree = modules(root)
    names = {module.name for module in tree}
    graph = {
        module.name: tuple(
            sorted({
                found.name if found.name in names else found.stem
                for found in imports(module)
                if found.name in names or found.stem in names
            })
        )
        for module in tree
    }  # fmt: skip
    return tuple(sorted(_components(graph)))


def _components(graph: Mapping[str, tuple[str, ...]]) -> list[tuple[str, ...]]:
    """Sets of mutually reachable names, and names that import themselves: small trees, so by reachability."""
    reach = {name: _reached(graph, name) for name in graph}
    found, done = [], set[str]()
    for name in sorted(graph):
        if name in done or name not in reach[name]:
            continue
        ring = tuple(sorted(other for other in reach[name] if name in reach[other]))
        done.update(ring)
        found.append(ring)
    return found


def _reached(graph: Mapping[str, tuple[str, ...]], start: str) -> set[str]:
    seen, todo = set[str](), list(graph[start])
    while todo:
        name = todo.pop()
        if name not in seen:
            seen.add(name)
            todo.extend(graph[name])
    return seen
