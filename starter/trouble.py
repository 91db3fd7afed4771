"""What can go wrong outside the program while setting up, each as one sentence that says what to do."""

import errno
from enum import Enum


class Cause(Enum):
    """Why a step of the set-up did not work."""

    NETWORK = "network"
    DISK = "disk"
    PERMISSION = "permission"
    NO_WHEEL = "no wheel"
    OTHER = "other"


class SetupError(Exception):
    """The set-up cannot go on; the text is one sentence for the user."""

    def __init__(self, cause: Cause, sentence: str) -> None:
        super().__init__(sentence)
        self.cause = cause
        self.sentence = sentence


_DISK = "There is no room left on the disk: free some (the set-up needs about 500 MB), then start again."
_PERMISSION = "The folder cannot be written to: copy Loombench to a folder of your own and start it there."
_NETWORK = (
    "The packages could not be fetched, as the network or the package index does not answer: "
    "set up once with a connection (python3 start.py setup); after that none is needed."
)
_HASH = "A downloaded package is not the one that was locked, so nothing was installed: try again from another network."

# What pip and the systems below it say, looked for in this order: a network failure also ends in 'No matching
# distribution', so that comes last.
_SIGNS = (
    (("no space left on device", "disk quota exceeded"), Cause.DISK, _DISK),
    (("do not match the hashes",), Cause.OTHER, _HASH),
    (
        (
            "newconnectionerror", "failed to establish a new connection", "name resolution", "network is unreachable",
            "getaddrinfo failed", "connecttimeout", "read timed out", "connection refused", "proxyerror",
            "cannot connect to proxy", "sslerror", "connection aborted", "connection broken",
        ),
        Cause.NETWORK,
        _NETWORK,
    ),
    (("read-only file system", "permission denied"), Cause.PERMISSION, _PERMISSION),
)  # fmt: skip
_NO_WHEEL = ("no matching distribution found for ",)


def from_os_error(failure: OSError) -> SetupError:
    """The trouble that an operating system's error means."""
    if failure.errno in {errno.ENOSPC, errno.EDQUOT}:
        return SetupError(Cause.DISK, _DISK)
    if failure.errno in {errno.EACCES, errno.EPERM, errno.EROFS}:
        return SetupError(Cause.PERMISSION, _PERMISSION)
    return SetupError(
        Cause.OTHER, f"The set-up stopped: {failure.strerror or failure} ({failure.filename or 'no file'})."
    )


def from_pip(output: str, python: str, log: str) -> SetupError:
    """The trouble that pip's output means.

    Args:
        output: all that pip printed.
        python: the interpreter as the sentence names it, for example 'Python 3.11 on linux-x86_64'.
        log: where that output can be read.
    """
    said = output.lower()
    for signs, cause, sentence in _SIGNS:
        if any(sign in said for sign in signs):
            return SetupError(cause, sentence)
    for sign in _NO_WHEEL:
        if sign in said:
            start = said.index(sign) + len(sign)
            wanted = output[start:].split("\n", 1)[0].split(" (", 1)[0].split(";", 1)[0].strip()
            return SetupError(
                Cause.NO_WHEEL,
                f"The package index offers no ready-made {wanted} for {python}; "
                "if pip was told to use no index (PIP_NO_INDEX), allow it one.",
            )
    lines = [line for line in output.splitlines() if line.strip()]
    return SetupError(
        Cause.OTHER, f"pip stopped with: {lines[-1].strip() if lines else 'nothing said'} (all of it: {log})"
    )
