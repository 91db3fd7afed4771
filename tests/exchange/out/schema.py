"""The published schemas, and what a text breaks of one."""

from functools import cache
from pathlib import Path

import xmlschema

FOLDER = Path(__file__).resolve().parents[1] / "schema"
FILES = {"kbl": "kbl2.5-sr1.xsd", "vec": "vec_2.2.0.xsd"}


@cache
def schema(name: str) -> xmlschema.XMLSchema:
    """The schema of `kbl` or `vec`; read from the file alone, nothing is fetched."""
    return xmlschema.XMLSchema(FOLDER / FILES[name], allow="local", defuse="always")


def breaches(name: str, text: str) -> tuple[str, ...]:
    """What of the schema a document does not keep, one line for each, the first ten."""
    found = []
    for error in schema(name).iter_errors(text):
        found.append(f"{error.path}: {error.reason}")
        if len(found) == 10:
            break
    return tuple(found)
