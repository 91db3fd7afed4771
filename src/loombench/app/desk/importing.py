"""The import view: files looked at before anything is written, then the folder of a vehicle, whole or not at all."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, replace
from types import MappingProxyType

from loombench.app.desk.asking import Asked
from loombench.app.desk.desk import Desk, Task
from loombench.app.desk.saying import Told, told
from loombench.app.importing import Import, ReadFile, Request, import_bytes, write_import
from loombench.app.importlists import ListSeen, Said, layouts_of, lists_seen
from loombench.app.starting import folder_name
from loombench.base.outcome import Outcome, errors
from loombench.base.problems import error
from loombench.base.wording import Catalogue
from loombench.exchange.harness import Option
from loombench.exchange.missing import Answer
from loombench.exchange.wirelist.layout import AUTOMATIC, Layout

MOST_ALIKE = 100
_UNITS = ("size_unit", "length_unit", "decimal", "dates", "unmarked")


@dataclass(frozen=True)
class Given:
    """What the page sends: files by name, what was said of lists by file and sheet, units and the like by the names of
    `Layout`, the system of colour letters, the options chosen (None: nobody has said), answers and pins by (what, id),
    whether proposals count, and the vehicle's name."""

    files: Mapping[str, bytes]
    said: Mapping[tuple[str, str], Said] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)
    colours: str = ""
    codes: tuple[str, ...] | None = None
    answers: Mapping[tuple[str, str], tuple[str, str]] = field(default_factory=dict)
    accept: bool = False
    name: str = ""

    @property
    def general(self) -> Layout:
        """What holds for all lists."""
        known = {name: value for name, value in self.units.items() if name in _UNITS}
        return replace(AUTOMATIC, **known)  # type: ignore[arg-type]  # these fields are all texts


@dataclass(frozen=True)
class LackLine:
    """A row of what is missing; `answer` is what was answered, `open` whether nothing counts for it yet."""

    what: str
    id: str
    pins: str
    seen: str
    proposal: str
    because: str
    answer: str
    answer_pins: str
    open: bool


@dataclass(frozen=True)
class ImportSeen:
    """What the files hold and what they lack. `ready` where a vehicle can be written."""

    read: tuple[ReadFile, ...]
    lists: tuple[ListSeen, ...]
    options: tuple[Option, ...]
    chosen: tuple[str, ...] | None
    counts: tuple[tuple[str, int], ...]
    lacks: tuple[LackLine, ...]
    open: int
    accept: bool
    ready: bool
    problems: tuple[Told, ...]


@dataclass(frozen=True)
class Written:
    """The address of the vehicle that was written; empty where it was not, and why."""

    vehicle: str
    problems: tuple[Told, ...]


def import_seen(desk: Desk, asked: Asked, given: Given) -> ImportSeen:
    """Look at files without writing anything."""
    _ = desk
    layouts = layouts_of(given.files, given.said, given.general)
    lists = lists_seen(given.files, layouts)
    asked.go_on()
    made = _made(given, layouts, asked)
    problems = told(made.problems, asked.words)
    if made.value is None:
        return ImportSeen((), lists, (), given.codes, (), (), 0, given.accept, False, problems)
    if made.value.options:
        # The page asks for them by itself.
        problems = tuple(one for one in problems if one.code != "import-variants")
    counts = tuple((name, number) for name, number in asdict(made.value.counts).items() if isinstance(number, int))
    lacks = _lacks(made.value, given, asked.words)
    ready = bool(made.value.files) and not errors(made.problems)
    return ImportSeen(
        made.value.read, lists, made.value.options, given.codes, counts, lacks, made.value.open, given.accept, ready,
        problems,
    )  # fmt: skip


def import_written(desk: Desk, asked: Asked, given: Given) -> Written:
    """Write the vehicle's folder, called like the vehicle, below the bench's folder."""
    made = _made(given, layouts_of(given.files, given.said, given.general), asked)
    if made.value is None or errors(made.problems) or not made.value.files:
        return Written("", told(errors(made.problems), asked.words))
    asked.go_on()
    stem = folder_name(given.name or next(iter(given.files), "").rpartition(".")[0])
    root = desk.place.folder
    free = (stem if count == 1 else f"{stem}-{count}" for count in range(1, MOST_ALIKE))
    name = next((one for one in free if not (root / one).exists()), "")
    if not name:
        return Written("", told((error("import-folder-taken", folder=stem),), asked.words))
    wrong = write_import(made.value, root / name)
    main = root / name / "vehicle.circuit"
    address = next((one.id for one in desk.shelf().value if one.file == main), "")
    return Written("" if wrong else address, told(wrong, asked.words))


def _made(given: Given, layouts: Mapping[str, Layout], asked: Asked) -> Outcome[Import | None]:
    request = Request(
        tuple(given.files), given.codes, accept=given.accept, colours=given.colours, layout=given.general,
        layouts=layouts, given={key: Answer(text, pins) for key, (text, pins) in given.answers.items()},
        name=given.name,
    )  # fmt: skip
    return import_bytes(given.files, request, words=asked.words)


def _lacks(made: Import, given: Given, words: Catalogue) -> tuple[LackLine, ...]:
    lines = []
    for lack in made.lacks:
        text, pins = given.answers.get(lack.key, ("", ""))
        because = words.say(f"import.because.{lack.because}", **dict(lack.facts)) if lack.because else ""
        proposal = lack.proposal + (f"  ({lack.proposed_pins})" if lack.proposed_pins else "")
        lines.append(
            LackLine(
                lack.what, lack.id, lack.pins, lack.seen, proposal, because, text, pins,
                lack.key not in made.taken,
            )
        )  # fmt: skip
    return tuple(lines)


TASKS: Mapping[str, Task] = MappingProxyType({"import.seen": import_seen, "import.written": import_written})
