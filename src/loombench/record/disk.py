"""What has to be forced to disk besides the bytes of a file: its name."""

import errno
import os
from pathlib import Path

_CANNOT_SYNC = frozenset({errno.EINVAL, errno.ENOTSUP})
"""What file systems answer that keep no order of names; there is nothing more to be had from them."""


def sync_folder(folder: Path) -> None:
    """Force a new name to disk. Windows opens no folders, and does it by itself."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError as wrong:
        if wrong.errno not in _CANNOT_SYNC:
            raise
    finally:
        os.close(handle)


def make_folder(folder: Path, mode: int = 0o777) -> None:
    """Make a folder and those above it that are missing, their names forced to disk; `mode` is the last one's."""
    missing = [one for one in (folder, *folder.parents) if not one.exists()]
    folder.mkdir(mode=mode, parents=True, exist_ok=True)
    for one in missing:
        sync_folder(one.parent)
