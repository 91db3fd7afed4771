"""Import files one after the other as the command does, and say of each what came of it, a line of JSON each.

    python -m tests.exchange.hostilerun FILE...

Run by itself, with the processor time limited, so that a file that stalls the program or fills the memory is seen.
"""

import json
import resource
import sys
from pathlib import Path

from loombench.app.importing import Request, make_import

MOST_SECONDS = 120


def peak_mib() -> int:
    """The largest resident memory of this process so far; `getrusage` counts that of the process it came from too."""
    status = Path("/proc/self/status")
    if not status.exists():
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    (line,) = [line for line in status.read_text(encoding="utf-8").splitlines() if line.startswith("VmHWM:")]
    return int(line.split()[1]) // 1024


def main() -> None:
    """Import every file named."""
    resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS))
    for name in sys.argv[1:]:
        made = make_import(Request((name,)))
        said = {
            "name": Path(name).name,
            "made": bool(made.value is not None and made.value.files),
            "problems": [
                [one.code, one.level.value, *([one.spans[0].file, one.spans[0].line] if one.spans else [])]
                for one in made.problems
            ],
            "peak_mib": peak_mib(),
        }
        print(json.dumps(said), flush=True)


if __name__ == "__main__":
    main()
