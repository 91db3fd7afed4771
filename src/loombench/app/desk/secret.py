"""The server's own secret: it stays the same over restarts, so that a page that was left open can go on."""

import os
import secrets
from pathlib import Path

from loombench.base.outcome import Outcome
from loombench.base.problems import warning

NAME, LENGTH = "bench.key", 32


def server_key(folder: Path) -> Outcome[bytes]:
    """The secret kept in a folder, made where there is none; only its user may read it. Where it cannot be kept, one
    for this run, with a problem that says so."""
    file = folder / NAME
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if file.exists():
            found = file.read_bytes()
            file.chmod(0o600)
            if len(found) == LENGTH:
                return Outcome(found)
        made = secrets.token_bytes(LENGTH)
        with open(os.open(file, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as out:
            out.write(made)
            out.flush()
            os.fsync(out.fileno())
    except OSError as wrong:
        reason = wrong.strerror or type(wrong).__name__
        return Outcome(secrets.token_bytes(LENGTH), (warning("serve-key", file=file, reason=reason),))
    return Outcome(made)
