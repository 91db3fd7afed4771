"""On the path of a program it may write nowhere, as far as it asks before: where tests run with all rights, no folder
is closed to them."""

import os

_real = os.access


def _only_read(path, mode, **options):  # type: ignore[no-untyped-def]
    return not mode & os.W_OK and _real(path, mode, **options)


os.access = _only_read
