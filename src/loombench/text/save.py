"""Writing a file so that nothing is lost: refused if it changed since it was shown, and whole or not at all."""

import contextlib
import hashlib
import os
import tempfile
from pathlib import Path

from loombench.base.problems import Problem, error
from loombench.text.limits import LIMITS, Limits
from loombench.text.sources import read_path

_BOM = b"\xef\xbb\xbf"


def fingerprint(text: str) -> str:
    """What identifies a text that was shown: its SHA-256 in hexadecimal."""
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def save_text(path: Path | str, text: str, seen: str, limits: Limits = LIMITS) -> tuple[Problem, ...]:
    """Put a text in place of a file's, if the file still has the fingerprint `seen`; else say why not.

    The new text is written beside the old one, forced to disk, and renamed over it, so that a crash leaves one of the
    two. A new file is written where `seen` is empty and there is none.
    """
    target = Path(path)
    with contextlib.suppress(OSError, RuntimeError):
        target = target.resolve()
    old = read_path(target, limits)
    is_same = fingerprint(old) == seen if isinstance(old, str) else old is None and not seen and not target.exists()
    if not is_same:
        return (error("file-changed", name=path),)
    try:
        _replace(target, text)
    except (OSError, ValueError) as wrong:
        return (error("write-failed", name=path, reason=getattr(wrong, "strerror", None) or type(wrong).__name__),)
    return ()


def _replace(target: Path, text: str) -> None:
    data = text.encode("utf-8")
    mode = target.stat().st_mode & 0o777 if target.exists() else 0o644
    if target.exists() and target.read_bytes()[:3] == _BOM:
        data = _BOM + data
    handle, name = tempfile.mkstemp(prefix=f".{target.name}.", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        Path(name).chmod(mode)
        Path(name).replace(target)
    except OSError:
        Path(name).unlink(missing_ok=True)
        raise
    _sync_folder(target.parent)


def _sync_folder(folder: Path) -> None:
    """Force the new name to disk; some systems cannot, and there the rename itself has to do."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
