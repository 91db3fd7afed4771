"""Opening a vehicle: its model, the problems met, and the source texts for showing them."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

from loombench.base.problems import Level, Problem
from loombench.base.report import render_all
from loombench.base.wording import Catalogue
from loombench.text.load import load_file
from loombench.vehicle.model import Vehicle


@dataclass(frozen=True)
class Opened:
    """A vehicle as far as it was understood; `sources` maps file names in spans to their text."""

    vehicle: Vehicle
    problems: tuple[Problem, ...]
    sources: Mapping[str, str]

    @property
    def broken(self) -> bool:
        """True where a line could not be understood."""
        return any(item.level is Level.ERROR for item in self.problems)

    def report(self, *extra: Problem, least: Level = Level.NOTE, words: Catalogue | None = None) -> str:
        """The problems as text, worst first, each with its source line; `least` leaves out what is milder."""
        order = [Level.ERROR, Level.WARNING, Level.NOTE]
        kept = [item for item in (*self.problems, *extra) if order.index(item.level) <= order.index(least)]
        return render_all(sorted(kept, key=lambda item: order.index(item.level)), self.sources, words)


def open_vehicle(path: str, options: tuple[str, ...] = ()) -> Opened:
    """Load a vehicle from a file or a folder. Never raises for what is in it or for a path that is none."""
    outcome = load_file(path, options=options)
    names = {span.file for item in outcome.problems for span in item.spans} | set(outcome.value.files)
    return Opened(outcome.value, outcome.problems, MappingProxyType(_texts(path, sorted(names))))


def _texts(path: str, names: list[str]) -> dict[str, str]:
    base = Path(path) if Path(path).is_dir() else Path(path).parent
    texts: dict[str, str] = {}
    for name in names:
        for candidate in (Path(name), base / name):
            try:
                texts[name] = candidate.read_text(encoding="utf-8", errors="replace")
            except (OSError, ValueError):
                continue
            break
    return texts
