"""How wide a text is, without a font at hand: wide enough for any of the typefaces a page may be shown in.

The table holds the widest of DejaVu Sans and Liberation Sans for each sign from space to `~`, in thousandths of the
font size, measured in a browser. Everything else counts as a full square, as in the scripts of East Asia.
"""

_NORMAL = (
    318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361, 318, 337, 636, 636, 636, 636, 636, 636, 636,
    636, 636, 636, 337, 337, 838, 838, 838, 556, 1015, 684, 686, 722, 770, 667, 611, 778, 752, 295, 500, 667, 557, 863,
    748, 787, 667, 787, 722, 667, 611, 732, 684, 989, 685, 667, 685, 390, 337, 390, 838, 556, 500, 613, 635, 550, 635,
    615, 352, 635, 634, 278, 278, 579, 278, 974, 634, 612, 635, 635, 411, 521, 392, 634, 592, 818, 592, 592, 525, 636,
    337, 636, 838,
)  # fmt: skip
_BOLD = (
    348, 456, 521, 838, 696, 1002, 872, 306, 457, 457, 523, 838, 380, 415, 380, 365, 696, 696, 696, 696, 696, 696, 696,
    696, 696, 696, 400, 400, 838, 838, 838, 611, 1000, 774, 762, 734, 830, 683, 683, 821, 837, 372, 556, 775, 637, 995,
    837, 850, 733, 850, 770, 720, 682, 812, 774, 1103, 771, 724, 725, 457, 365, 457, 838, 556, 500, 675, 716, 593, 716,
    678, 435, 716, 712, 343, 343, 665, 343, 1042, 712, 687, 716, 716, 493, 595, 478, 712, 652, 924, 645, 652, 582, 712,
    365, 712, 838,
)  # fmt: skip
_LATIN = 0x250


def text_width_mm(text: str, size_mm: float, bold: bool = False) -> float:
    """The width of one line of text set at that font size."""
    table = _BOLD if bold else _NORMAL
    return sum(_sign(table, ord(sign)) for sign in text) * size_mm / 1000.0


def _sign(table: tuple[int, ...], code: int) -> int:
    if 32 <= code < 127:
        return table[code - 32]
    return 850 if code < _LATIN else 1000


def fitted(text: str, width_mm: float, size_mm: float, bold: bool = False) -> str:
    """The text, or as much of it as fits with a mark that something is left out."""
    if text_width_mm(text, size_mm, bold) <= width_mm:
        return text
    room = width_mm - text_width_mm("…", size_mm, bold)
    kept = ""
    for sign in text:
        room -= text_width_mm(sign, size_mm, bold)
        if room < 0.0:
            break
        kept += sign
    return f"{kept.rstrip()}…" if kept.strip() else ""


def wrapped(text: str, width_mm: float, size_mm: float, lines: int, bold: bool = False) -> tuple[str, ...]:
    """The text in at most so many lines of that width, broken between words; what does not fit is cut and marked."""
    words = text.split()
    found: list[str] = []
    while words and len(found) < lines:
        line = words.pop(0)
        while words and text_width_mm(f"{line} {words[0]}", size_mm, bold) <= width_mm:
            line = f"{line} {words.pop(0)}"
        if len(found) == lines - 1:
            line = " ".join((line, *words))
        found.append(fitted(line, width_mm, size_mm, bold))
    return tuple(found)
