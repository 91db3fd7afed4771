"""No file names a place on one machine or the address of a package index: a checkout works anywhere or not at all."""

import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

# Put together here, so that this file passes its own guard.
_HOSTS = (
    "pypi" + ".org", "pypi" + ".python.org", "python" + "hosted.org", "registry." + "npmjs", "npmjs" + ".com",
    "deb.deb" + "ian.org", "conda" + ".anaconda.org", "--index" + "-url", "--extra-index" + "-url", "--find" + "-links",
)  # fmt: skip
_FOLDERS = ("work", "root", "home", "Users", "tmp", "opt", "mnt")
# A folder at the root of the file system: not part of a longer path, of a URL or of a word.
_PATH = re.compile(rf"(?<![\w.~*>)}}\]\"'$-])/(?:{'|'.join(_FOLDERS)})/\w|(?<=[\"'`])/(?:{'|'.join(_FOLDERS)})/\w")
_DRIVE = re.compile(r"\b[A-Z]:\\+Users\\", re.IGNORECASE)
_TEXT_UP_TO = 2_000_000


def offences(root: Path) -> tuple[str, ...]:
    """One line for each place named in a file of the checkout at `root` (what git tracks or would add).

    Raises:
        ValueError: there is no file.
    """
    files = _files(root)
    if not files:
        raise ValueError(f"no file below {root}: is the path right?")
    return tuple(line for path in files for line in _of_file(root, path))


def _files(root: Path) -> tuple[str, ...]:
    if (root / ".git").exists():
        words = ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
        listed = subprocess.run(words, cwd=root, check=True, capture_output=True, text=True, encoding="utf-8").stdout
        return tuple(name for name in sorted(set(listed.split("\0"))) if name and (root / name).is_file())
    return tuple(sorted(path.relative_to(root).as_posix() for path in root.rglob("*") if path.is_file()))


def _of_file(root: Path, name: str) -> Iterator[str]:
    data = (root / name).read_bytes()
    if b"\0" in data or len(data) > _TEXT_UP_TO:
        return
    for number, line in enumerate(data.decode("utf-8", "replace").splitlines(), 1):
        for host in _HOSTS:
            if host in line:
                yield f"{name}:{number}: names a package index or its option: {host}"
        for pattern in (_PATH, _DRIVE):
            found = pattern.search(line)
            if found:
                yield f"{name}:{number}: names a folder of one machine: {line[found.start() :][:30]}"
