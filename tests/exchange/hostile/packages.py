"""Bad archives, workbooks and text tables."""

import io
import tarfile
import zipfile
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from tests.exchange.books import zipped
from tests.exchange.hostile.pieces import HEAD, MANY, Make, laughs, outside

_MAIN = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
_LINKS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_RELATIONS = "http://schemas.openxmlformats.org/package/2006/relationships"
_SHEET = "xl/worksheets/sheet1.xml"
_BLANK_MB = 300


def book(rows: str, more: str = "", shared: str = "<sst/>") -> Mapping[str, str]:
    """The parts of a workbook of one sheet."""
    link = f'<Relationship Id="r1" Type="{_LINKS}/worksheet" Target="worksheets/sheet1.xml"/>'
    link += f'<Relationship Id="r2" Type="{_LINKS}/sharedStrings" Target="sharedStrings.xml"/>'
    names = '<sheets><sheet name="A" sheetId="1" r:id="r1"/></sheets>'
    return {
        "[Content_Types].xml": "<Types/>",
        "xl/workbook.xml": f'<workbook {_MAIN} xmlns:r="{_LINKS}">{names}</workbook>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{_RELATIONS}">{link}</Relationships>',
        "xl/sharedStrings.xml": shared,
        _SHEET: f"<worksheet {_MAIN}><sheetData>{rows}</sheetData>{more}</worksheet>",
    }


def open_book(rows: str, doctype: str = "") -> bytes:
    """A workbook of the open format."""
    odf = "urn:oasis:names:tc:opendocument:xmlns"
    spaces = " ".join(f'xmlns:{name}="{odf}:{name}:1.0"' for name in ("office", "table", "text"))
    table = f'<office:spreadsheet><table:table table:name="A">{rows}</table:table></office:spreadsheet>'
    content = f"{HEAD}{doctype}<office:document-content {spaces}><office:body>{table}</office:body>"
    return zipped(
        {
            "mimetype": "application/vnd.oasis.opendocument.spreadsheet",
            "content.xml": content + "</office:document-content>",
        }
    )


@cache
def bomb(name: str) -> bytes:
    """An archive one part of which unpacks to very much of nothing; a workbook if that is the part of a sheet."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for other, text in book("").items() if name == _SHEET else ():
            if other != name:
                archive.writestr(other, text)
        with archive.open(name, "w") as part:
            for _ in range(_BLANK_MB):
                part.write(b" " * (1 << 20))
    return buffer.getvalue()


def lying(data: bytes, name: str) -> bytes:
    """An archive whose directory says of a part that it is ten bytes."""
    changed = bytearray(data)
    at = data.rindex(name.encode()) - 46
    assert data[at : at + 4] == b"PK\x01\x02"
    changed[at + 24 : at + 28] = (10).to_bytes(4, "little")
    return bytes(changed)


def tape(info: tarfile.TarInfo, mode: str, size: int = 0) -> bytes:
    """A tape archive of one file of blanks."""
    buffer = io.BytesIO()
    with tarfile.open(fileobj=buffer, mode=mode) as archive:  # type: ignore[call-overload]
        info.size = size
        archive.addfile(info, io.BufferedReader(_Blanks(size)))
    return buffer.getvalue()


class _Blanks(io.RawIOBase):
    """So many blanks."""

    def __init__(self, size: int) -> None:
        self.left = size

    def readable(self) -> bool:
        return True

    def readinto(self, into: bytearray) -> int:  # type: ignore[override]
        size = min(self.left, len(into))
        into[:size] = b" " * size
        self.left -= size
        return size


def _linked() -> bytes:
    info = tarfile.TarInfo("index.vec")
    info.type, info.linkname = tarfile.SYMTYPE, "/etc/hostname"
    return tape(info, "w")


def _cells(*texts: str) -> str:
    return "<row>" + "".join(f'<c t="inlineStr"><is><t>{text}</t></is></c>' for text in texts) + "</row>"


_HEADS = ("wire", "from", "pin", "to", "pin", "colour", "mm2")
_FIRST = _cells(*_HEADS) + _cells("1", "X1", "1", "X2", "1", "RD", "0.5")
_SHARED = _FIRST + '<row><c t="s"><v>0</v></c></row>'
_LIST = ";".join(_HEADS) + "\n1;X1;1;X2;1;RD;0,5\n"
_ENTITY = "<table:table-row><table:table-cell><text:p>&{};</text:p></table:table-cell></table:table-row>"


def _row(rows: str, columns: str) -> str:
    cell = f'<table:table-cell table:number-columns-repeated="{columns}"><text:p>x</text:p></table:table-cell>'
    return f'<table:table-row table:number-rows-repeated="{rows}">{cell}</table:table-row>'


def _empty_rows() -> bytes:
    """Very many rows of nothing."""
    return (_LIST + ";;;;;;\n" * (MANY // 5)).encode()


def _one_line() -> bytes:
    """A line of twenty megabytes."""
    return (_LIST + "x" * 20_000_000).encode()


def _columns() -> bytes:
    """Very many columns."""
    return (";".join(f"c{n}" for n in range(MANY)) + "\n" + _LIST).encode()


def _rows() -> bytes:
    """Very many wires between two cavities, and headings."""
    return (_LIST * 5_000).encode()


def _quotes() -> bytes:
    """Quotes that are never closed."""
    return (_LIST + '1;"X1;1;X2;1;RD;0,5\n' * 5_000).encode()


REFUSED: Mapping[str, Make] = MappingProxyType({
    "laughs.ods": lambda: open_book(_ENTITY.format("l9"), laughs("x")),
    "outside.ods": lambda: open_book(_ENTITY.format("secret"), outside("x")),
    "laughs.xlsx": lambda: zipped(book(_SHARED, shared=f"{laughs('sst')}<sst><si><t>&l9;</t></si></sst>")),
    "blanks.xlsx": lambda: bomb(_SHEET),
    "blanks.ods": lambda: bomb("content.xml"),
    "blanks.vecpackage": lambda: bomb("index.vec"),
    "lying.xlsx": lambda: lying(bomb(_SHEET), _SHEET),
    "lying.vecpackage": lambda: lying(bomb("index.vec"), "index.vec"),
    "blanks.tgz": lambda: tape(tarfile.TarInfo("index.vec"), "w:gz", _BLANK_MB << 20),
    "link.tar": _linked,
    "no-archive.xlsx": lambda: b"PK\x03\x04" + b"\0" * 1000,
    "cut-archive.xlsx": lambda: zipped(book(_FIRST))[:300],
    "no-index.vecpackage": lambda: zipped({"readme.txt": "no harness here"}),
    "up-and-out.vecpackage": lambda: zipped({"../../readme.txt": "x", "/etc/readme": "x"}),
    "parts.xlsx": lambda: zipped({f"xl/{n}.xml": "" for n in range(20_000)}),
    "binary.csv": lambda: bytes(range(256)) * 1000,
    "nothing.csv": lambda: b"\n\n \n",
    "repeated.ods": lambda: open_book(_row("1000000", "1000000")),
})  # fmt: skip

_ODD_CELLS = (
    '<row r="-5"><c r="ZZZZZZZZ99999999999999999999"><v>1</v></c><c r=""><v>1e999</v></c>'
    '<c r="A0" s="99999999"><v>nan</v></c><c r="A3" s="-1"><v>-inf</v></c></row>'
)
_NO_STRINGS = '<row><c t="s"><v>999999999999</v></c><c t="s"><v>-1</v></c><c t="s"><v>x</v></c></row>'
_MERGES = '<mergeCell ref="A3:XFD1048576"/><mergeCell ref="A1:A1:A1"/><mergeCell ref=""/>'
_FIGURES = "".join(f"{n};X1;{n};X2;{n};RD;{size}\n" for n, size in enumerate(("1e999", "nan", "-1", "9" * 100_000), 2))

ENDURED: Mapping[str, Make] = MappingProxyType({
    "far-cell.xlsx": lambda: zipped(book(f'{_FIRST}<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>')),
    "no-cell.xlsx": lambda: zipped(book(_FIRST + _ODD_CELLS)),
    "no-string.xlsx": lambda: zipped(book(_FIRST + _NO_STRINGS)),
    "merged-all.xlsx": lambda: zipped(book(_FIRST, f"<mergeCells>{_MERGES}</mergeCells>")),
    "repeated-words.ods": lambda: open_book(_row("-1", "many")),
    "empty-rows.csv": _empty_rows,
    "one-line.csv": _one_line,
    "columns.csv": _columns,
    "rows.csv": _rows,
    "quote.csv": _quotes,
    "control.csv": (_LIST + "2;X\x07\x1b[31m1;1;X2\u202e;1;RD;0,5\n").encode,
    "zero.csv": (_LIST + "2;X\x001;1;X2;1;RD;0,5\n").encode,
    "figures.csv": (_LIST + _FIGURES).encode,
})  # fmt: skip
