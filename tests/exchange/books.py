"""Workbooks made in code: XLSX and ODS with what spreadsheets do to wire lists.

A cell is text, or one of the values below. Only what a reader needs is written (ISO/IEC 29500-1, ODF 1.3), from the
standards and not from the program.
"""

import io
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_LINKS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_ODF = "urn:oasis:names:tc:opendocument:xmlns"


@dataclass(frozen=True)
class Number:
    """A number as stored, and the style it is shown in: `""` general, `0000` for leading zeros, `d-mmm` for dates."""

    value: str
    shown: str = ""


@dataclass(frozen=True)
class Covered:
    """A cell hidden by a merged one above or left of it."""


@dataclass(frozen=True)
class Merged:
    """The first cell of a merged range, with how many rows and columns it takes."""

    text: str
    rows: int = 1
    columns: int = 1


Cell = str | Number | Covered | Merged | None
Rows = Sequence[Sequence[Cell]]


def xlsx(sheets: Mapping[str, Rows], inline: bool = False) -> bytes:
    """A workbook; `inline` puts texts into the cells instead of the table of shared strings."""
    styles = sorted({c.shown for rows in sheets.values() for r in rows for c in r if isinstance(c, Number) and c.shown})
    strings: dict[str, int] = {}
    parts: dict[str, str] = {}
    for number, rows in enumerate(sheets.values(), 1):
        merges: list[str] = []
        body = "".join(_row(n, row, strings, styles, merges, inline) for n, row in enumerate(rows, 1))
        merged = f"<mergeCells>{''.join(merges)}</mergeCells>" if merges else ""
        parts[f"xl/worksheets/sheet{number}.xml"] = (
            f'<worksheet xmlns="{_MAIN}"><sheetData>{body}</sheetData>{merged}</worksheet>'
        )
    names = "".join(f'<sheet name={quoteattr(name)} sheetId="{n}" r:id="rId{n}"/>' for n, name in enumerate(sheets, 1))
    parts["xl/workbook.xml"] = f'<workbook xmlns="{_MAIN}" xmlns:r="{_LINKS}"><sheets>{names}</sheets></workbook>'
    links = "".join(
        f'<Relationship Id="rId{n}" Type="{_LINKS}/worksheet" Target="worksheets/sheet{n}.xml"/>'
        for n in range(1, len(sheets) + 1)
    )
    links += f'<Relationship Id="rIdS" Type="{_LINKS}/sharedStrings" Target="sharedStrings.xml"/>'
    links += f'<Relationship Id="rIdT" Type="{_LINKS}/styles" Target="styles.xml"/>'
    parts["xl/_rels/workbook.xml.rels"] = f'<Relationships xmlns="{_PACKAGE}/relationships">{links}</Relationships>'
    shared = "".join(f'<si><t xml:space="preserve">{escape(text)}</t></si>' for text in strings)
    parts["xl/sharedStrings.xml"] = f'<sst xmlns="{_MAIN}">{shared}</sst>'
    formats = "".join(f'<numFmt numFmtId="{164 + n}" formatCode={quoteattr(s)}/>' for n, s in enumerate(styles))
    shapes = '<xf numFmtId="0"/>' + "".join(f'<xf numFmtId="{164 + n}"/>' for n in range(len(styles)))
    parts["xl/styles.xml"] = (
        f'<styleSheet xmlns="{_MAIN}"><numFmts>{formats}</numFmts><cellXfs>{shapes}</cellXfs></styleSheet>'
    )
    parts["_rels/.rels"] = (
        f'<Relationships xmlns="{_PACKAGE}/relationships"><Relationship Id="rId1" Type="{_LINKS}/officeDocument" '
        'Target="xl/workbook.xml"/></Relationships>'
    )
    parts["[Content_Types].xml"] = f'<Types xmlns="{_PACKAGE}/content-types"/>'
    return zipped({name: '<?xml version="1.0" encoding="UTF-8"?>' + text for name, text in parts.items()})


def ods(sheets: Mapping[str, Rows]) -> bytes:
    """A workbook of the open format: like cells beside one another are written once with a count."""
    tables = ""
    for name, rows in sheets.items():
        body = ""
        for row in rows:
            body += "<table:table-row>" + "".join(_open_cell(cell, count) for cell, count in _runs(row))
            body += "</table:table-row>"
        tables += f"<table:table table:name={quoteattr(name)}>{body}</table:table>"
    spaces = " ".join(f'xmlns:{name}="{_ODF}:{name}:1.0"' for name in ("office", "table", "text"))
    content = (
        f'<?xml version="1.0" encoding="UTF-8"?><office:document-content {spaces}><office:body><office:spreadsheet>'
        f"{tables}</office:spreadsheet></office:body></office:document-content>"
    )
    return zipped({"mimetype": "application/vnd.oasis.opendocument.spreadsheet", "content.xml": content})


def zipped(parts: Mapping[str, str | bytes]) -> bytes:
    """An archive of the parts, the same bytes every time."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in parts.items():
            archive.writestr(zipfile.ZipInfo(name), data, zipfile.ZIP_DEFLATED)
    return buffer.getvalue()


def column(number: int) -> str:
    """The letters of a column counted from 1."""
    letters = ""
    while number:
        number, rest = divmod(number - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def _row(
    n: int, row: Sequence[Cell], strings: dict[str, int], styles: list[str], merges: list[str], inline: bool
) -> str:
    cells = ""
    for at, cell in enumerate(row, 1):
        where = f"{column(at)}{n}"
        if cell is None or isinstance(cell, Covered):
            continue
        if isinstance(cell, Number):
            style = f' s="{styles.index(cell.shown) + 1}"' if cell.shown else ""
            cells += f'<c r="{where}"{style}><v>{cell.value}</v></c>'
            continue
        text = cell.text if isinstance(cell, Merged) else cell
        if isinstance(cell, Merged):
            merges.append(f'<mergeCell ref="{where}:{column(at + cell.columns - 1)}{n + cell.rows - 1}"/>')
        if inline:
            cells += f'<c r="{where}" t="inlineStr"><is><t>{escape(text)}</t></is></c>'
        else:
            cells += f'<c r="{where}" t="s"><v>{strings.setdefault(text, len(strings))}</v></c>'
    return f'<row r="{n}">{cells}</row>'


def _runs(row: Sequence[Cell]) -> list[tuple[Cell, int]]:
    runs: list[tuple[Cell, int]] = []
    for cell in row:
        if runs and runs[-1][0] == cell and not isinstance(cell, Merged):
            runs[-1] = (cell, runs[-1][1] + 1)
        else:
            runs.append((cell, 1))
    return runs


def _open_cell(cell: Cell, count: int) -> str:
    times = f' table:number-columns-repeated="{count}"' if count > 1 else ""
    if cell is None:
        return f"<table:table-cell{times}/>"
    if isinstance(cell, Covered):
        return f"<table:covered-table-cell{times}/>"
    if isinstance(cell, Number):
        return (
            f'<table:table-cell office:value-type="float" office:value="{cell.value}"{times}>'
            f"<text:p>{escape(cell.shown or cell.value)}</text:p></table:table-cell>"
        )
    span, text = "", cell
    if isinstance(cell, Merged):
        text = cell.text
        span = f' table:number-rows-spanned="{cell.rows}" table:number-columns-spanned="{cell.columns}"'
    inside = f"<text:p>{escape(str(text))}</text:p>"
    return f'<table:table-cell office:value-type="string"{span}{times}>{inside}</table:table-cell>'
