"""What pip and the system say, as one sentence of ours. The outputs are pip's own, shortened."""

import errno

import pytest

from starter.trouble import Cause, from_os_error, from_pip

PYTHON = "Python 3.11.7 on linux-x86_64"
NO_NETWORK = """WARNING: Retrying (Retry(total=1, connect=None, read=None, redirect=None, status=None)) after connection
broken by 'NewConnectionError('<pip._vendor.urllib3.connection.HTTPSConnection object at 0x7f>: Failed to establish a
new connection: [Errno -3] Temporary failure in name resolution')': /simple/numpy/
ERROR: Could not find a version that satisfies the requirement numpy==2.4.6 (from versions: none)
ERROR: No matching distribution found for numpy==2.4.6
"""
NO_WHEEL = """ERROR: Could not find a version that satisfies the requirement typst==0.15.2 (from versions: none)
ERROR: No matching distribution found for typst==0.15.2
"""
HASHES = """ERROR: THESE PACKAGES DO NOT MATCH THE HASHES FROM THE REQUIREMENTS FILE. If you have updated the package
versions, please update the hashes. Otherwise, examine the package contents carefully; someone may have tampered with
them.
"""


@pytest.mark.parametrize(
    ("output", "cause", "words"),
    [
        (NO_NETWORK, Cause.NETWORK, "the network or the package index does not answer"),
        (NO_WHEEL, Cause.NO_WHEEL, f"no ready-made typst==0.15.2 for {PYTHON}"),
        (HASHES, Cause.OTHER, "not the one that was locked"),
        ("ERROR: Could not install packages due to an OSError: [Errno 28] No space left on device", Cause.DISK, "room"),
        ("ERROR: [Errno 30] Read-only file system: 'x'", Cause.PERMISSION, "cannot be written to"),
        (
            "WARNING: x\nERROR: something new\n\n",
            Cause.OTHER,
            "pip stopped with: ERROR: something new (all of it: LOG)",
        ),
        ("", Cause.OTHER, "nothing said"),
    ],
)
def test_pip_is_understood(output: str, cause: Cause, words: str) -> None:
    trouble = from_pip(output, PYTHON, "LOG")
    assert trouble.cause is cause
    assert words in trouble.sentence
    assert "\n" not in trouble.sentence


@pytest.mark.parametrize(
    ("number", "cause"),
    [
        (errno.ENOSPC, Cause.DISK),
        (errno.EACCES, Cause.PERMISSION),
        (errno.EROFS, Cause.PERMISSION),
        (errno.ENOTDIR, Cause.OTHER),
    ],
)
def test_the_system_is_understood(number: int, cause: Cause) -> None:
    assert from_os_error(OSError(number, "in the system's words", "a-file")).cause is cause
