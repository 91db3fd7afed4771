"""A change made in a file: read, edited, and put back only if nobody changed it since it was shown."""

from collections.abc import Sequence
from pathlib import Path

from loombench.base.outcome import Outcome
from loombench.base.problems import error
from loombench.text.edit import edit, note_change
from loombench.text.limits import LIMITS, Limits
from loombench.text.save import fingerprint, save_text
from loombench.text.sources import Unread, find_main, folder_reader, read_path
from loombench.vehicle.change import Change


def edit_file(
    path: Path | str,
    change: Change,
    seen: str,
    options: Sequence[str] = (),
    noted: bool = False,
    limits: Limits = LIMITS,
) -> Outcome[str]:
    """Make a change in a vehicle's main file and write it; the new text, or the old one with what was in the way.

    `seen` is the fingerprint of the text the user saw. With `noted` the change becomes a `change` line at the end and
    the drawing above stays as it is.
    """
    main = find_main(Path(path))
    text = main if isinstance(main, Unread) else read_path(main, limits)
    if isinstance(main, Unread) or not isinstance(text, str):
        failure = text if isinstance(text, Unread) else Unread("file-missing")
        return Outcome("", (error(failure.code, name=path, **dict(failure.facts)),))
    if fingerprint(text) != seen:
        return Outcome(text, (error("file-changed", name=main),))
    make = note_change if noted else edit
    outcome = make(text, change, str(main), folder_reader(main.parent, limits), options)
    if not outcome.usable or outcome.value == text:
        return Outcome(text, outcome.problems)
    failed = save_text(main, outcome.value, seen, limits)
    return Outcome(text if failed else outcome.value, (*outcome.problems, *failed))
