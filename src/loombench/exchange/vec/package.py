"""A VEC package: an archive (ZIP or TAR, packed or not) with an `index.vec` in it, read without unpacking to the disk.

No more is unpacked than a VEC file may be large, whatever the archive says of its sizes. Of a TAR only the plain
headers are read: its extended ones can be made to fill the memory, and name nothing that is needed here.
"""

import bz2
import gzip
import io
import lzma
import zipfile
import zlib
from collections.abc import Iterator
from typing import BinaryIO, cast

from loombench.base.problems import Level, Span
from loombench.base.wording import catalogue
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


def index_of(source: bytes | BinaryIO, file: str, notes: Notes, largest: int = LARGEST) -> tuple[bytes, str] | None:
    """The bytes of a package's `index.vec` (or its only VEC file), and its name; None where there is none to be had.

    What else of the package is a VEC file is said, since it is not read.
    """
    stream = cast(BinaryIO, io.BytesIO(source)) if isinstance(source, bytes) else source
    head = stream.read(8)
    stream.seek(0)
    found: tuple[str, bytes] | None = None
    others: list[str] = []
    try:
        for name, data in _of_zip(stream, largest) if head.startswith(_ZIP) else _of_tar(stream, head, largest):
            if found is None or (_base(name) == INDEX and _base(found[0]) != INDEX):
                others += [found[0]] if found is not None else []
                found = name, data
            else:
                others.append(name)
    except _TooMuchError:
        notes.add("vec-package", Level.ERROR, Span(file, 1), reason=catalogue().say("vec.large", limit=largest))
        return None
    except _BROKEN:
        notes.add("vec-package", Level.ERROR, Span(file, 1), reason=catalogue().say("vec.damaged"))
        return None
    if found is None or (others and _base(found[0]) != INDEX):
        notes.add("vec-package", Level.ERROR, Span(file, 1), reason=catalogue().say("vec.no-index"))
        return None
    label = f"{file}[{found[0][:80]}]"
    if others:
        shown = ", ".join(name[:60] for name in others[:5]) + (" ..." if len(others) > 5 else "")
        notes.add("vec-package-others", Level.WARNING, Span(label, 1), names=shown, count=len(others))
    return found[1], label


class _TooMuchError(Exception):
    """More in the archive than may be unpacked; caught in `index_of`."""


def _base(name: str) -> str:
    return name.replace("\\", "/").rpartition("/")[2].lower()


def _of_zip(stream: BinaryIO, largest: int) -> Iterator[tuple[str, bytes]]:
    with zipfile.ZipFile(stream) as archive:
        infos = archive.infolist()
        if len(infos) > _MOST_MEMBERS:
            raise _TooMuchError
        chosen = [info for info in infos if _base(info.filename).endswith(".vec")]
        index = [info for info in chosen if _base(info.filename) == INDEX]
        for info in chosen:
            if index and info is not index[0]:
                yield info.filename, b""
                continue
            with archive.open(info) as member:
                yield info.filename, _whole(cast(BinaryIO, member), largest)


def _of_tar(stream: BinaryIO, head: bytes, largest: int) -> Iterator[tuple[str, bytes]]:
    plain: BinaryIO = stream
    if head.startswith(b"\x1f\x8b"):
        plain = cast(BinaryIO, gzip.GzipFile(fileobj=stream))
    elif head.startswith(b"BZh"):
        plain = cast(BinaryIO, bz2.BZ2File(stream))
    elif head.startswith(b"\xfd7zXZ"):
        plain = cast(BinaryIO, lzma.LZMAFile(stream))  # noqa: SIM115  (closed with what it reads from)
    left = 2 * largest
    for _ in range(_MOST_MEMBERS):
        header = plain.read(_BLOCK)
        if len(header) < _BLOCK or not header.strip(b"\0"):
            return
        if header[257:262] != b"ustar":
            raise ValueError("no header of a TAR")
        size = int(header[124:136].strip(b"\0 ") or b"0", 8)
        padded = -(-size // _BLOCK) * _BLOCK
        left -= padded
        if left < 0:
            raise _TooMuchError
        name = header[:100].rstrip(b"\0").decode("utf-8", "replace")
        if header[156:157] in (b"0", b"\0") and _base(name).endswith(".vec"):
            if size > largest:
                raise _TooMuchError
            data = plain.read(size)
            if len(data) < size:
                raise EOFError
            yield name, data
            padded -= size
        while padded > 0:
            passed = len(plain.read(min(padded, _PIECE)))
            if not passed:
                raise EOFError
            padded -= passed
    raise _TooMuchError


def _whole(member: BinaryIO, largest: int) -> bytes:
    data = member.read(largest + 1)
    if len(data) > largest:
        raise _TooMuchError
    return data
