"""The parts of a workbook file, which is a ZIP archive: found by name, read as XML, never unpacked to the disk.

What an archive says of its sizes is checked before anything is unpacked, and no more than that is ever unpacked.
"""

import io
import struct
import zipfile
import zlib
from collections.abc import Collection

from loombench.base.problems import Level, Span
from loombench.base.wording import phrase
from loombench.exchange.report import Notes
from loombench.exchange.tables.model import TableLimits
from loombench.exchange.xmlin import Take, XmlLimits, read_xml

_BROKEN = (zipfile.BadZipFile, zlib.error, struct.error, EOFError, OSError, ValueError, NotImplementedError,
           RuntimeError, LookupError)  # fmt: skip
_MOST_PARTS = 10_000


class Package:
    """An archive that is being read; `parts` are the names in it."""

    def __init__(self, data: bytes, file: str, notes: Notes, limits: TableLimits) -> None:
        self.file, self.notes, self.limits = file, notes, limits
        self.sound = True
        self.parts: frozenset[str] = frozenset()
        try:
            self.archive = zipfile.ZipFile(io.BytesIO(data))
            names = self.archive.namelist()
        except _BROKEN:
            self.refuse("damaged")
            return
        if len(names) > _MOST_PARTS:
            self.refuse("parts", count=len(names))
            return
        self.parts = frozenset(names)

    def refuse(self, why: str, **facts: object) -> None:
        """Say that the file is no use, once; `why` is a key below `table` in the catalogue."""
        if self.sound:
            reason = phrase(f"table.{why}", **facts)
            self.notes.add("table-unreadable", Level.ERROR, Span(self.file, 1), reason=reason)
        self.sound = False

    def read(self, name: str, containers: Collection[str], take: Take, skipped: Collection[str] = ()) -> bool:
        """Read a part as XML (`xmlin.read_xml`), true where all of it was read; what is wrong is said."""
        if name not in self.parts:
            return False
        label = f"{self.file}[{name}]"
        limits = XmlLimits(largest_file=self.limits.largest_part)
        try:
            info = self.archive.getinfo(name)
            if info.file_size > self.limits.largest_part:
                self.refuse("part-large", name=name, count=info.file_size)
                return False
            with self.archive.open(info) as stream:
                whole = read_xml(stream, label, self.notes, containers, take, skipped, limits, mixed=True)  # type: ignore[arg-type]
        except _BROKEN:
            self.refuse("part-damaged", name=name)
            return False
        self.sound = self.sound and whole
        return whole
