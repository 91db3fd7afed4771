"""What a page about events shows: each line of its record is read by itself."""

from collections.abc import Sequence

from loombench.base.problems import Problem, Span
from loombench.evidence.codec import decode_line


def evidence_problems(file: str, text: str) -> Sequence[Problem]:
    """The problems of all lines."""
    lines = enumerate(text.splitlines(), 1)
    return [item for number, line in lines for item in decode_line(line, Span(file, number)).problems]
