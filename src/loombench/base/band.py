"""A number that may be known only as a range: unknown lengths and ratings are carried as ranges to the reading."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Band:
    """`low <= nominal <= high`, all in the same unit; a known number has all three equal.

    Raises:
        ValueError: the three are not in order. Data from users is checked before it gets here.
    """

    nominal: float
    low: float
    high: float

    def __post_init__(self) -> None:
        if not self.low <= self.nominal <= self.high:
            raise ValueError(f"a band wants low <= nominal <= high, not {self.low} {self.nominal} {self.high}")

    @property
    def known(self) -> bool:
        """True where it is one number."""
        return self.low == self.high

    def __str__(self) -> str:
        return f"{self.nominal:g}" if self.known else f"{self.low:g}..{self.high:g}"


def exactly(value: float) -> Band:
    """A known number."""
    return Band(value, value, value)


def between(low: float, high: float, nominal: float | None = None) -> Band:
    """A range; its nominal value is the middle unless given."""
    return Band((low + high) / 2 if nominal is None else nominal, low, high)
