"""Texts out of foreign files: what stands for "nothing", letters in a wrong encoding, what is too long.

A text in a file is data. What a terminal would obey is taken out, absurd lengths are cut, and both are said.
"""

import re
from dataclasses import dataclass

from loombench.base.problems import Level, Span
from loombench.exchange.report import Notes

LONGEST_NAME = 120
LONGEST_TEXT = 500
_NOTHING = frozenset({"", "/null", "null", "-", "--", "none", "nd", "n/a", "n.a.", "?", "<null>", "undefined"})
# A letter of two or three bytes in UTF-8 that was read as Windows-1252 or ISO 8859-1: a lead byte, then others.
_TWICE = re.compile("[\u00c2-\u00f4][\u0080-\u00bf\u0152\u0153\u0160\u0161\u0178\u017d\u017e\u0192\u02c6\u02dc\u2013-\u203a\u20ac\u2122]+")  # fmt: skip  # noqa: E501


def told(text: str) -> bool:
    """Whether a text says anything: `/NULL`, `-`, `none`, `nd` and their like do not."""
    return text.strip().casefold() not in _NOTHING


@dataclass
class Texts:
    """Cleans the texts of one file."""

    file: str
    notes: Notes

    def name(self, text: str, line: int) -> str:
        """A short text (an id, a number, a signal), empty where it says nothing."""
        return self._clean(text, line, LONGEST_NAME)

    def words(self, text: str, line: int) -> str:
        """A longer text, empty where it says nothing."""
        return self._clean(text, line, LONGEST_TEXT)

    def _clean(self, text: str, line: int, longest: int) -> str:
        if len(text) <= longest and text.isascii() and text.isprintable():
            return text.strip() if told(text) else ""
        if not told(text):
            return ""
        mended = _TWICE.sub(lambda found: _once(found[0]), text) if not text.isascii() else text
        if mended != text:
            self.notes.add("text-mended", Level.NOTE, Span(self.file, line), seen=text[:60], mended=mended[:60])
        plain = "".join(letter if letter.isprintable() else " " for letter in mended[: 2 * longest])
        plain = " ".join(plain.split()) if plain != mended else plain.strip()
        if len(mended) > longest or plain != mended.strip():
            self.notes.add("text-cut", Level.NOTE, Span(self.file, line), length=len(mended), limit=longest)
        return plain[:longest].rstrip()


def _once(text: str) -> str:
    """The letters that the bytes of `text` spell in UTF-8, or the text if they spell none."""
    for encoding in ("cp1252", "latin-1"):
        try:
            return text.encode(encoding).decode("utf-8")
        except (UnicodeEncodeError, UnicodeDecodeError):
            continue
    return text
