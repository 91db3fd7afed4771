"""The tables of a file, whatever its format; the format is told by the content."""

from loombench.base.problems import Level, Span
from loombench.base.wording import phrase
from loombench.exchange.report import Notes
from loombench.exchange.tables.model import TABLE_LIMITS, Sheet, TableLimits
from loombench.exchange.tables.ods import read_ods
from loombench.exchange.tables.package import Package
from loombench.exchange.tables.textin import read_text
from loombench.exchange.tables.xlsx import read_xlsx

_OLD_WORKBOOK = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_MARKUP = (b"<html", b"<!doctype", b"<table", b"<?xml")


def read_tables(
    data: bytes, file: str, notes: Notes, delimiter: str = "", limits: TableLimits = TABLE_LIMITS
) -> tuple[Sheet, ...]:
    """The sheets of a file with something in them; empty where it cannot be read, with the problem said.

    `delimiter` parts the cells of a text file; found where it is not given.
    """
    if len(data) > limits.largest_file:
        return _refused(file, notes, "large", count=len(data))
    if data.startswith(_OLD_WORKBOOK):
        return _refused(file, notes, "old")
    if data[:4] in (b"PK\x03\x04", b"PK\x05\x06"):
        package = Package(data, file, notes, limits)
        reader = read_ods if "content.xml" in package.parts else read_xlsx
        sheets = reader(package, notes, limits) if package.sound else ()
        return tuple(sheet for sheet in sheets if sheet.rows)
    if data.lstrip(b"\xef\xbb\xbf \t\r\n")[:20].lower().startswith(_MARKUP):
        return _refused(file, notes, "markup")
    sheet = read_text(data, file, notes, limits, delimiter)
    if sheet is None:
        return ()
    if not sheet.rows:
        return _refused(file, notes, "empty")
    return (sheet,)


def _refused(file: str, notes: Notes, why: str, **facts: object) -> tuple[Sheet, ...]:
    notes.add("table-unreadable", Level.ERROR, Span(file, 1), reason=phrase(f"table.{why}", **facts))
    return ()
