"""What a question to a worker may do while it is worked on: say how far it is, and learn that nobody waits any more."""

from collections.abc import Callable
from dataclasses import dataclass

from loombench.app.ahead import StoppedError
from loombench.base.wording import Catalogue, catalogue


def _never() -> bool:
    return False


def _nothing(_text: str) -> None:
    return None


@dataclass(frozen=True)
class Asked:
    """Who asks: the language, whether the question was taken back, and where to say how far it is."""

    language: str = "en"
    stopped: Callable[[], bool] = _never
    tell: Callable[[str], None] = _nothing

    @property
    def words(self) -> Catalogue:
        """The sentences in the language asked in."""
        return catalogue(self.language)

    def go_on(self) -> None:
        """Leave the question where it was taken back.

        Raises:
            StoppedError: it was.
        """
        if self.stopped():
            raise StoppedError
