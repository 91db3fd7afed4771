"""The text of an XML file from its bytes, in pieces: the encoding found, what does not suit it mended and counted.

Files of harness data say UTF-8 and hold bytes of Windows-1252 often enough. XML's own rule is to give such a file up;
here the bytes that are no UTF-8 are read as Windows-1252 and said to be.
"""

import codecs
import re
from collections.abc import Iterator
from typing import BinaryIO

from loombench.base.problems import Level, Span
from loombench.exchange.report import Notes

_CHUNK = 1 << 16
_DECLARED = re.compile(rb"""<\?xml[^>]{0,200}?encoding\s*=\s*["']([A-Za-z0-9._:-]{1,40})["']""")
_BOMS = (
    (codecs.BOM_UTF8, "utf-8"), (codecs.BOM_UTF32_LE, "utf-32-le"), (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be"),
)  # fmt: skip
_UNMARKED = ((b"<\0", "utf-16-le"), (b"\0<", "utf-16-be"))
# Python knows codecs that are no character sets (`zlib`, `idna`); only these may be named by a file.
_SETS = re.compile(
    r"utf-?8|ascii|us-ascii|utf-?16(le|be)?|iso-?8859-\d{1,2}|latin-?1|windows-125\d|cp125\d|cp437|cp850|"
    r"macintosh|koi8-[ru]|shift_jis|euc-jp|iso-2022-jp|gb2312|gbk|gb18030|big5|euc-kr"
)
_STRAY = re.compile("[\udc80-\udcff]")
_LOST = "\ufffd"


def text_pieces(source: bytes | BinaryIO, file: str, notes: Notes, largest: int) -> Iterator[str] | None:
    """The text in pieces of some 60,000 characters; None where the encoding is not known, with the problem said.

    Reading stops without a word after `largest` bytes and one more piece: whoever feeds on it counts.
    """
    chunks = _chunks(source, largest)
    head = next(chunks, b"")
    encoding, skip = _encoding(head)
    if not encoding:
        return None if _unknown(head, file, notes) else iter(())
    return _decoded(head[skip:], chunks, encoding, file, notes)


def _chunks(source: bytes | BinaryIO, largest: int) -> Iterator[bytes]:
    if isinstance(source, bytes):
        for start in range(0, min(len(source), largest + _CHUNK), _CHUNK):
            yield source[start : start + _CHUNK]
        return
    taken = 0
    while taken <= largest and (chunk := source.read(_CHUNK)):
        taken += len(chunk)
        yield chunk


def _encoding(head: bytes) -> tuple[str, int]:
    """The encoding, empty if it is none we know, and how many bytes mark it."""
    for mark, name in _BOMS:
        if head.startswith(mark):
            return name, len(mark)
    for mark, name in _UNMARKED:
        if head.startswith(mark):
            return name, 0
    declared = _DECLARED.search(head[:400])
    name = declared[1].decode("ascii").lower() if declared else "utf-8"
    if not _SETS.fullmatch(name):
        return "", 0
    # A file that begins with plain letters is in no 16-bit encoding, whatever it says.
    return ("utf-8" if name.startswith("utf") else name), 0


def _unknown(head: bytes, file: str, notes: Notes) -> bool:
    declared = _DECLARED.search(head[:400])
    name = declared[1].decode("ascii") if declared else ""
    notes.add("xml-encoding-unknown", Level.ERROR, Span(file, 1), name=name)
    return True


def _decoded(head: bytes, chunks: Iterator[bytes], encoding: str, file: str, notes: Notes) -> Iterator[str]:
    as_utf8 = encoding in ("utf-8", "utf8")
    decoder = codecs.getincrementaldecoder(encoding)("surrogateescape" if as_utf8 else "replace")
    line, piece, last = 1, head, False
    while True:
        following = next(chunks, b"")
        last = not following
        text = decoder.decode(piece, last)
        if not text.isascii():
            wrong = _STRAY.search(text) if as_utf8 else None
            lost = wrong.start() if wrong else text.find(_LOST)
            if lost >= 0:
                where = Span(file, line + text.count("\n", 0, lost))
                notes.add("xml-encoding", Level.WARNING, where, encoding=encoding.upper())
                text = _STRAY.sub(lambda stray: bytes((ord(stray[0]) - 0xDC00,)).decode("cp1252", "replace"), text)
        yield text
        if last:
            return
        line += text.count("\n")
        piece = following
