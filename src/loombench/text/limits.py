"""The limits of what is read, in one place: each is refused with a problem of its own, none with a crash."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Limits:
    """Far above any real vehicle (a coach has some 5,000 wires), low enough that no file stalls the bench.

    `longest_line` counts characters, `largest_file` bytes; `most_statements` lines that say something and `most_wires`
    wires over all files of a vehicle, `most_words` words of a file, `most_rows` lines below a part, `most_files`
    includes and trailers, `deepest` brackets in a rule, `most_ways` cavities of a connector or plug, `most_pins` pins
    of a part, `most_problems` messages that are shown. Where four times as many are met, reading stops.
    """

    longest_line: int = 20_000
    largest_file: int = 10_000_000
    most_statements: int = 50_000
    most_wires: int = 50_000
    most_words: int = 1_000_000
    most_rows: int = 1_000
    most_files: int = 200
    include_depth: int = 8
    deepest: int = 50
    most_ways: int = 500
    most_pins: int = 2_000
    most_problems: int = 500

    @property
    def hopeless(self) -> int:
        """The number of messages at which a text is given up."""
        return 4 * self.most_problems


LIMITS = Limits()
