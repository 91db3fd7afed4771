"""Reading files of a vehicle: what is no text, too large, missing or outside of the folder is said, never raised."""

import stat
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from loombench.text.limits import LIMITS, Limits

SUFFIX = ".circuit"
_LONGEST_NAME = 300


@dataclass(frozen=True)
class Unread:
    """Why a file could not be read: a problem's code and its facts."""

    code: str
    facts: tuple[tuple[str, str], ...] = ()


ReadInclude = Callable[[str], "str | Unread | None"]
"""From a name relative to the vehicle's folder to the file's text; None where there is none."""


def decode(data: bytes, limits: Limits = LIMITS) -> str | Unread:
    """The text of a file's bytes: UTF-8, or UTF-16 where it begins with its mark."""
    if len(data) > limits.largest_file:
        return Unread("file-too-large", (("size", str(len(data))), ("limit", str(limits.largest_file))))
    wide = data[:2] in (b"\xff\xfe", b"\xfe\xff")
    try:
        text = data.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError as wrong:
        line = data[: wrong.start].count(b"\n") + 1
        return Unread("file-not-text", (("line", str(line)),))
    if "\0" in text:
        return Unread("file-not-text", (("line", str(text[: text.index("\0")].count("\n") + 1)),))
    return text


def read_path(path: Path, limits: Limits = LIMITS) -> str | Unread | None:
    """The text of a file; None where there is none. Nothing but plain files is opened."""
    try:
        found = path.stat()
        if not stat.S_ISREG(found.st_mode):
            return None
        if found.st_size > limits.largest_file:
            return Unread("file-too-large", (("size", str(found.st_size)), ("limit", str(limits.largest_file))))
        return decode(path.read_bytes(), limits)
    except (FileNotFoundError, NotADirectoryError, ValueError):
        return None
    except OSError as wrong:
        return Unread("file-unreadable", (("reason", wrong.strerror or type(wrong).__name__),))


def below(folder: str, name: str) -> str | None:
    """The name of an included file from the vehicle's folder; None where it would lead out of `folder`."""
    path = PurePosixPath(name)
    odd = not name or len(name) > _LONGEST_NAME or "\\" in name or "\0" in name or ":" in name
    if odd or path.is_absolute() or ".." in path.parts or name.startswith("~"):
        return None
    return str(PurePosixPath(folder) / path)


def folder_reader(folder: Path, limits: Limits = LIMITS) -> ReadInclude:
    """Reads files of a folder and below; a link that leads out of it counts as outside."""

    def read(name: str) -> str | Unread | None:
        path = folder / name
        try:
            inside = path.resolve().is_relative_to(folder.resolve())
        except (OSError, RuntimeError, ValueError):
            return None
        return read_path(path, limits) if inside else Unread("include-outside")

    return read


def find_main(path: Path) -> Path | Unread:
    """The vehicle's first file: the path itself, or in a folder `vehicle.circuit` or the only one with a vehicle."""
    try:
        if not path.is_dir():
            return path
        main = path / f"vehicle{SUFFIX}"
        if main.is_file():
            return main
        files = sorted(entry for entry in path.iterdir() if entry.suffix == SUFFIX and entry.is_file())
    except (OSError, ValueError) as wrong:
        return Unread("file-unreadable", (("reason", str(getattr(wrong, "strerror", "")) or type(wrong).__name__),))
    heads = [entry for entry in files if _has_vehicle(entry)]
    if len(heads) == 1:
        return heads[0]
    return Unread("folder-without-vehicle", (("count", str(len(heads))),))


def _has_vehicle(path: Path) -> bool:
    text = read_path(path)
    return isinstance(text, str) and any(line.split()[:1] == ["vehicle"] for line in text.splitlines())
