"""Drawings as one HTML file to look into: pan, zoom, search, and what is under the finger in words.

Nothing is loaded, and without script the drawings stand below each other. The only script is ours, fixed, named by its
digest in the page's own policy: any other is refused by the browser.
"""

import base64
import hashlib
import html
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from loombench.paper.document import clean
from loombench.paper.look import LOOK
from loombench.paper.typeface import FAMILY, font_faces

_SCRIPT = (Path(__file__).parent / "data" / "viewer.js").read_text(encoding="utf-8")
_STYLE = f"""
*{{box-sizing:border-box}}
html,body{{height:100%}}
body{{margin:0;background:{LOOK.paper};color:{LOOK.ink};font:16px/1.4 "{FAMILY}","DejaVu Sans",sans-serif;
font-variant-numeric:tabular-nums}}
#tools{{position:fixed;inset:0 0 auto 0;display:flex;gap:8px;align-items:center;flex-wrap:wrap;padding:8px 12px;
background:{LOOK.paper};border-bottom:1px solid {LOOK.ink};z-index:2}}
#tools[hidden]{{display:none}}
#tools button,#tools input,#tools select{{font:inherit;color:inherit;background:{LOOK.paper};
border:1px solid {LOOK.ink};min-height:44px;min-width:44px;padding:0 10px}}
#tools input{{flex:1 1 120px;min-width:0;max-width:320px}}
#tools select{{max-width:100%}}
#said{{flex:1 0 100%;min-height:1.4em;overflow-wrap:anywhere}}
.sheet{{margin:0 auto 24px;max-width:1100px}}
.sheet svg{{display:block;width:100%;height:auto}}
.live .sheet{{position:fixed;inset:var(--top,120px) 0 0 0;margin:0;max-width:none;overflow:hidden;touch-action:none}}
.live .sheet[hidden]{{display:none}}
.live .sheet svg{{width:100%;height:100%}}
.picked{{outline:3px solid {LOOK.ink};outline-offset:3px}}
@media print{{#tools{{display:none}}.sheet{{break-after:page}}}}
"""


@dataclass(frozen=True)
class Shown:
    """One drawing: its title in the list, the SVG, and its name, which joins on other drawings lead to."""

    name: str
    title: str
    svg: str


@dataclass(frozen=True)
class Viewer:
    """A file of drawings. `labels` are the words for find, page, in, out, whole and what to do first, by these keys."""

    title: str
    sheets: tuple[Shown, ...]
    labels: Mapping[str, str]
    language: str = "en"


def to_viewer(viewer: Viewer) -> str:
    """The whole file as text. The SVGs must be ours: they are put in as they are."""
    digest = base64.b64encode(hashlib.sha256(_SCRIPT.encode()).digest()).decode()
    policy = f"default-src 'none'; style-src 'unsafe-inline'; font-src data:; script-src 'sha256-{digest}'"
    say = {key: _text(words) for key, words in viewer.labels.items()}
    options = "".join(f"<option>{_text(sheet.title)}</option>" for sheet in viewer.sheets)
    body = "".join(
        f'<section class="sheet" data-name="{_text(sheet.name)}">{sheet.svg}</section>\n' for sheet in viewer.sheets
    )
    return (
        "<!doctype html>\n"
        f'<html lang="{_text(viewer.language)}">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        '<meta name="viewport" content="width=device-width,initial-scale=1">\n'
        f"<title>{_text(viewer.title)}</title>\n<style>\n{font_faces(body)}{_STYLE}</style>\n</head>\n<body>\n"
        f'<div id="tools" hidden><input id="find" type="search" placeholder="{say["find"]}" aria-label="{say["find"]}">'
        f'<select id="pages" aria-label="{say["page"]}">{options}</select>'
        f'<button id="out" aria-label="{say["out"]}">-</button><button id="in" aria-label="{say["in"]}">+</button>'
        f'<button id="whole">{say["whole"]}</button><div id="said" role="status">{say["first"]}</div></div>\n'
        f"{body}<script>{_SCRIPT}</script>\n</body>\n</html>\n"
    )


def _text(text: str) -> str:
    return html.escape(clean(text), quote=True)
