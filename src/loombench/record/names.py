"""Names of cases as names of files: one to one, and harmless whatever the case is called."""

from urllib.parse import quote, unquote

from loombench.base.problems import error
from loombench.record.store import NotKept

PREFIX, SUFFIX = "case-", ".jsonl"
LONGEST = 180
"""Bytes of a case's name once written as a file's name; with prefix and suffix file systems take it."""


def checked_name(case: str) -> str:
    """The case's name with everything but letters, digits and `-_.~` spelt as `%XX`.

    The prefix of the file's name keeps `..` and device names such as CON from meaning anything.

    Raises:
        NotKept: the name is empty, too long, or holds half a character.
    """
    try:
        name = quote(case, safe="")
    except UnicodeEncodeError:
        name, reason = "", "not whole text"
    else:
        reason = "empty" if not name else "too long" if len(name) > LONGEST else ""
    if reason:
        short = ascii(case[:40])[1:-1]
        raise NotKept(error("record-case-name", case=short, reason=reason))
    return name


def file_name(case: str) -> str:
    """The name of the case's file. Raises `NotKept` where the case cannot have this name."""
    return f"{PREFIX}{checked_name(case)}{SUFFIX}"


def case_name(file: str) -> str | None:
    """The case a file is of; None where it is no case's file."""
    if not (file.startswith(PREFIX) and file.endswith(SUFFIX)):
        return None
    case = unquote(file[len(PREFIX) : -len(SUFFIX)], errors="surrogateescape")
    try:
        return case if file_name(case) == file else None
    except NotKept:
        return None
