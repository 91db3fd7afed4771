"""Option conditions as harness data writes them: `A1B+C2D/C2E+-F3G` is A1B and C2D, or C2E and not F3G.

`+` is and, `/` is or, a `-` before a code or bracket is not; "and" binds before "or", brackets before both. Other
programs write `&`, `|`, `!`, `,`, `;` or the words, English or German (common practice); those are read alike. A dash
inside a code belongs to the code. A text that reads as no condition is None: nothing may be decided by it but whether
exactly this text was chosen.
"""

import re
from collections.abc import Collection, Iterator, Sequence
from functools import lru_cache

_TOKEN = re.compile(r'\s*(?:(?P<and>\+|&&?|∧)|(?P<or>/|\|\|?|∨|,|;)|(?P<not>!|¬|~)|(?P<open>\()|(?P<close>\))|'
                    r'"(?P<quoted>[^"]*)"|(?P<code>[^\s+&∧/|∨,;!¬~()"]+))')  # fmt: skip
_AND, _OR, _NOT = frozenset({"and", "und"}), frozenset({"or", "oder"}), frozenset({"not", "nicht"})
_ALWAYS = frozenset({"", "all", "alle", "always", "immer", "*", "true"})
_SIGNS = re.compile(r'[\s+&∧/|∨,;!¬~()"]|^-')
_DEEPEST = 40
_LONGEST = 20_000

Tree = tuple[str, tuple["Tree", ...], str]
"""An operation (`and`, `or`, `not`, `code`), what it is applied to, and the code."""


def always(text: str) -> bool:
    """Whether a condition says that there is none (`ALL`)."""
    return text.strip().casefold() in _ALWAYS


def option_code(text: str) -> str:
    """A name (say, a module's part number) as a code: without the signs that part the codes of a condition."""
    return re.sub(r"[^\w.]+", "_", text.strip()).strip("_")


@lru_cache(maxsize=8192)
def parsed(text: str) -> Tree | None:
    """A condition as a tree; None where it reads as none."""
    if len(text) > _LONGEST:
        return None
    tokens = _tokens(text.strip().rstrip(";,. "))
    if not tokens:
        return None
    try:
        tree, at = _any(tokens, 0, 0)
    except _NoConditionError:
        return None
    return tree if at == len(tokens) else None


def holds(text: str, codes: Collection[str]) -> bool | None:
    """Whether a condition holds where these codes and no others are chosen; None where it reads as none."""
    if text in codes or always(text):
        return True
    tree = parsed(text)
    return None if tree is None else _true(tree, codes)


def codes_in(text: str) -> tuple[str, ...]:
    """The codes a condition asks about, each once, in its order; none where it reads as no condition."""
    tree = parsed(text)
    return tuple(dict.fromkeys(_codes(tree))) if tree is not None and not always(text) else ()


class _NoConditionError(Exception):
    """The text is no condition; caught in `parsed`."""


def _tokens(text: str) -> tuple[tuple[str, str], ...]:
    """Kinds and texts of the tokens, none where something is no token."""
    found: list[tuple[str, str]] = []
    at = 0
    while at < len(text):
        token = _TOKEN.match(text, at)
        if token is None:
            return ()
        kind = token.lastgroup or ""
        found.append(("code" if kind == "quoted" else kind, token[kind]))
        at = token.end()
    return tuple(found)


def _any(tokens: Sequence[tuple[str, str]], at: int, depth: int) -> tuple[Tree, int]:
    parts: list[Tree] = []
    while True:
        part, at = _every(tokens, at, depth)
        parts.append(part)
        if not _is(tokens, at, "or", _OR):
            return (parts[0] if len(parts) == 1 else ("or", tuple(parts), "")), at
        at += 1


def _every(tokens: Sequence[tuple[str, str]], at: int, depth: int) -> tuple[Tree, int]:
    parts: list[Tree] = []
    while True:
        part, at = _one(tokens, at, depth)
        parts.append(part)
        if not _is(tokens, at, "and", _AND):
            return (parts[0] if len(parts) == 1 else ("and", tuple(parts), "")), at
        at += 1


def _one(tokens: Sequence[tuple[str, str]], at: int, depth: int) -> tuple[Tree, int]:
    if at >= len(tokens) or depth > _DEEPEST:
        raise _NoConditionError
    kind, text = tokens[at]
    if kind == "not" or (kind == "code" and (text == "-" or (text.casefold() in _NOT and at + 1 < len(tokens)))):
        inner, at = _one(tokens, at + 1, depth + 1)
        return ("not", (inner,), ""), at
    if kind == "open":
        inner, at = _any(tokens, at + 1, depth + 1)
        if at >= len(tokens) or tokens[at][0] != "close":
            raise _NoConditionError
        return inner, at + 1
    if kind != "code":
        raise _NoConditionError
    if text.startswith("-"):
        return ("not", (("code", (), text[1:]),), ""), at + 1
    return ("code", (), text), at + 1


def _is(tokens: Sequence[tuple[str, str]], at: int, kind: str, words: Collection[str]) -> bool:
    if at >= len(tokens):
        return False
    return tokens[at][0] == kind or (tokens[at][0] == "code" and tokens[at][1].casefold() in words)


def _true(tree: Tree, codes: Collection[str]) -> bool:
    operation, parts, code = tree
    if operation == "code":
        # A quoted code may be a whole condition: that is how two conditions that must both hold are put together.
        return code in codes or always(code) or ('"' not in code and _composite(code) and holds(code, codes) is True)
    if operation == "not":
        return not _true(parts[0], codes)
    results = (_true(part, codes) for part in parts)
    return any(results) if operation == "or" else all(results)


def _composite(code: str) -> bool:
    return bool(_SIGNS.search(code)) and parsed(code) not in (None, ("code", (), code))


def both(one: str, other: str) -> str:
    """The condition that holds where both do."""
    return "+".join(text if not _SIGNS.search(text) else f'"{text}"' if '"' not in text else f"({text})"
                    for text in (one, other))  # fmt: skip


def _codes(tree: Tree) -> Iterator[str]:
    operation, parts, code = tree
    if operation == "code":
        yield from codes_in(code) if _composite(code) else (code,)
    for part in parts:
        yield from _codes(part)
