"""The bundled typeface, IBM Plex Sans: open licence (`fonts/OFL.txt`), all digits of one width, 1 l I and 0 O distinct.

`IBMPlexSans-Variable.ttf` is version 3.201 as published, all weights and widths; the PDF is set in it. The `.woff2`
files are the publisher's own cuts of version 1.1.0 by script; a page for the browser carries those it needs, so that it
looks the same on a machine that has the typeface and on one that has not.
"""

import base64
from functools import cache
from pathlib import Path
from types import MappingProxyType

FAMILY = "IBM Plex Sans"
FOLDER = Path(__file__).parent / "fonts"
WEIGHTS = MappingProxyType({"Regular": 400, "SemiBold": 600})
CUTS: MappingProxyType[str, str] = MappingProxyType(
    {
        "Latin1": (
            "U+0000, U+000D, U+0020-007E, U+00A0-00FF, U+0131, U+0152-0153, U+02C6, U+02DA, U+02DC, U+2013-2014, "
            "U+2018-201A, U+201C-201E, U+2020-2022, U+2026, U+2030, U+2039-203A, U+2044, U+20AC, U+2122, U+2212, "
            "U+FB01-FB02"
        ),
        "Latin2": (
            "U+0100-0101, U+0104-0130, U+0132-0151, U+0154-017F, U+018F, U+0192, U+01A0-01A1, U+01AF-01B0, "
            "U+01FA-01FF, U+0218-021B, U+0237, U+0259, U+1E80-1E85, U+1E9E, U+20A1, U+20A4, U+20A6, U+20A8-20AA, "
            "U+20AD-20AE, U+20B1-20B2, U+20B4-20B5, U+20B8-20BA, U+20BD, U+20BF"
        ),
        "Greek": ("U+037E, U+0386-038A, U+038C, U+038E-03A1, U+03A3-03CE"),
        "Cyrillic": (
            "U+0400-045F, U+0462-0463, U+046A-046B, U+0472-0475, U+0490-04C2, U+04CF-04D9, U+04DC-04E9, "
            "U+04EE-04F9, U+0524-0525"
        ),
        "Pi": (
            "U+0E3F, U+2000-200D, U+2015, U+2028-2029, U+202F, U+2032-2033, U+2070, U+2074-2079, U+2080-2089, "
            "U+2113, U+2116, U+2126, U+212E, U+2150-2151, U+2153-215E, U+2190-2199, U+21A9-21AA, U+21B0-21B3, "
            "U+21B6-21B7, U+21BA-21BB, U+21C4, U+21C6, U+2202, U+2206, U+220F, U+2211, U+2215, U+221A, U+221E, "
            "U+222B, U+2248, U+2260, U+2264-2265, U+25CA, U+2713, U+274C, U+2B0E-2B11, U+ECE0, U+EFCC, U+FEFF, "
            "U+FFFD"
        ),
    }
)
"""Which characters each cut holds, as the publisher's style sheet says."""


def font_faces(text: str) -> str:
    """The style rules that carry the typeface for a text: every cut of which it has a character, in both weights."""
    cuts = [cut for cut, ranges in CUTS.items() if any(_within(ranges, ord(sign)) for sign in set(text))]
    return "".join(_face(cut, name, weight) for cut in cuts for name, weight in WEIGHTS.items())


def face_rule(weight: int, address: str, characters: str, swap: bool = False) -> str:
    """The style rule of one file: its weight, where it is, its characters; `swap` shows another typeface until then."""
    display = "font-display:swap;" if swap else ""
    return (
        f'@font-face{{font-family:"{FAMILY}";font-weight:{weight};{display}'
        f'src:url("{address}") format("woff2");unicode-range:{characters}}}\n'
    )


def _face(cut: str, name: str, weight: int) -> str:
    data = base64.b64encode((FOLDER / f"IBMPlexSans-{name}-{cut}.woff2").read_bytes()).decode("ascii")
    return face_rule(weight, f"data:font/woff2;base64,{data}", CUTS[cut])


def _within(ranges: str, code: int) -> bool:
    return any(low <= code <= high for low, high in _spans(ranges))


@cache
def _spans(ranges: str) -> tuple[tuple[int, int], ...]:
    spans = []
    for piece in ranges.split(","):
        low, _, high = piece.strip().removeprefix("U+").partition("-")
        spans.append((int(low, 16), int(high or low, 16)))
    return tuple(spans)
