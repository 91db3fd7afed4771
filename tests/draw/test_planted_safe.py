"""What must not be in a page's SVG is found."""

import pytest

from benchmarks.drawnsafe import unsafe

SOUND = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="10mm" height="10mm" viewBox="0 0 10 10" role="img"><title>t</title>'
    '<desc>d</desc><text x="1" y="2">on &lt;script&gt;</text><g data-part="https://x"/></svg>'
)
PLANTED = {
    "script": "<script>1</script>",
    "foreign": "<foreignObject/>",
    "image": '<image href="x.png"/>',
    "used": '<use href="#a"/>',
    "event": '<rect onclick="x()"/>',
    "link": '<a href="https://example.invalid/"><text>x</text></a>',
    "spaced link": '<a xmlns:x="http://www.w3.org/1999/xlink" x:href="javascript:1"/>',
    "fetching style": "<style>@import 'x'</style>",
    "fetching fill": '<rect fill="url(https://example.invalid/#a)"/>',
    "animation": '<animate attributeName="href" to="x"/>',
    "foreign element": '<b xmlns="http://www.w3.org/1999/xhtml">x</b>',
    "second title": "<title>u</title>",
    "broken": "<g>",
}


def test_a_sound_page_is_sound() -> None:
    assert unsafe(SOUND) == ()


@pytest.mark.parametrize("name", PLANTED)
def test_a_planted_fault_is_found(name: str) -> None:
    assert unsafe(SOUND.replace("</svg>", f"{PLANTED[name]}</svg>")) != ()


@pytest.mark.parametrize("part", ["<title>t</title>", "<desc>d</desc>", ' role="img"', ' viewBox="0 0 10 10"'])
def test_what_must_be_there_is_missed(part: str) -> None:
    assert len(unsafe(SOUND.replace(part, ""))) == 1
