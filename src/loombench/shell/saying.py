"""How a text gets to a terminal: in lines of one width, harmless, in grey where it only looks ahead."""

import os
import sys
import textwrap
from collections.abc import Callable

Say = Callable[[str], None]
WIDTH = 100
GREY, PLAIN = "\x1b[90m", "\x1b[0m"
HIDDEN = "\u00b7"


def saying(out: Say) -> Say:
    """Says a text in lines of the card's width, each piece of a line as far in as its beginning."""

    def say(text: str) -> None:
        for line in harmless(text).split("\n"):
            inwards = line[: len(line) - len(line.lstrip())]
            out("\n".join(wrapped(line.lstrip(), inwards, f"{inwards}  ")) if len(line) > WIDTH else line)

    return say


def wrapped(text: str, first: str, more: str) -> list[str]:
    """A text in lines of the card's width."""
    return textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=more) or [first]


def harmless(text: str) -> str:
    """The text with what a terminal would obey, and not show, made visible: a file must not be able to steer it."""
    return "".join(mark if mark.isprintable() or mark == "\n" else HIDDEN for mark in text)


def grey(text: str) -> str:
    """The text in grey where a person looks at a terminal and has not said no to colour."""
    plain = os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb" or not sys.stdout.isatty()
    return text if plain else f"{GREY}{text}{PLAIN}"
