"""Pairing a device by a code that is shown on the laptop: how long a code is good for, and how often one may guess.

A code has eight digits, is good for five minutes after a person asked for one, and once. Each wrong try makes its
client wait, twice as long each time. Five wrong ones, whoever tried, make the code another, and everybody waits: ten
seconds, then twice as long each time, up to ten minutes. So whoever changes address between two tries gains nothing:
there are at most some 800 tries a day at one code in a hundred million, and none while no code is shown.
"""

import hmac
import secrets
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

DIGITS = 8
GOOD_FOR_S = 300.0
MOST_WRONG = 5
FIRST_WAIT_S, LONGEST_CLIENT_WAIT_S = 1.0, 300.0
FIRST_WAIT_OF_ALL_S, LONGEST_WAIT_OF_ALL_S = 10.0, 600.0
MOST_CLIENTS = 256


class Answer(Enum):
    """What became of a try."""

    PAIRED, WRONG, WAIT, CLOSED = "paired", "wrong", "wait", "closed"


@dataclass(frozen=True)
class Tried:
    """The answer to a try; `wait_s` is how long nothing else is listened to, 0 where one may try at once."""

    answer: Answer
    wait_s: float = 0.0


@dataclass(frozen=True)
class Offered:
    """The code that pairs now, and for how long still."""

    code: str
    left_s: float


def drawn_code() -> str:
    """Eight random digits."""
    return f"{secrets.randbelow(10**DIGITS):0{DIGITS}}"


class Pairing:
    """The code, if there is one, and who waits. `now` gives seconds that only go forward; `changed` is told each new
    code."""

    def __init__(
        self,
        now: Callable[[], float],
        draw: Callable[[], str] = drawn_code,
        changed: Callable[[str], None] | None = None,
    ) -> None:
        self._now = now
        self._draw = draw
        self._changed = changed
        self._code = ""
        self._until_s = 0.0
        self._wrong = 0
        self._rounds = 0
        self._all_wait_until_s = 0.0
        self._clients: OrderedDict[str, tuple[int, float]] = OrderedDict()

    def begin(self) -> None:
        """A person at the laptop wants a code. Who has to wait waits on."""
        self._until_s = self._now() + GOOD_FOR_S
        self._renew()

    def stop(self) -> None:
        """Pair nothing until a person asks again."""
        self._code = ""

    def offered(self) -> Offered | None:
        """What to show on the laptop."""
        left_s = self._until_s - self._now()
        return Offered(self._code, left_s) if self._code and left_s > 0 else None

    def wait_s(self, client: str) -> float:
        """How long a client is not listened to."""
        until_s = max(self._all_wait_until_s, self._clients.get(client, (0, 0.0))[1])
        return max(0.0, until_s - self._now())

    def tried(self, client: str, given: str) -> Tried:
        """One try. Whoever has to wait is not listened to, not even with the right code."""
        wait_s = self.wait_s(client)
        if wait_s > 0:
            return Tried(Answer.WAIT, wait_s)
        offered = self.offered()
        if offered is None:
            return Tried(Answer.CLOSED)
        digits = "".join(letter for letter in given if letter not in " -\u00a0")
        if hmac.compare_digest(digits.encode("utf-8", "replace"), offered.code.encode()):
            self.stop()
            self._rounds = 0
            self._clients.clear()
            return Tried(Answer.PAIRED)
        self._count(client)
        return Tried(Answer.WRONG, self.wait_s(client))

    def _count(self, client: str) -> None:
        now_s = self._now()
        times = self._clients.pop(client, (0, 0.0))[0] + 1
        self._clients[client] = times, now_s + min(FIRST_WAIT_S * 2 ** min(times - 1, 30), LONGEST_CLIENT_WAIT_S)
        while len(self._clients) > MOST_CLIENTS:
            self._clients.popitem(last=False)
        self._wrong += 1
        if self._wrong >= MOST_WRONG:
            wait_s = min(FIRST_WAIT_OF_ALL_S * 2 ** min(self._rounds, 30), LONGEST_WAIT_OF_ALL_S)
            self._all_wait_until_s = now_s + wait_s
            self._rounds += 1
            self._renew()

    def _renew(self) -> None:
        self._code = self._draw()
        self._wrong = 0
        if self._changed is not None:
            self._changed(self._code)
