"""A VEC package: an archive (ZIP or TAR, packed or not) with an `index.vec` in it, read without unpacking to the disk.

No more is unpacked than a VEC file may be large, whatever the archive says of its sizes. Of a TAR only the plain
headers are read: its extended ones can be made to fill the memory, and name nothing that is needed here.
"""

import bz2
import contextlib
import gzip
import io
import lzma
import zipfile
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import BinaryIO, cast

from loombench.base.problems import Level, Span
from loombench.base.wording import phrase
from loombench.exchange.report import Notes
from loombench.exchange.xmlin import XML_LIMITS

INDEX = "index.vec"
LARGEST = XML_LIMITS.largest_file
_BROKEN = (zipfile.BadZipFile, zlib.error, lzma.LZMAError, EOFError, OSError, ValueError, NotImplementedError,
           RuntimeError, LookupError)  # fmt: skip
_PACKED = (b"\x1f\x8b", b"BZh", b"\xfd7zXZ\0")
_ZIP = b"PK\x03\x04"
_MOST_MEMBERS = 10_000
_BLOCK = 512
_PIECE = 1 << 20


def is_package(head: bytes) -> bool:
    """Whether a file that begins so is an archive; 300 bytes are enough."""
    return head.startswith((_ZIP, *_PACKED)) or head[257:262] == b"ustar"


def read_index(
    source: bytes | BinaryIO, file: str, notes: Notes, read: Callable[[BinaryIO, str], None], largest: int = LARGEST
) -> None:
    """Hand a package's `index.vec` or only VEC file to `read`, as a stream with its name; or say why there is none.

    What else of the package is a VEC file is said, since it is not read.
    """
    stream = cast(BinaryIO, io.BytesIO(source)) if isinstance(source, bytes) else source
    try:
        head = stream.read(8)
        stream.seek(0)
        names = tuple(_names(stream, head, largest))
        chosen = next((name for name in names if _base(name) == INDEX), names[0] if len(names) == 1 else None)
        if chosen is None:
            notes.add("vec-package", Level.ERROR, Span(file, 1), reason=phrase("vec.no-index"))
            return
        label = f"{file}[{chosen[:80]}]"
        others = [name for name in names if name is not chosen]
        if others:
            shown = ", ".join(name[:60] for name in others[:5]) + (" ..." if len(others) > 5 else "")
            notes.add("vec-package-others", Level.WARNING, Span(label, 1), names=shown, count=len(others))
        stream.seek(0)
        with _opened(stream, head, chosen, largest) as member:
            read(cast(BinaryIO, member), label)
    except _TooMuchError:
        notes.add("vec-package", Level.ERROR, Span(file, 1), reason=phrase("vec.large", limit=largest))
    except _DamagedError:
        notes.add("vec-package", Level.ERROR, Span(file, 1), reason=phrase("vec.damaged"))


class _TooMuchError(Exception):
    """More in the archive than may be unpacked; caught in `read_index`."""


class _DamagedError(Exception):
    """The archive is no whole archive; caught in `read_index`."""


@contextmanager
def _whole() -> Iterator[None]:
    """Whatever a library says of a broken archive, as one error of ours."""
    try:
        yield
    except _BROKEN:
        raise _DamagedError from None


@dataclass
class _Member:
    """A file in an archive while it is read: `allowed` bytes are not too much, `left` of it are known to come."""

    stream: BinaryIO
    allowed: int
    left: int | None = None

    def read(self, size: int = _PIECE) -> bytes:
        """The next bytes, none at the end."""
        with _whole():
            data = self.stream.read(min(size, _PIECE if self.left is None else self.left, _PIECE))
            if not data and self.left:
                raise EOFError
        self.left = None if self.left is None else self.left - len(data)
        self.allowed -= len(data)
        if self.allowed < 0:
            raise _TooMuchError
        return data


def _base(name: str) -> str:
    return name.replace("\\", "/").rpartition("/")[2].lower()


def _names(stream: BinaryIO, head: bytes, largest: int) -> Iterator[str]:
    """The names of the VEC files in an archive."""
    if not head.startswith(_ZIP):
        yield from (name for name, _ in _tar_members(_Member(_plain(stream, head), 2 * largest)))
        return
    with _whole(), zipfile.ZipFile(stream) as archive:
        names = archive.namelist()
    if len(names) > _MOST_MEMBERS:
        raise _TooMuchError
    yield from (name for name in names if _base(name).endswith(".vec"))


@contextmanager
def _opened(stream: BinaryIO, head: bytes, chosen: str, largest: int) -> Iterator[_Member]:
    """The file of that name in an archive."""
    if head.startswith(_ZIP):
        with contextlib.ExitStack() as stack:
            with _whole():
                archive = stack.enter_context(zipfile.ZipFile(stream))
                if archive.getinfo(chosen).file_size > largest:
                    raise _TooMuchError
                member = stack.enter_context(archive.open(chosen))
            yield _Member(cast(BinaryIO, member), largest)
        return
    tar = _Member(_plain(stream, head), 2 * largest)
    size = next((size for name, size in _tar_members(tar) if name == chosen), 0)
    if size > largest:
        raise _TooMuchError
    yield _Member(cast(BinaryIO, tar), largest, size)


def _plain(stream: BinaryIO, head: bytes) -> BinaryIO:
    """The TAR in a file that is one or a packed one."""
    if head.startswith(b"\x1f\x8b"):
        return cast(BinaryIO, gzip.GzipFile(fileobj=stream))
    if head.startswith(b"BZh"):
        return cast(BinaryIO, bz2.BZ2File(stream))
    if head.startswith(b"\xfd7zXZ"):
        return cast(BinaryIO, lzma.LZMAFile(stream))
    return stream


def _tar_members(tar: _Member) -> Iterator[tuple[str, int]]:
    """The VEC files of a TAR with their sizes; at each the stream stands where it begins."""
    for _ in range(_MOST_MEMBERS):
        header = b""
        while len(header) < _BLOCK and (more := tar.read(_BLOCK - len(header))):
            header += more
        if len(header) < _BLOCK or not header.strip(b"\0"):
            return
        with _whole():
            if header[257:262] != b"ustar":
                raise ValueError("no header of a TAR")
            size = int(header[124:136].strip(b"\0 ") or b"0", 8)
        if size < 0 or size > tar.allowed:
            raise _TooMuchError
        start = tar.allowed
        name = header[:100].rstrip(b"\0").decode("utf-8", "replace")
        if header[156:157] in (b"0", b"\0") and _base(name).endswith(".vec"):
            yield name, size
        left = -(-size // _BLOCK) * _BLOCK - (start - tar.allowed)
        while left > 0:
            passed = len(tar.read(left))
            if not passed:
                raise _DamagedError
            left -= passed
    raise _TooMuchError
