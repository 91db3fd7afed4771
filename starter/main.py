"""`start.py`'s words: each makes the environment right first, then hands over to it."""

import os
import signal
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

from starter import proof
from starter.checkout import Checkout
from starter.environment import absences, ensure
from starter.trouble import SetupError, from_os_error

USAGE = """Loombench: a bench for the vehicle electrician.

  python3 start.py              the bench in your browser, on the example vehicles
  python3 start.py demo         an invented vehicle with a fault, found step by step
  python3 start.py run ARGS     the program itself: `run --help` says what it can do
  python3 start.py setup        make .venv and install the locked packages; the others do it when needed
  python3 start.py test ARGS    all tests; ARGS go to pytest
  python3 start.py proof NAMES  the long benchmarks, kept in benchmarks/results (--list, --quick)

Nothing outside this folder is touched. The first start needs the network once.
"""
INTERRUPTED = 130
BENCH = "bench"
"""What is done without a word."""


def main(words: Sequence[str]) -> int:
    """Do what the words say; the exit status."""
    verb, rest = (words[0], words[1:]) if words else (BENCH, ())
    if verb in {"-h", "--help", "help"}:
        print(USAGE, end="")
        return 0
    if words and verb not in {"demo", "run", "setup", "test", "proof"}:
        _say(f"There is no '{verb}'. `python3 start.py --help` says what there is.")
        return 2
    checkout = Checkout(Path(__file__).resolve().parents[1])
    try:
        return _do(checkout, verb, rest)
    except SetupError as trouble:
        _say(trouble.sentence)
    except OSError as failure:
        _say(from_os_error(failure).sentence)
    except KeyboardInterrupt:
        _say("Broken off; the next start goes on from here.")
        return INTERRUPTED
    return 1


def _do(checkout: Checkout, verb: str, rest: Sequence[str]) -> int:
    if verb == "setup" and rest:
        _say(f"`setup` takes nothing more, and was given '{rest[0]}'.")
        return 2
    stamp = ensure(checkout, _say, dev=verb in {"test", "proof"}, again=verb == "setup")
    if verb == "setup":
        for line in absences(stamp):
            _say(line)
        _say("Ready. `python3 start.py demo` shows it at work.")
        return 0
    if verb == "proof":
        return proof.run_all(checkout, rest, _say)
    if verb == "test":
        return _hand_over(checkout, ("-m", "pytest", *_spread(rest), *rest), checkout.root)
    if verb == BENCH:
        return _hand_over(checkout, ("-m", "loombench", "serve", str(checkout.root / "examples"), "--show"), None)
    return _hand_over(checkout, ("-m", "loombench", *(("demo",) if verb == "demo" else ()), *rest), None)


def _spread(words: Sequence[str]) -> tuple[str, ...]:
    """The words that spread tests over the cores, unless the user's own words say how."""
    own = any(word.startswith("-n") or word in {"--pdb", "no:xdist"} for word in words)
    return ("-n", "auto") if not own and (os.cpu_count() or 1) > 1 else ()


def _hand_over(checkout: Checkout, words: Sequence[str], folder: Path | None) -> int:
    """Run the environment's Python to its end and give its exit status."""
    with subprocess.Popen([str(checkout.python), *words], cwd=folder) as child:
        while True:
            try:
                status = child.wait()
                break
            except KeyboardInterrupt:
                # The child has had the same signal and says itself what it leaves; wait for it.
                continue
    return INTERRUPTED if status == -signal.SIGINT else 128 - status if status < 0 else status


def _say(text: str) -> None:
    print(text, file=sys.stderr, flush=True)
