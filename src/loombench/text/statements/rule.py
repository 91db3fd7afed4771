"""Rules of a module: `X3/7 and not (X3/8 or engine)`, read without recursion running away."""

from collections.abc import Collection

from loombench.text.draft import Draft
from loombench.text.syntax import Line
from loombench.text.tokens import Token
from loombench.vehicle.module import All, Any, Not, Rule, Test

KNOWN = ("engine", "awake")


class _Broken(Exception):  # noqa: N818
    """A rule that cannot be read; carries the token, never leaves this module."""

    def __init__(self, token: Token | None, too_deep: bool = False) -> None:
        super().__init__()
        self.token, self.too_deep = token, too_deep


def read_rule(draft: Draft, line: Line, found: tuple[Token, ...], inputs: Collection[str]) -> Rule | None:
    """The rule that tokens spell; None, with what is wrong said, where they spell none."""
    reader = _Reader(found, draft.limits.deepest)
    try:
        rule = reader.either(0)
        if reader.token is not None:
            raise _Broken(reader.token)
    except _Broken as broken:
        token = broken.token or (found[-1] if found else None)
        if broken.too_deep:
            draft.wrong("too-deep", line.span(token), limit=draft.limits.deepest)
        else:
            draft.wrong("rule-bad", line.span(token), word=token.text[:40] if token else "none")
        return None
    known = (*inputs, *KNOWN)
    unknown = [token for token in reader.named if token.text not in known]
    for token in unknown:
        near = draft.near(token.text, known)
        draft.wrong(
            "input-unknown", line.span(token), name=token.text[:40], nearest=near, allowed=", ".join(known)[:200]
        )
    return None if unknown else rule


class _Reader:
    """Recursive descent: or, then and, then not, brackets and names."""

    def __init__(self, found: tuple[Token, ...], deepest: int) -> None:
        self.found, self.index, self.deepest = found, 0, deepest
        self.named: list[Token] = []

    @property
    def token(self) -> Token | None:
        return self.found[self.index] if self.index < len(self.found) else None

    def _take(self, word: str) -> bool:
        token = self.token
        if token is not None and token.is_word(word):
            self.index += 1
            return True
        return False

    def either(self, depth: int) -> Rule:
        if depth > self.deepest:
            raise _Broken(self.token, too_deep=True)
        rules = [self.both(depth)]
        while self._take("or"):
            rules.append(self.both(depth))
        return rules[0] if len(rules) == 1 else Any(tuple(rules))

    def both(self, depth: int) -> Rule:
        rules = [self.one(depth)]
        while self._take("and"):
            rules.append(self.one(depth))
        return rules[0] if len(rules) == 1 else All(tuple(rules))

    def one(self, depth: int) -> Rule:
        if depth > self.deepest:
            raise _Broken(self.token, too_deep=True)
        if self._take("not"):
            return Not(self.one(depth + 1))
        token = self.token
        if token is None:
            raise _Broken(None)
        self.index += 1
        if token.is_mark("("):
            inner = self.either(depth + 1)
            closing = self.token
            if closing is None or not closing.is_mark(")"):
                raise _Broken(closing)
            self.index += 1
            return inner
        if not token.is_word() or token.text in ("and", "or"):
            raise _Broken(token)
        self.named.append(token)
        return Test(token.text)


def write_rule(rule: Rule, inside: str = "") -> str:
    """The rule as it is written; brackets only where they are needed."""
    if isinstance(rule, Test):
        return rule.name
    if isinstance(rule, Not):
        return f"not {write_rule(rule.rule, 'not')}"
    word = "and" if isinstance(rule, All) else "or"
    text = f" {word} ".join(write_rule(part, word) for part in rule.rules)
    return f"({text})" if inside else text
