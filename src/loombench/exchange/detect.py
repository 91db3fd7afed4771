"""The format of a file by what is in it; its name counts only where the content can be several."""

import re
import zipfile
from dataclasses import dataclass
from types import MappingProxyType
from typing import BinaryIO

KBL, VEC, WIRELIST, PICTURE, XML, EMPTY = "kbl", "vec", "wirelist", "picture", "xml", "empty"
_LOOKED_AT = 1 << 20
_ROOT = re.compile(r"<(?:[\w.-]+:)?([\w.-]+)")
_ASIDE = re.compile(r"<!--.*?(?:-->|\Z)|<\?.*?(?:\?>|\Z)|<!.*?(?:>|\Z)", re.S)
_ROOTS = MappingProxyType({"KBL_container": KBL, "KBL_schema": KBL, "VecContent": VEC})
_PACKED = ((b"\x1f\x8b", VEC), (b"BZh", VEC), (b"\xfd7zXZ", VEC))
_NOT_TEXT = (b"%PDF", b"\x89PNG", b"\xff\xd8\xff", b"\xd0\xcf\x11\xe0", b"AC10")


@dataclass(frozen=True)
class Detected:
    """What a file is: one of the constants of this module; `root` is the name of an XML file's outermost element."""

    format: str
    root: str = ""


def detect(stream: BinaryIO) -> Detected:
    """What a file is; it is left at its beginning.

    Its first megabyte is looked at. Nothing is unpacked: of an archive only the names are.
    """
    stream.seek(0)
    data = stream.read(_LOOKED_AT)
    found = _detect(data, stream)
    stream.seek(0)
    return found


def _detect(data: bytes, stream: BinaryIO) -> Detected:
    if not data.strip(b"\0 \t\r\n"):
        return Detected(EMPTY)
    if data[:4] == b"PK\x03\x04":
        return Detected(_archive(stream))
    for mark, meant in _PACKED:
        if data.startswith(mark):
            return Detected(meant)
    if data[257:262] == b"ustar":
        return Detected(VEC)
    if data.startswith(_NOT_TEXT):
        return Detected(PICTURE)
    text = _text(data).lstrip("\ufeff \t\r\n")
    if not text.startswith("<"):
        return Detected(WIRELIST)
    found = _ROOT.search(_ASIDE.sub("", text))
    root = found[1][:60] if found else ""
    return Detected(_ROOTS.get(root, XML), root)


def _archive(stream: BinaryIO) -> str:
    try:
        with zipfile.ZipFile(stream) as archive:
            names = {name.lower() for name in archive.namelist()[:10_000]}
    except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError):
        return WIRELIST
    return VEC if any(name.endswith(("index.vec", ".vec")) for name in names) else WIRELIST


def _text(data: bytes) -> str:
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", "replace")
    if data[:1] == b"<" and data[1:2] == b"\0":
        return data.decode("utf-16-le", "replace")
    if data[:2] == b"\0<":
        return data.decode("utf-16-be", "replace")
    return data.decode("utf-8", "replace")
