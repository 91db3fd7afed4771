"""Workbooks built by hand from the standards' elements, for the tests: no library that the reader might agree with."""

import io
import zipfile
from collections.abc import Mapping, Sequence
from xml.sax.saxutils import escape

_TYPE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_STYLES = (
    f'<styleSheet xmlns="{_MAIN}"><numFmts count="2"><numFmt numFmtId="164" formatCode="000"/>'
    '<numFmt numFmtId="165" formatCode="dd\\.mm\\.yyyy"/></numFmts>'
    '<cellXfs><xf numFmtId="0"/><xf numFmtId="16"/><xf numFmtId="11"/><xf numFmtId="164"/><xf numFmtId="165"/>'
    "</cellXfs>"
    "</styleSheet>"
)
Cell = str | float | tuple[float, int]
GENERAL, DAY_MONTH, POWER, THREE_ZEROS, FULL_DATE = range(5)


def packed(parts: Mapping[str, str | bytes]) -> bytes:
    """An archive of parts."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in parts.items():
            archive.writestr(name, text)
    return out.getvalue()


def xlsx(sheets: Mapping[str, Sequence[Sequence[Cell]]], merged: Sequence[str] = ()) -> bytes:
    """A workbook: texts as shared texts, numbers as numbers, pairs as a number with one of the styles above."""
    texts: list[str] = []
    parts: dict[str, str | bytes] = {}
    listed, related = "", ""
    for number, (name, rows) in enumerate(sheets.items(), 1):
        listed += f'<sheet name="{escape(name)}" sheetId="{number}" r:id="rId{number}"/>'
        related += f'<Relationship Id="rId{number}" Type="{_TYPE}/worksheet" Target="worksheets/s{number}.xml"/>'
        body = "".join(
            f'<row r="{line}">' + "".join(_cell(line, at, cell, texts) for at, cell in enumerate(row)) + "</row>"
            for line, row in enumerate(rows, 1)
        )
        spans = "".join(f'<mergeCell ref="{one}"/>' for one in merged)
        parts[f"xl/worksheets/s{number}.xml"] = (
            f'<worksheet xmlns="{_MAIN}"><sheetData>{body}</sheetData><mergeCells>{spans}</mergeCells></worksheet>'
        )
    related += f'<Relationship Id="rIdS" Type="{_TYPE}/sharedStrings" Target="sharedStrings.xml"/>'
    related += f'<Relationship Id="rIdF" Type="{_TYPE}/styles" Target="/xl/styles.xml"/>'
    parts["xl/workbook.xml"] = f'<workbook xmlns="{_MAIN}" xmlns:r="{_TYPE}"><sheets>{listed}</sheets></workbook>'
    parts["_rels/.rels"] = f'<R><Relationship Id="a" Type="{_TYPE}/officeDocument" Target="xl/workbook.xml"/></R>'
    parts["xl/_rels/workbook.xml.rels"] = f"<Relationships>{related}</Relationships>"
    parts["xl/styles.xml"] = _STYLES
    parts["xl/sharedStrings.xml"] = f'<sst xmlns="{_MAIN}">' + "".join(texts) + "</sst>"
    return packed(parts)


def _cell(line: int, at: int, cell: Cell, texts: list[str]) -> str:
    where = f"{chr(65 + at)}{line}"
    if cell == "":
        return ""
    if isinstance(cell, str):
        half = len(cell) // 2
        texts.append(
            f"<si><r><t>{escape(cell[:half])}</t></r><r><t>{escape(cell[half:])}</t></r><rPh><t>no</t></rPh></si>"
        )
        return f'<c r="{where}" t="s"><v>{len(texts) - 1}</v></c>'
    value, style = cell if isinstance(cell, tuple) else (cell, GENERAL)
    return f'<c r="{where}" s="{style}"><v>{value!r}</v></c>'


def ods(sheets: Mapping[str, str]) -> bytes:
    """A document whose tables have the rows given as elements."""
    tables = "".join(f'<table:table table:name="{name}">{rows}</table:table>' for name, rows in sheets.items())
    content = (
        '<office:document-content xmlns:office="o" xmlns:table="t" xmlns:text="x"><office:body><office:spreadsheet>'
        f"{tables}</office:spreadsheet></office:body></office:document-content>"
    )
    return packed({"mimetype": "application/vnd.oasis.opendocument.spreadsheet", "content.xml": content})


def ods_row(*cells: str) -> str:
    """A row of text cells."""
    return (
        "<table:table-row>"
        + "".join(
            f'<table:table-cell office:value-type="string"><text:p>{escape(cell)}</text:p></table:table-cell>'
            for cell in cells
        )
        + "</table:table-row>"
    )
