"""Writing a printed document to a file: whole or not at all."""

import os
import tempfile
from pathlib import Path

from loombench.base.problems import Problem, error


def put(path: Path, data: bytes) -> Problem | None:
    """Write beside the place and rename, so that nobody ever finds half a file; why not, where it cannot be."""
    name = ""
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name[:40]}.", dir=path.parent)
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        Path(name).chmod(0o644)
        Path(name).replace(path)
    except (OSError, ValueError) as wrong:
        if name:
            Path(name).unlink(missing_ok=True)
        reason = getattr(wrong, "strerror", None) or type(wrong).__name__
        return error("paper-unwritten", name=path.name[:80], reason=reason)
    return None
