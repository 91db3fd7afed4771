"""Why an event is refused, as the exception every store raises."""

import errno

from loombench.base.outcome import errors
from loombench.base.problems import error
from loombench.evidence.codec import decode_line
from loombench.evidence.envelope import Envelope
from loombench.record.store import NotKept

_FULL = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG})


def from_system(event: Envelope, wrong: OSError) -> NotKept:
    """What the system said, as a refusal."""
    code = "record-full" if wrong.errno in _FULL else "record-unwritable"
    reason = wrong.strerror or type(wrong).__name__
    return NotKept(error(code, number=event.number, case=event.case, reason=reason))


def not_next(event: Envelope, expected: int) -> NotKept:
    """The number is not the next one."""
    return NotKept(error("record-next", number=event.number, case=event.case, expected=expected))


def understood(line: str) -> None:
    """Refuse a line that could not be read again: a text too long, a word that is not known.

    Raises:
        NotKept: with the first thing wrong.
    """
    wrong = errors(decode_line(line).problems)
    if wrong:
        raise NotKept(wrong[0])
