"""A line of text as tokens: words, quoted strings and the marks `( ) | = :`.

What tablets type is read as meant, character by character so that columns stay those of the file: curly quotes, long
dashes, odd spaces. `#` begins a comment, except within a word, and within the brackets of a wire where a printed number
follows it at once (`(#214 1.5mm2)`).
"""

import re
from dataclasses import dataclass
from types import MappingProxyType

WORD, STRING, MARK, OPEN = "word", "string", "mark", "open string"

_CHARACTERS = MappingProxyType(
    {
        **dict.fromkeys(map(ord, "“”„‟«»″"), '"'),
        **dict.fromkeys(map(ord, "–—‒‑−―"), "-"),
        **dict.fromkeys(map(ord, "\u00a0\u2007\u2009\u200a\u202f\u3000\u200b\ufeff\t\f\v"), " "),
    }
)
_PATTERN = r"""
    (?P<space>\s+)
  | "(?P<string>[^"]*)"
  | (?P<open>"[^"]*$)
  | (?P<mark>[()|=]|:(?!:))
  | (?P<comment>\#.*)
  | (?P<word>(?:::|[^\s()|=:"])+)
"""
_OUTSIDE = re.compile(_PATTERN, re.X)
_INSIDE = re.compile(_PATTERN.replace(r"\#.*", r"\#(?:\s.*)?$"), re.X)


@dataclass(frozen=True, slots=True)
class Token:
    """A piece of a line; columns count from 1, `end` is exclusive. A string's text is what stands in the quotes."""

    text: str
    column: int
    end: int
    kind: str = WORD

    def is_mark(self, text: str) -> bool:
        """Whether it is that mark."""
        return self.kind == MARK and self.text == text

    def is_word(self, *texts: str) -> bool:
        """Whether it is a word, and one of `texts` where there are any."""
        return self.kind == WORD and (not texts or self.text in texts)


def plain(text: str) -> str:
    """The text with typographic characters replaced, character for character."""
    return text if text.isascii() and "\t" not in text else text.translate(_CHARACTERS)


def tokens(line: str) -> tuple[Token, ...]:
    """The tokens of one line without its comment. A quote that does not end gives a token of kind `OPEN`, the last."""
    text = plain(line)
    found: list[Token] = []
    depth, position = 0, 0
    while position < len(text):
        match = (_INSIDE if depth else _OUTSIDE).match(text, position)
        if match is None:  # no character is without a meaning of its own, so this only guards the loop
            break
        start, position = position, match.end()
        group = match.lastgroup
        if group == "space":
            continue
        if group == "comment":
            break
        if group == "word":
            word = match["word"]
            trimmed = word.rstrip(",") or word
            found.append(Token(trimmed, start + 1, start + 1 + len(trimmed)))
        elif group == "mark":
            mark = match["mark"]
            depth = depth + 1 if mark == "(" else max(0, depth - 1) if mark == ")" else depth
            found.append(Token(mark, start + 1, start + 2, MARK))
        elif group == "string":
            found.append(Token(line[start + 1 : position - 1], start + 1, position + 1, STRING))
        else:
            found.append(Token(line[start + 1 :], start + 1, position + 1, OPEN))
            break
    return tuple(found)
