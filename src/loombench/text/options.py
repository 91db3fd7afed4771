"""Options: `if trailer-kit LINE` counts where the option is chosen, `if not trailer-kit LINE` where it is not."""

from dataclasses import replace

from loombench.text.draft import Draft
from loombench.text.syntax import Statement


def conditional(draft: Draft, statement: Statement) -> Statement | None:
    """The statement without its condition; None where the condition does not hold or cannot be understood."""
    line = statement.line
    if line.keyword != "if" or (len(line.tokens) > 1 and line.tokens[1].is_mark("(")):
        return statement
    words = line.tokens[1:]
    wanted = not (words and words[0].is_word("not"))
    words = words if wanted else words[1:]
    if len(words) < 2 or not words[0].is_word():
        draft.missing(line, "if", "if trailer-kit socket X50 ISO1724")
        return None
    name = words[0].text
    if name not in draft.offers:
        near = draft.near(name, draft.offers)
        draft.wrong("option-unknown", line.span(words[0]), name=name[:40], nearest=near)
        return None
    if (name in draft.chosen) is not wanted:
        draft.failed.update(token.text for token in words[2:3])
        return None
    return Statement(replace(line, tokens=words[1:]), statement.block)


def chosen_by_changes(statements: tuple[Statement, ...]) -> tuple[str, ...]:
    """The options that lines such as `change 2026-11-03 "fitted" option trailer-kit` choose."""
    found: dict[str, None] = {}
    for statement in statements:
        words = [token.text for token in statement.line.tokens]
        if words[0] == "change" and "option" in words[1:-1]:
            found[words[words.index("option", 1) + 1]] = None
    return tuple(found)
