"""A document as one HTML file that needs nothing else: no script, no network, its typeface within.

Everything from outside is escaped. Drawings are shown as images, in which a browser runs no script and loads nothing,
and the page's own policy forbids both once more.
"""

import base64
import html
from collections.abc import Sequence

from loombench.paper.document import (
    Block,
    Caution,
    Document,
    Facts,
    Heading,
    PageBreak,
    Paragraph,
    Rule,
    Sheet,
    SignatureLines,
    Steps,
    Svg,
    Table,
    Together,
    clean,
)
from loombench.paper.style import style_sheet
from loombench.paper.typeface import font_faces

PX_IN_MM = 96.0 / 25.4
"""CSS Values and Units 4, section 6.2: an inch is 96 px."""
_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:"


def to_html(document: Document, linked: Sequence[str] = ()) -> str:
    """The whole file as text. A server that forbids style within a page names the sheets it has in `linked`: its own
    rules and the typeface then come from there and not from the file."""
    footer = f"<footer>{_text(document.footer)}</footer>\n" if document.footer else ""
    body = (
        f"<header><h1 dir=auto>{_text(document.title)}</h1><p dir=auto>{_text(document.subtitle)}</p></header>\n"
        + "".join(f"{_block(block)}\n" for block in document.blocks)
        + footer
        + "".join(f"{_sheet(sheet)}\n" for sheet in document.sheets)
    )
    return (
        "<!doctype html>\n"
        f'<html lang="{_text(document.language)}">\n<head>\n<meta charset="utf-8">\n'
        f"{_policy(linked)}"
        '<meta name="viewport" content="width=device-width">\n'
        f"<title>{_text(document.title)}</title>\n{_style(body, linked)}</head>\n"
        f"<body>\n<main>\n{body}</main>\n</body>\n</html>\n"
    )


def _policy(linked: Sequence[str]) -> str:
    """The page's own policy; a server's answer bears one."""
    return "" if linked else f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">\n'


def _style(body: str, linked: Sequence[str]) -> str:
    if linked:
        return "".join(f'<link rel="stylesheet" href="{_text(one)}">\n' for one in linked)
    return f"<style>\n{font_faces(body)}{style_sheet()}</style>\n"


def _text(text: str) -> str:
    return html.escape(clean(text), quote=True)


def _block(block: Block) -> str:
    match block:
        case Heading(text=text):
            return f"<h2 dir=auto>{_text(text)}</h2>"
        case Paragraph(text=text, weight=weight):
            return f'<p class="{_text(weight)}" dir=auto>{_text(text)}</p>'
        case Caution(title=title, texts=texts):
            items = "".join(f"<p dir=auto>{_text(text)}</p>" for text in texts)
            return f'<section class="caution"><h2>{_text(title)}</h2>{items}</section>'
        case Facts(pairs=pairs, columns=columns):
            items = "".join(f"<dt>{_text(label)}</dt><dd dir=auto>{_text(value)}</dd>" for label, value in pairs)
            return f'<dl class="columns-{columns}">{items}</dl>'
        case Table():
            return _table(block)
        case Steps(texts=texts):
            return "<ol>" + "".join(f"<li dir=auto>{_text(text)}</li>" for text in texts) + "</ol>"
        case Svg(text=text, width_mm=width, alt=alt):
            return _image(text, width, alt)
        case Rule():
            return "<hr>"
        case PageBreak():
            return '<div class="break"></div>'
        case Together(blocks=blocks):
            return '<section class="together">' + "\n".join(_block(one) for one in blocks) + "</section>"
        case SignatureLines(labels=labels):
            return '<div class="sign">' + "".join(f"<p>{_text(label)}</p>" for label in labels) + "</div>"


def _image(svg: str, width_mm: float, alt: str) -> str:
    data = base64.b64encode(_with_typeface(svg).encode("utf-8", "replace")).decode("ascii")
    return f'<img src="data:image/svg+xml;base64,{data}" alt="{_text(alt)}" width="{width_mm * PX_IN_MM:.1f}">'


def _with_typeface(svg: str) -> str:
    """The drawing with the typeface within: an image sees nothing of the page that shows it."""
    root, end, rest = svg.partition(">")
    return f"{root}{end}<style>{font_faces(svg)}</style>{rest}" if root.startswith("<svg ") and rest else svg


def _sheet(sheet: Sheet) -> str:
    """A drawing on a page of its own, on screen as wide as it is; what is too wide can be moved with the keys."""
    name = "sheet wide" if sheet.width_mm > sheet.height_mm else "sheet"
    return f'<figure class="{name}" tabindex="0">{_image(sheet.svg, sheet.width_mm, sheet.alt)}</figure>'


def _table(table: Table) -> str:
    kinds = [
        f"{align} narrow" if narrow else align for align, narrow in zip(table.alignment, table.narrow, strict=True)
    ]

    def row(cells: tuple[str, ...], tag: str, attribute: str = "") -> str:
        inner = "".join(
            # A head without words would be announced as one.
            f'<{tag if cell else "td"} class="{kind}" dir=auto>{_text(cell)}</{tag if cell else "td"}>'
            for kind, cell in zip(kinds, cells, strict=True)
        )
        return f"<tr{attribute}>{inner}</tr>"

    rows = (row(cells, "td", " class=strong" if at in table.strong else "") for at, cells in enumerate(table.rows))
    return f"<table><thead>{row(table.header, 'th')}</thead><tbody>{''.join(rows)}</tbody></table>"
