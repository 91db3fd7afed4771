"""What each source of problems does with an example: its problems, and the texts their places are in."""

import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from loombench.app.asking import asked
from loombench.app.complaints import understand
from loombench.app.facesheet import face_asked
from loombench.app.finding import not_as_drawn
from loombench.app.rates import read_rates
from loombench.app.search import start
from loombench.app.typed import read_typed
from loombench.app.vehicles import Opened
from loombench.base.problems import Problem, Span
from loombench.base.report import render_all
from loombench.base.wording import catalogue
from loombench.circuit.explain import explain
from loombench.circuit.fault import Fault, read_fault
from loombench.circuit.lower import lower
from loombench.circuit.operate import run
from loombench.text.changes import read_change
from loombench.text.draft import Draft
from loombench.text.edit import edit
from loombench.text.limits import LIMITS, Limits
from loombench.text.load import load_sources, load_text
from loombench.text.names import find_element, find_point, find_wire, read_condition
from loombench.text.save import fingerprint, save_text
from loombench.text.skeleton import find_skeleton
from loombench.text.syntax import Line
from loombench.text.tokens import tokens
from loombench.vehicle.change import apply
from loombench.vehicle.model import Vehicle
from tests.draw.examples import drawing_problems
from tests.evidence.examples import evidence_problems
from tests.exchange.assembly.examples import whole_import_problems
from tests.exchange.examples import import_problems
from tests.exchange.out.examples import export_problems
from tests.paper.examples import paper_problems
from tests.problems.pages import MAIN, RECORD, Example, Page
from tests.record.examples import record_problems
from tests.record.jobexamples import job_problems
from tests.record.storeexamples import store_problems

Runner = Callable[[Example, Limits], Sequence[Problem]]


def report(page: Page, example: Example) -> str:
    """The report that an example gives, as a user would see it."""
    limits = LIMITS
    for pair in page.head.get("limits", "").split():
        name, value = pair.split("=")
        limits = replace(limits, **{name: int(value)})
    problems = RUNNERS[page.head["source"]](example, limits)
    return render_all(problems, dict(example.files))


def _vehicle(example: Example) -> Vehicle:
    outcome = load_text(example.files.get(MAIN, ""), MAIN, example.files.get)
    if not outcome.usable:
        raise ValueError(f"the circuit of the example does not load: {outcome.problems}")
    return outcome.value


def _load(example: Example, limits: Limits) -> Sequence[Problem]:
    options = tuple(example.ask.split())
    return load_text(example.files[MAIN], MAIN, example.files.get, options, limits).problems


def _check(example: Example, limits: Limits) -> Sequence[Problem]:
    from loombench.app.checking import check_vehicle  # noqa: PLC0415  (only pages of checks need it)

    loaded = load_text(example.files[MAIN], MAIN, example.files.get, (), limits)
    return (*loaded.problems, *check_vehicle(Opened(loaded.value, loaded.problems, example.files)))


def _files(example: Example, limits: Limits) -> Sequence[Problem]:
    """Writes the files, and what `ask` says (`bytes NAME HEX`, `load NAME`), to a folder, and loads from there."""
    with tempfile.TemporaryDirectory() as folder:
        for name, text in example.files.items():
            (Path(folder) / name).write_text(text, encoding="utf-8")
        problems: Sequence[Problem] = ()
        for line in example.ask.splitlines():
            verb, name, *rest = line.split()
            if verb == "bytes":
                (Path(folder) / name).write_bytes(bytes.fromhex("".join(rest)))
            elif verb == "link":
                (Path(folder) / name).symlink_to(rest[0])
            else:
                problems = load_sources(Path(folder) / name, (), limits).outcome.problems
        return tuple(_without_folder(item, folder) for item in problems)


def _without_folder(item: Problem, folder: str) -> Problem:
    def shown(text: str) -> str:
        return text.replace(f"{folder}/", "").replace(folder, ".")

    spans = tuple(Span(shown(s.file), s.line, s.column, s.end_column) for s in item.spans)
    return replace(item, spans=spans, facts=tuple((name, shown(catalogue().text(fact))) for name, fact in item.facts))


def _names(example: Example, limits: Limits) -> Sequence[Problem]:
    del limits
    kind, _, text = example.ask.partition(" ")
    finders: Mapping[str, Callable[[Vehicle, str], object]] = {
        "point": find_point, "element": find_element, "wire": find_wire,
    }  # fmt: skip
    outcome = finders[kind](_vehicle(example), text)
    problems: Sequence[Problem] = outcome.problems  # type: ignore[attr-defined]
    return problems


def _condition(example: Example, limits: Limits) -> Sequence[Problem]:
    del limits
    return read_condition(_vehicle(example), example.ask).problems


def _complaint(example: Example, limits: Limits) -> Sequence[Problem]:
    del limits
    return understand(_vehicle(example), example.ask).problems


def _change(example: Example, limits: Limits) -> Sequence[Problem]:
    """Applies the change line of `ask` to the vehicle."""
    vehicle, draft = _vehicle(example), Draft(limits=limits)
    change = read_change(draft, Line("", 1, tokens(example.ask)), vehicle)
    return draft.problems if change is None else apply(vehicle, change).problems


def _edit(example: Example, limits: Limits) -> Sequence[Problem]:
    vehicle, draft = _vehicle(example), Draft(limits=limits)
    change = read_change(draft, Line("", 1, tokens(example.ask)), vehicle)
    if change is None:
        return draft.problems
    return edit(example.files[MAIN], change, MAIN, example.files.get).problems


def _save(example: Example, limits: Limits) -> Sequence[Problem]:
    """Writes the file, lets `ask` happen (`appended` or `folder`), and saves what was shown before."""
    shown = example.files[MAIN]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / MAIN
        path.write_text(shown + ("# meanwhile\n" if example.ask == "appended" else ""), encoding="utf-8")
        text = "\ud800" if example.ask == "unwritable" else shown
        problems = save_text(path, text, fingerprint(shown), limits)
        return tuple(_without_folder(item, folder) for item in problems)


def _skeleton(example: Example, limits: Limits) -> Sequence[Problem]:
    del limits
    return find_skeleton(example.ask).problems


def _fault(example: Example, limits: Limits) -> Sequence[Problem]:
    """Puts the faults of `ask`, one a line, into the circuit."""
    del limits
    # What no fault can be read from is one all the same for whoever builds them by program.
    faults = [read_fault(line) or Fault(line.split()[0], line.split()[-1]) for line in example.ask.splitlines()]
    return lower(_vehicle(example), tuple(faults)).problems


def _circuit(example: Example, limits: Limits) -> Sequence[Problem]:
    """Puts the circuit into the condition in the first line of `ask`, with the faults in the others, and says what was
    found."""
    del limits
    vehicle = _vehicle(example)
    condition, *faults = example.ask.splitlines() or [""]
    netlist = lower(vehicle, tuple(fault for line in faults if (fault := read_fault(line)))).value
    settled = run(netlist, read_condition(vehicle, condition).value)
    return [explain(netlist, finding, vehicle) for finding in settled.findings]


def _evidence(example: Example, limits: Limits) -> Sequence[Problem]:
    del limits
    return evidence_problems(RECORD, example.files[RECORD])


def _record(example: Example, limits: Limits) -> Sequence[Problem]:
    """Lays the record in a folder and does there what `ask` says; see `tests.record.examples`."""
    del limits
    return record_problems(example.files, example.ask)


def _store(example: Example, limits: Limits) -> Sequence[Problem]:
    """Keeps the record's events in a store of jobs and does there what `ask` says; see `tests.record.storeexamples`."""
    del limits
    return store_problems(example.files, example.ask)


def _desk(example: Example, limits: Limits) -> Sequence[Problem]:
    """What a desk or a server says; see `tests.problems.deskexamples`."""
    del limits
    from tests.problems.deskexamples import desk_problems  # noqa: PLC0415  (only its pages need a server)

    return desk_problems(example.ask)


def _jobs(example: Example, limits: Limits) -> Sequence[Problem]:
    """Takes the files into a store of jobs, or gives them out, as `ask` says; see `tests.record.jobexamples`."""
    del limits
    return job_problems(example.files, example.ask)


def _drawing(example: Example, limits: Limits) -> Sequence[Problem]:
    """Draws where `ask` says something is wrong; see `tests.draw.examples`."""
    del limits
    return drawing_problems(example.ask)


def _face(example: Example, limits: Limits) -> Sequence[Problem]:
    """Asks for the face of the plug that `ask` names."""
    return face_asked(load_text(example.files[MAIN], MAIN, limits=limits).value, example.ask).problems


def _paper(example: Example, limits: Limits) -> Sequence[Problem]:
    """Prints a page where `ask` says something is wrong; see `tests.paper.examples`."""
    del limits
    return paper_problems(example.ask)


def _import(example: Example, _limits: Limits) -> Sequence[Problem]:
    """Reads the files as data of other programs; see `tests.exchange.examples`."""
    return import_problems(example.files, example.ask)


def _whole_import(example: Example, _limits: Limits) -> Sequence[Problem]:
    """Imports the files together as a user would; see `tests.exchange.assembly.examples`."""
    return whole_import_problems(example.files, example.ask)


def _export(example: Example, _limits: Limits) -> Sequence[Problem]:
    """Gives the vehicle out; see `tests.exchange.out.examples`."""
    return export_problems(example.files, example.ask)


def _rates(example: Example, _limits: Limits) -> Sequence[Problem]:
    """Reads `ask` as a file of rates."""
    return read_rates(example.ask, "rates.csv").problems


def _search(example: Example, _limits: Limits) -> Sequence[Problem]:
    """Begins a practice case with what is hidden given, and after a semicolon the complaint. After one more, what is
    found not to be as drawn, or what is typed, or a line added to the circuit before the case is taken up again."""
    hidden, complaint, later = ([part.strip() for part in example.ask.split(";", 2)] + ["", ""])[:3]
    time = "2000-01-01T00:00:00+00:00"
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / MAIN
        file.write_text(example.files[MAIN], encoding="utf-8")
        begun = start(str(file), complaint, Path(folder), "1", time, hidden)
        problems: Sequence[Problem] = begun.problems
        verb, _, said = later.partition(": ")
        if begun.value is not None and verb == "not as drawn":
            problems = not_as_drawn(begun.value.case, said, time).problems
        elif begun.value is not None and verb == "typed":
            problems = read_typed(begun.value.case, None, said).problems
        elif later:
            file.write_text(f"{example.files[MAIN]}{later}\n", encoding="utf-8")
            problems = start(str(file), complaint, Path(folder), "1", time, hidden).problems
    return [replace(one, spans=tuple(replace(span, file=MAIN) for span in one.spans)) for one in problems]


def _meter(example: Example, _limits: Limits) -> Sequence[Problem]:
    """Asks for a reading at E7.1 with the meter given."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / MAIN
        file.write_text(example.files[MAIN], encoding="utf-8")
        return asked(str(file), (), (), "E7.1", "", example.ask.strip()).problems


RUNNERS: Mapping[str, Runner] = {
    "load": _load, "check": _check, "files": _files, "names": _names, "condition": _condition,
    "complaint": _complaint, "change": _change, "edit": _edit, "save": _save, "skeleton": _skeleton,
    "fault": _fault, "circuit": _circuit, "search": _search, "meter": _meter,
    "evidence": _evidence, "record": _record, "store": _store, "jobs": _jobs, "desk": _desk,
    "paper": _paper, "drawing": _drawing, "face": _face, "import": _import,
    "whole-import": _whole_import, "rates": _rates, "export": _export,
}  # fmt: skip
