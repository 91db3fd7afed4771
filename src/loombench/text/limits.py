"""The limits of what is read, in one place: each is refused with a problem of its own, none with a crash."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Limits:
    """Far above any real vehicle (a coach has some 5,000 wires), low enough that no file stalls the bench.

    `longest_line` counts characters, `largest_file` bytes, `most_statements` lines with a meaning of their own over
    all files of a vehicle, `most_files` includes and trailers, `deepest` brackets in a rule, `most_ways` cavities of a
    connector or plug, `most_problems` messages, after which one says that there are more.
    """

    longest_line: int = 20_000
    largest_file: int = 20_000_000
    most_statements: int = 50_000
    most_files: int = 200
    include_depth: int = 8
    deepest: int = 50
    most_ways: int = 500
    most_problems: int = 500


LIMITS = Limits()
