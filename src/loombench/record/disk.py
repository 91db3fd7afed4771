"""What has to be forced to disk besides the bytes of a file, its name; and files that are there whole or not at all."""

import errno
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
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


@contextmanager
def new_file(target: Path) -> Iterator[Path]:
    """A file beside the target, for its user alone, to be filled; it gets the target's name, forced to disk, at the
    end. Where something goes wrong nothing is left.

    Raises:
        FileExistsError: the target is there already; it is not written over.
        OSError: what the system says.
    """
    if target.exists():
        raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(target))
    handle, name = tempfile.mkstemp(prefix=f".{target.name[:40]}.", dir=target.parent)
    os.close(handle)
    beside = Path(name)
    try:
        yield beside
        _named(beside, target)
        sync_folder(target.parent)
    finally:
        beside.unlink(missing_ok=True)


def _named(beside: Path, target: Path) -> None:
    """A second name cannot be put over a file; sticks that know no second names get the one name."""
    try:
        os.link(beside, target)
    except FileExistsError:
        raise
    except OSError:
        if target.exists():
            raise
        beside.rename(target)
