"""The one way in: `python3 start.py` says what there is.

This file stays readable to Python 2 and 3.6, so that an old one is told what is missing instead of failing to read it.
"""

import sys

if sys.version_info < (3, 11):  # noqa: UP036  (an old Python is the very case)
    sys.stderr.write(
        "Loombench needs Python 3.11 or newer, and this is Python %d.%d. "  # noqa: UP031  (read by Python 2 as well)
        "Start it with a newer one, for example: python3.12 start.py\n" % sys.version_info[:2]
    )
    sys.exit(2)

from starter.main import main

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
