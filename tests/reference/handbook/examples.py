"""Reads `worked_examples.csv`."""

import csv
from dataclasses import dataclass
from pathlib import Path

FOLDER = Path(__file__).parent


@dataclass(frozen=True)
class Example:
    """One worked example: `expected` is what the source prints or what was worked out, None if not a number."""

    id: str
    topic: str
    expected: float | None
    computed: float | None
    tolerance: float | None
    unit: str
    agrees: str
    kind: str
    source: str

    @property
    def outside_truth(self) -> bool:
        """True where the expected value is printed in the source and right."""
        return self.agrees == "yes" and self.kind == "printed"


def _number(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None


def worked_examples() -> tuple[Example, ...]:
    """All rows, in the order of the file."""
    with (FOLDER / "worked_examples.csv").open(encoding="utf-8", newline="") as file:
        return tuple(
            Example(
                row["id"],
                row["topic"],
                _number(row["published_or_expected"]),
                _number(row["computed"]),
                _number(row["tolerance"]),
                row["unit"],
                row["agrees"],
                row["kind"],
                row["source"],
            )
            for row in csv.DictReader(file)
        )
