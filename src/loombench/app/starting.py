"""Starting a vehicle from a skeleton: its text, and a file of its own in a folder, headed by what is known already."""

from dataclasses import dataclass
from pathlib import Path

from loombench.base.outcome import Outcome, errors
from loombench.base.problems import Problem, error
from loombench.text.colour import CODES
from loombench.text.load import load_text
from loombench.text.save import save_text
from loombench.text.skeleton import SKELETONS, find_skeleton
from loombench.text.sources import SUFFIX
from loombench.text.write_parts import quoted
from loombench.vehicle.model import FORMS

KINDS, SYSTEMS, LOOKS = SKELETONS, CODES, FORMS
"""What can be chosen: skeletons, systems of colour letters, what a vehicle looks like."""
VOLTS = ("12V", "24V", "6V", "48V")
MAIN = f"vehicle{SUFFIX}"
LONGEST_NAME, LONGEST_FOLDER, MOST_ALIKE = 80, 60, 100


@dataclass(frozen=True)
class Start:
    """What a vehicle is begun with: one of `KINDS`, its name (empty: the skeleton's), nominal volts as the notation has
    them, one of `LOOKS` or empty, one of `SYSTEMS`."""

    kind: str
    name: str = ""
    volts: str = VOLTS[0]
    form: str = ""
    colours: str = CODES[0]


def skeleton_text(kind: str) -> Outcome[str | None]:
    """The text of the skeleton of that kind; None with a problem where there is none."""
    return find_skeleton(kind)


def started_text(start: Start) -> Outcome[str | None]:
    """The text of a skeleton with the vehicle's own head; None where the notation does not take what was given."""
    found = find_skeleton(start.kind)
    if found.value is None:
        return found
    lines = found.value.splitlines()
    head = next(at for at, line in enumerate(lines) if line.startswith("vehicle "))
    name = quoted(start.name[:LONGEST_NAME]) if start.name.strip() else quoted(lines[head].split('"')[1])
    # A line of its own must not come in with a word.
    lines[head] = " ".join(("vehicle", name, *start.volts.split(), *start.form.split()))
    system = next(at for at, line in enumerate(lines) if line.startswith("colours "))
    lines[system] = " ".join(("colours", *start.colours.split()))
    text = "\n".join(lines) + "\n"
    wrong = errors(load_text(text, MAIN).problems)
    return Outcome(None, tuple(wrong)) if wrong else Outcome(text)


def start_vehicle(folder: Path, start: Start) -> Outcome[Path | None]:
    """A new folder below `folder` with the vehicle's file, named like the vehicle; nothing that is there is touched."""
    text = started_text(start)
    if text.value is None:
        return Outcome(None, text.problems)
    made = new_folder(folder, start.name.strip() or start.kind)
    if made.value is None:
        return Outcome(None, made.problems)
    wrong = save_text(made.value / MAIN, text.value, "")
    if wrong:
        made.value.rmdir()
        return Outcome(None, wrong)
    return Outcome(made.value / MAIN)


def new_folder(folder: Path, name: str) -> Outcome[Path | None]:
    """A new empty folder below another one, called like a name as far as a folder can be."""
    stem = folder_name(name)
    for count in range(1, MOST_ALIKE):
        path = folder / (stem if count == 1 else f"{stem}-{count}")
        try:
            path.mkdir()
        except FileExistsError:
            continue
        except OSError as wrong:
            return Outcome(None, (_unwritten(path, wrong),))
        return Outcome(path)
    return Outcome(None, (error("import-folder-taken", folder=folder / stem),))


def folder_name(name: str) -> str:
    """A name in small letters, digits and hyphens, that every system takes for a folder's."""
    small = "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in name.casefold())
    return "-".join(piece for piece in small.split("-") if piece)[:LONGEST_FOLDER].strip("-") or "vehicle"


def _unwritten(path: Path, wrong: OSError) -> Problem:
    return error("write-failed", name=path, reason=wrong.strerror or type(wrong).__name__)
