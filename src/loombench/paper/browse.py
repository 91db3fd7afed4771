"""A long table as one HTML file to search in: nothing is loaded, and without script it is still the whole table.

The only script is ours, fixed, named by its digest in the page's own policy: any other is refused by the browser.
"""

import base64
import hashlib
import html
from dataclasses import dataclass

from loombench.paper.document import clean
from loombench.paper.style import style_sheet
from loombench.paper.typeface import font_faces


@dataclass(frozen=True)
class Browsable:
    """A page: `notes` stand above the table; `choose` is the column that can be chosen from, and `labels` are those of
    the search field, of the choice, of "all of them", and of how many rows there are to see."""

    title: str
    subtitle: str
    notes: tuple[str, ...]
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    choose: int
    labels: tuple[str, str, str, str]
    language: str = "en"


_SCRIPT = """
const find = document.getElementById("find"), pick = document.getElementById("pick");
const rows = Array.from(document.querySelectorAll("tbody tr"), row => ({
  row, text: row.textContent.toLowerCase(), state: row.cells[Number(pick.dataset.column)].textContent}));
for (const state of new Set(rows.map(one => one.state))) pick.add(new Option(state, "=" + state));
const show = () => {
  const words = find.value.toLowerCase().split(/\\s+/).filter(Boolean);
  let seen = 0;
  for (const one of rows) {
    const fits = words.every(word => one.text.includes(word)) && (!pick.value || pick.value === "=" + one.state);
    one.row.hidden = !fits;
    seen += fits;
  }
  document.getElementById("seen").textContent = seen;
};
find.addEventListener("input", show);
pick.addEventListener("change", show);
document.getElementById("tools").hidden = false;
show();
"""
_MORE = """
main{max-width:none}
#tools{display:flex;gap:6mm;align-items:baseline;flex-wrap:wrap;margin:3mm 0;position:sticky;top:0;background:inherit}
#tools[hidden],tr[hidden]{display:none}
#tools input,#tools select{font:inherit;color:inherit;background:none;border:.5pt solid currentColor;padding:1mm 2mm}
#tools input{min-width:60mm}
thead th{position:sticky;top:0}
th,td{white-space:normal;overflow-wrap:break-word}
@media print{#tools{display:none}}
"""


def to_browsable(page: Browsable) -> str:
    """The whole file as text."""
    digest = base64.b64encode(hashlib.sha256(_SCRIPT.encode()).digest()).decode()
    policy = (
        f"default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:; script-src 'sha256-{digest}'"
    )
    search, choose, every, seen = map(_text, page.labels)
    head = "".join(f"<th>{_text(cell)}</th>" for cell in page.header)
    rows = "\n".join(
        "<tr>" + "".join(f"<td dir=auto>{_text(cell)}</td>" for cell in row) + "</tr>" for row in page.rows
    )
    notes = "".join(f"<p dir=auto>{_text(note)}</p>\n" for note in page.notes)
    body = (
        f"<header><h1 dir=auto>{_text(page.title)}</h1><p dir=auto>{_text(page.subtitle)}</p></header>\n{notes}"
        f'<div id="tools" hidden><label>{search} <input id="find" type="search"></label>'
        f'<label>{choose} <select id="pick" data-column="{page.choose}"><option value="">{every}</option></select>'
        f'</label><span><span id="seen">{len(page.rows)}</span> {seen}</span></div>\n'
        f"<table><thead><tr>{head}</tr></thead>\n<tbody>\n{rows}\n</tbody></table>\n"
    )
    return (
        "<!doctype html>\n"
        f'<html lang="{_text(page.language)}">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        '<meta name="viewport" content="width=device-width">\n'
        f"<title>{_text(page.title)}</title>\n<style>\n{font_faces(body)}{style_sheet()}{_MORE}</style>\n</head>\n"
        f"<body>\n<main>\n{body}</main>\n<script>{_SCRIPT}</script>\n</body>\n</html>\n"
    )


def _text(text: str) -> str:
    return html.escape(clean(text), quote=True)
