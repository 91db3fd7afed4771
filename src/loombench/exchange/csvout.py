"""Tables as comma separated text (RFC 4180): UTF-8, decimal point, a row of heads."""

import csv
import io
from collections.abc import Iterable, Sequence

_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def csv_text(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """The table as text, one line a row."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(heads)
    writer.writerows([_plain(cell) for cell in row] for row in rows)
    return out.getvalue()


def _plain(cell: str) -> str:
    """A cell on one line. What a spreadsheet would compute gets a blank in front, which readers of lists take off."""
    text = " ".join(cell.split())
    return f" {text}" if text.startswith(_FORMULA) else text
