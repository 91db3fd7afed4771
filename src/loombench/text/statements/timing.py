"""What stands after a rule's colon: outputs and contacts with their timing; and when a module falls asleep."""

from collections.abc import Sequence
from dataclasses import dataclass

from loombench.base.band import Band, exactly
from loombench.text.draft import Draft
from loombench.text.numbers import Number, read_number
from loombench.text.statements.module_rows import Row
from loombench.text.syntax import Line
from loombench.text.tokens import Token
from loombench.text.units import joined

WORDS = ("tick", "every", "after", "for")


@dataclass(frozen=True)
class Timing:
    """Targets, and seconds of each timing word; 0 where it is not said."""

    targets: tuple[str, ...]
    tick_s: float = 0.0
    every_s: float = 0.0
    after_s: float = 0.0
    for_s: float = 0.0


def read_targets(
    draft: Draft, line: Line, found: tuple[Token, ...], known: Sequence[str], contacts: Sequence[str]
) -> Timing | None:
    """`X1/14 after 3s for 10s`, `tick 0.6s every 6s`; `tick` alone is of the module's dry contact."""
    rest = list(joined(found))
    targets: dict[str, None] = {}
    seconds: dict[str, float] = {}
    sound = True
    while rest:
        token = rest.pop(0)
        number = read_number(rest[0].text) if rest and rest[0].is_word() else None
        timed = isinstance(number, Number) and number.unit == "s" and number.band is not None
        if token.is_word(*WORDS) and timed:
            rest.pop(0)
            seconds[token.text] = number.band.nominal  # type: ignore[union-attr]
        elif token.is_word() and token.text in known:
            targets[token.text] = None
        else:
            draft.unexpected(line, token, "when", (*known, *(f"{word} 3s" for word in WORDS)))
            sound = False
    if "tick" in seconds and not targets:
        targets.update(dict.fromkeys(contacts[:1]))
    if not targets or (("tick" in seconds) is not ("every" in seconds)):
        if sound:
            draft.missing(line, "when", "when X3/7: X1/14 after 3s")
        return None
    tick, every, after, length = (seconds.get(word, 0.0) for word in WORDS)
    return Timing(tuple(targets), tick, every, after, length)


def read_asleep(draft: Draft, row: Row) -> tuple[float, Band | None]:
    """`asleep 20min 4mA`: after how long, and what it draws then."""
    after, current = 0.0, None
    for token in joined(row.rest):
        number = read_number(token.text) if token.is_word() else None
        if isinstance(number, Number) and number.unit == "s" and number.band is not None:
            after = number.band.nominal
        elif isinstance(number, Number) and number.unit == "A":
            current = number.band or exactly(0.01)
        else:
            draft.unexpected(row.line, token, "asleep", ("20min", "4mA"))
    if not after:
        draft.missing(row.line, "asleep", "asleep 20min 4mA")
    return after, current
