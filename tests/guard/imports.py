"""Who may import whom. The table is the architecture: a change of it is a change of the design."""

import sys
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from types import MappingProxyType

from tests.guard.source import Module, imports, modules

PACKAGE = "loombench"

_BELOW_APP = (
    "base", "facts", "vehicle", "evidence", "text", "exchange", "circuit", "bus", "check", "diagnose", "rework", "draw",
    "paper", "record",
)  # fmt: skip
LAYERS: Mapping[str, tuple[str, ...]] = MappingProxyType({
    "base": (),
    "facts": ("base",),
    "vehicle": ("base", "facts"),
    "evidence": ("base", "vehicle"),
    "text": ("base", "facts", "vehicle", "evidence"),
    "exchange": ("base", "facts", "vehicle"),
    "circuit": ("base", "facts", "vehicle"),
    "bus": ("base", "facts", "vehicle", "evidence"),
    "check": ("base", "facts", "vehicle", "circuit"),
    "diagnose": ("base", "facts", "vehicle", "evidence", "circuit"),
    "rework": ("base", "facts", "vehicle", "circuit", "check"),
    "draw": ("base", "vehicle"),
    "paper": ("base",),
    "record": ("base", "evidence"),
    "app": _BELOW_APP,
    "shell": ("app", "base"),
})  # fmt: skip

_NUMERIC = ("circuit/", "diagnose/", "rework/", "bus/")
# Where each library may be imported, as beginnings of paths below the package; one that is not listed nowhere.
LIBRARIES: Mapping[str, tuple[str, ...]] = MappingProxyType({
    "numpy": _NUMERIC,
    "scipy": _NUMERIC,
    "numba": ("circuit/compiled.py",),
    "xml": ("exchange/",),
    "lxml": ("exchange/",),
    "defusedxml": ("exchange/",),
    "openpyxl": ("exchange/",),
    "py_mini_racer": ("draw/",),
    "quickjs": ("draw/",),
    "typst": ("paper/",),
    "sqlalchemy": ("record/",),
    "alembic": ("record/",),
    "sqlite3": ("record/",),
    "can": ("bus/",),
    "cantools": ("bus/",),
    "isotp": ("bus/",),
    "udsoncan": ("bus/",),
    "odxtools": ("bus/",),
    "starlette": ("shell/web/",),
    "uvicorn": ("shell/web/",),
    "jinja2": ("shell/web/",),
    "markupsafe": ("shell/web/",),
    "python_multipart": ("shell/web/",),
    "PIL": ("shell/web/",),
    "segno": ("shell/web/",),
    "typer": ("shell/",),
    "click": ("shell/",),
    "rich": ("shell/",),
})  # fmt: skip
# A library that is installed by a package of another name.
_INSTALLED_BY: Mapping[str, str] = MappingProxyType({"PIL": "pillow"})


def offences(
    root: Path,
    package: str = PACKAGE,
    layers: Mapping[str, tuple[str, ...]] = LAYERS,
    libraries: Mapping[str, tuple[str, ...]] = LIBRARIES,
) -> tuple[str, ...]:
    """One line for each import below `root` that the tables do not allow; files at the top of the package are free.

    Raises:
        ValueError: no module of the package below `root`.
    """
    tree = [module for module in modules(root) if module.path.startswith(f"{package}/")]
    if not tree:
        raise ValueError(f"no module of {package} below {root}: is the path right?")
    return tuple(line for module in tree for line in _of_module(module, package, layers, libraries))


def unlocked(root: Path, locks: Iterable[str], package: str = PACKAGE) -> tuple[str, ...]:
    """One line for each import below `root` of a library that none of the lock files, given as texts, installs.

    What only the tests install is not there for a user.
    """
    known = {line.partition("==")[0] for text in locks for line in text.splitlines() if "==" in line}
    names = {name.strip().lower().replace("-", "_") for name in known} | {package} | sys.stdlib_module_names
    return tuple(
        f"{module.path}:{found.line}: {found.name} is in no lock file that a user installs"
        for module in modules(root)
        for found in imports(module)
        if not found.relative and _INSTALLED_BY.get(top := found.name.split(".")[0], top) not in names
    )


def _of_module(
    module: Module, package: str, layers: Mapping[str, tuple[str, ...]], libraries: Mapping[str, tuple[str, ...]]
) -> Iterator[str]:
    below = module.path.removeprefix(f"{package}/")
    layer = below.split("/")[0] if "/" in below else ""
    if layer and layer not in layers:
        yield f"{module.path}:1: the package {layer} is not in the table of layers"
        return
    for found in imports(module):
        where = f"{module.path}:{found.line}"
        top, *rest = found.name.split(".")
        if found.relative:
            yield f"{where}: a relative import; write it from {package} on"
        elif top == package:
            target = rest[0] if rest else ""
            if layer and target == "*":
                yield f"{where}: {layer} may not import everything"
            elif layer and target in layers and target != layer and target not in layers[layer]:
                yield f"{where}: {layer} may not import {target}"
            elif layer and target not in layers:
                yield f"{where}: {layer} may not import {target or 'the top of the package'}"
        elif top in libraries:
            if not below.startswith(libraries[top]):
                yield f"{where}: {top} may be imported only in {', '.join(libraries[top])}"
        elif top not in sys.stdlib_module_names:
            yield f"{where}: the library {top} is in no table"
