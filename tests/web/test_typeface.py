"""The typeface on a served page: fetched cut by cut as characters need it, with all digits of one width."""

import pytest

from loombench.app.fontfiles import FONT_FILES, MEDIA_TYPE, font_bytes, font_style
from tests.browser import browser_page
from tests.web.serving import served

pytestmark = pytest.mark.chromium

PAGE = """<!doctype html><html lang="en"><head><title>t</title><link rel="stylesheet" href="/style.css"></head>
<body><span>0000000000</span><br><span>1111111111</span><br><b>0000000000</b><br><b>1111111111</b></body></html>"""
STYLE = 'body { font: 20px "IBM Plex Sans", serif } b { font-weight: 600 }'


def test_only_what_is_needed_is_fetched_and_digits_line_up() -> None:
    content = {f"/fonts/{name}": (MEDIA_TYPE, font_bytes(name) or b"") for name in FONT_FILES} | {
        "/": ("text/html", PAGE.encode()),
        "/style.css": ("text/css", (font_style("/fonts/") + STYLE).encode()),
        "/favicon.ico": ("image/x-icon", b""),
    }
    with served(content) as address, browser_page() as page:
        asked: list[str] = []
        page.on("request", lambda request: asked.append(request.url.removeprefix(f"{address}fonts/")))
        page.context.set_offline(False)
        page.goto(address)
        page.evaluate("() => document.fonts.ready.then(() => 0)")
        fonts = sorted(one for one in asked if one.endswith(".woff2"))
        assert fonts == ["IBMPlexSans-Regular-Latin1.woff2", "IBMPlexSans-SemiBold-Latin1.woff2"]
        widths = page.evaluate("[...document.querySelectorAll('span, b')].map((it) => it.offsetWidth)")
        assert widths == [120, 120, 120, 120]
        page.evaluate("document.body.append('Ω')")
        greek = f"{address}fonts/IBMPlexSans-Regular-Greek.woff2"
        page.wait_for_function("(address) => performance.getEntriesByName(address).length", arg=greek)
