"""Files of harness data, whatever their formats, as harnesses: told by their content and handed to their readers."""

from collections.abc import Sequence
from typing import BinaryIO

from loombench.base.problems import Level, Span
from loombench.base.wording import catalogue
from loombench.exchange.detect import KBL, VEC, Detected, detect
from loombench.exchange.kbl.read import read_kbl
from loombench.exchange.report import Imported, Notes
from loombench.exchange.vec.read import read_vec


def read_harnesses(streams: Sequence[tuple[BinaryIO, str]], colours: str = "") -> tuple[tuple[str, Imported], ...]:
    """What each file holds, by its name; one of no known format is refused with what it is.

    Args:
        streams: files open for reading bytes, with their names for the places of problems; they can go back.
        colours: the system of the colour letters, where it is known.
    """
    return tuple((file, _read(stream, file, colours)) for stream, file in streams)


def _read(stream: BinaryIO, file: str, colours: str) -> Imported:
    found = detect(stream)
    if found.format == KBL:
        return read_kbl(stream, file, colours)
    if found.format == VEC:
        return read_vec(stream, file)
    return _refused(found, file)


def _refused(found: Detected, file: str) -> Imported:
    notes = Notes()
    what = catalogue().say(f"import.format.{found.format}", root=found.root or "-")
    notes.add("import-format", Level.ERROR, Span(file, 1), file=file, what=what)
    return Imported(None, problems=tuple(notes.problems))
