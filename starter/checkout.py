"""The folders and files of one checkout that the set-up knows."""

import os
from dataclasses import dataclass
from pathlib import Path

RUNTIME = "requirements.txt"
DEV = "requirements-dev.txt"
# Parts that may be absent: what the user loses without them, by lock file.
OPTIONAL = (
    ("requirements-drawing.txt", "circuit drawings (the run lists say the same in words)"),
    ("requirements-pdf.txt", "job cards as PDF (they can still be printed from the browser)"),
    ("requirements-fast.txt", "the speed-up for large vehicles (the answers are the same, later)"),
)


@dataclass(frozen=True)
class Checkout:
    """A copy of the project, and the environment inside it."""

    root: Path

    @property
    def venv(self) -> Path:
        """The folder of the environment."""
        return self.root / ".venv"

    @property
    def scripts(self) -> Path:
        """The folder of the environment's programs."""
        return self.venv / ("Scripts" if os.name == "nt" else "bin")

    @property
    def python(self) -> Path:
        """The environment's interpreter."""
        return self.scripts / ("python.exe" if os.name == "nt" else "python")

    @property
    def source(self) -> Path:
        """The folder that holds the package."""
        return self.root / "src"

    @property
    def stamp(self) -> Path:
        """What was set up, as `starter.stamp` writes it."""
        return self.venv / "loombench-stamp.json"

    @property
    def log(self) -> Path:
        """All that pip said at the last set-up."""
        return self.venv / "set-up.log"
