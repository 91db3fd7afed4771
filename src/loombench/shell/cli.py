"""The command line: translates words into calls of `app` and prints the results, nothing more."""

import json
import re
from collections.abc import Callable
from contextlib import nullcontext
from pathlib import Path
from typing import Annotated

import typer

from loombench.base.heap import one_heap
from loombench.base.outcome import errors
from loombench.base.problems import Level
from loombench.base.waste import look_seldom
from loombench.shell.changed import changed
from loombench.shell.draw import draw
from loombench.shell.effects import effects
from loombench.shell.export import export
from loombench.shell.importing import import_files
from loombench.shell.jobs import jobs, opened
from loombench.shell.language import speaking, spoken
from loombench.shell.procedure import procedure
from loombench.shell.rates import rates
from loombench.shell.serve import serve
from loombench.shell.sheets import face, feeds, places, returns

FILE = Annotated[str, typer.Argument(help="a .circuit file, or the folder of a vehicle")]
SETS = Annotated[list[str] | None, typer.Option("--set", help="control=position, in order")]
JSON = Annotated[bool, typer.Option("--json", help="for machines")]

application = typer.Typer(
    name="loombench",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

application.callback()(speaking)
application.command()(export)
application.command("import")(import_files)
application.command()(changed)
application.command()(procedure)
application.command()(effects)
application.command()(draw)
application.command()(rates)
application.command()(face)
application.command()(places)
application.command()(feeds)
application.command()(returns)
application.command()(serve)
application.add_typer(jobs, name="jobs")


@application.command()
def check(context: typer.Context, file: FILE, as_json: JSON = False) -> None:
    """Read a vehicle and say what is wrong with its drawing."""
    from loombench.app.checking import check_vehicle, problems_json  # noqa: PLC0415
    from loombench.app.vehicles import open_vehicle  # noqa: PLC0415

    words = spoken(context)
    opened = open_vehicle(file)
    found = check_vehicle(opened)
    if as_json:
        typer.echo(json.dumps({"problems": problems_json((*opened.problems, *found), words)}))
    else:
        wires = len(opened.vehicle.wires)
        clean = words.say("shell.nothing-to-mend", vehicle=opened.vehicle.name, wires=wires)
        typer.echo(opened.report(*found, words=words) or clean)
    raise typer.Exit(1 if opened.broken or errors(found) else 0)


@application.command()
def runs(
    context: typer.Context,
    file: FILE,
    load: Annotated[str, typer.Argument(help="only loads whose name holds this")] = "",
) -> None:
    """Trace each load's way from the battery and back, wire by wire."""
    from loombench.app.runlist import run_list  # noqa: PLC0415
    from loombench.app.vehicles import open_vehicle  # noqa: PLC0415

    marks = {"wire": "  |  ", "point": "", "through": "  =  ", "load": "  *  ", "gap": "  ?  "}
    for run in run_list(open_vehicle(file).vehicle, load, spoken(context)):
        typer.echo(run.title)
        for line in run.lines:
            typer.echo(f"    {marks[line.mark] + line.text:<34}{line.remark}".rstrip())
        typer.echo("")


@application.command()
def readings(
    context: typer.Context,
    file: FILE,
    sets: SETS = None,
    engine: Annotated[str, typer.Option(help="off, crank or run")] = "off",
    unplug: Annotated[list[str] | None, typer.Option(help="a connector or part")] = None,
    pull: Annotated[list[str] | None, typer.Option(help="a fuse or relay")] = None,
    fault: Annotated[list[str] | None, typer.Option(help='such as "open S4.2~X12.3"')] = None,
    at: Annotated[str, typer.Option(help="red lead at this point: one meter instead of all pins")] = "",
    to: Annotated[str, typer.Option(help="black lead, battery minus unless said")] = "",
    meter: Annotated[
        str, typer.Option(help="voltmeter, low-impedance, test-lamp, led-tester, ohmmeter, buzzer, clamp, min-max")
    ] = "voltmeter",
    part: Annotated[str, typer.Option(help="only the pins of this part")] = "",
    as_json: JSON = False,
) -> None:
    """What every pin should read, to battery minus, in a condition; or what one meter shows between two points."""
    from loombench.app.asking import asked  # noqa: PLC0415
    from loombench.app.readingtable import meter_line, meter_row, pin_line, pin_table  # noqa: PLC0415

    words = spoken(context)
    operations = [*(sets or []), *([f"engine={engine}"] if engine != "off" else [])]
    operations += [f"unplug {one}" for one in unplug or []] + [f"pull {one}" for one in pull or []]
    question = asked(file, tuple(operations), tuple(fault or []), at, to, meter, part, words)
    if question.report:
        typer.echo(question.report, err=True)
    if question.broken:
        raise typer.Exit(1)
    if question.setup is not None:
        one = meter_row(question.vehicle, question.setup, question.faults)
        _problems(question.said(*one.problems), bool(errors(one.problems)))
        if as_json:
            typer.echo(json.dumps({"condition": str(question.condition), "reading": vars(one.value)}))
            return
        typer.echo(meter_line(one.value, question.setup, words))
        return
    table = pin_table(question.vehicle, question.condition, question.faults)
    _problems(question.said(*table.problems), bool(errors(table.problems)))
    rows = [pin for pin in table.value.rows if part in ("", pin.part)]
    if as_json:
        powers = [vars(row) for row in table.value.powers]
        pins = [vars(pin) for pin in rows]
        typer.echo(json.dumps({"condition": str(question.condition), "pins": pins, "powers": powers}))
        return
    say = words.say
    typer.echo(say("shell.pins", vehicle=question.vehicle.name, condition=question.condition))
    if table.value.unknown:
        key = "shell.unknown-banded" if table.value.banded else "shell.unknown-nominal"
        typer.echo(say(key, count=table.value.unknown))
    for pin in rows:
        typer.echo(pin_line(pin, words))
    powers_shown = [row for row in table.value.powers if part in ("", row.name)]
    if powers_shown:
        typer.echo(say("shell.powers"))
    for power in powers_shown:
        typer.echo(power.text)


def _problems(text: str, broken: bool) -> None:
    if text:
        typer.echo(text, err=True)
    if broken:
        raise typer.Exit(1)


@application.command()
def new(
    context: typer.Context,
    kind: Annotated[
        str, typer.Argument(help="switch-and-lamp, relay-and-load, module-output, reversing-motor, trailer")
    ],
    out: Annotated[Path | None, typer.Option("-o", help="the file to write; it must not exist")] = None,
) -> None:
    """Write a small circuit full of `?` to begin with."""
    from loombench.app.starting import skeleton_text  # noqa: PLC0415
    from loombench.base.report import render_all  # noqa: PLC0415

    words = spoken(context)
    made = skeleton_text(kind)
    if made.value is None:
        typer.echo(render_all(made.problems, {}, words), err=True)
        raise typer.Exit(1)
    if out is None:
        typer.echo(made.value, nl=False)
        return
    try:
        with out.open("x", encoding="utf-8") as file:
            file.write(made.value)
    except OSError as failure:
        typer.echo(words.say("shell.not-written", file=out, reason=failure.strerror), err=True)
        raise typer.Exit(1) from None
    typer.echo(words.say("shell.skeleton-written", file=out))


@application.command()
def find(
    context: typer.Context,
    file: FILE,
    complaint: Annotated[str, typer.Option(help='such as "E7 dead when S4=on"')] = "",
    case: Annotated[str, typer.Option(help="the case's number; a known one goes on where it was left")] = "",
    practice: Annotated[bool, typer.Option(help="a practice vehicle with a hidden fault answers")] = False,
    hidden: Annotated[
        str, typer.Option(help='what is hidden, such as "open S4.2~X12.3"; several parted by semicolons')
    ] = "",
    seed: Annotated[int | None, typer.Option(help="draw what is hidden by this number")] = None,
    auto: Annotated[bool, typer.Option(help="take the proposed steps without asking")] = False,
    folder: Annotated[Path, typer.Option(help="where cases and cards are kept")] = Path("job-cards"),
    by: Annotated[str, typer.Option("--by", help="the technician's name, for the record")] = "",
    rates_file: Annotated[
        Path | None, typer.Option("--rates", help="rates learned from closed jobs; see loombench rates")
    ] = None,
    say: Annotated[list[str] | None, typer.Option("--say", help="a line as if typed, before the keyboard")] = None,
    store: Annotated[
        Path | None,
        typer.Option(help="keep the case in this store of jobs, with the vehicle's text; see loombench jobs"),
    ] = None,
    as_json: JSON = False,
) -> None:
    """Find a fault: from the complaint to a proven cause and the job card."""
    from loombench.app.rates import load_rates  # noqa: PLC0415
    from loombench.app.session import begin  # noqa: PLC0415
    from loombench.shell.finding import now, problem_lines, run_auto  # noqa: PLC0415
    from loombench.shell.session import run_session  # noqa: PLC0415
    from loombench.shell.waiting import waiting  # noqa: PLC0415

    words = spoken(context)
    playing = practice or bool(hidden) or seed is not None
    if auto and not playing:
        typer.echo(words.say("shell.auto-needs-practice"), err=True)
        raise typer.Exit(2)
    learned = load_rates(rates_file)
    if learned.problems:
        typer.echo(problem_lines(learned.problems, {}, as_json, words), err=not as_json)
    time = now()
    number = case or ("practice-" if playing else "case-") + re.sub(r"\D", "", time)[:14]
    drawn = seed if seed is not None or hidden or not playing else 0
    with opened(store, words, as_json) if store else nullcontext() as kept:
        with waiting(words):
            begun = begin(file, complaint, folder, number, time, hidden, drawn, by, learned.value, kept, words)
        if begun.problems:
            typer.echo(problem_lines(begun.problems, {}, as_json, words), err=not as_json)
        if begun.value is None:
            raise typer.Exit(1)
        if auto:
            run_auto(begun.value, folder, typer.echo, as_json, words)
        else:
            run_session(begun.value, folder, typer.echo, _asking(say or []), words)


def _asking(first: list[str]) -> Callable[[str], str | None]:
    """Asks for a line at the keyboard, once the lines given beforehand are used up."""
    lines = iter(first)

    def ask(prompt: str) -> str | None:
        given = next(lines, None)
        if given is not None:
            typer.echo(f"{prompt}{given}")
            return given.strip()
        try:
            return input(prompt).strip()
        except EOFError:
            return None

    return ask


@application.command()
def wire(
    context: typer.Context,
    file: FILE,
    at: Annotated[str, typer.Option("--at", help="the place you are at, or the connector or part it ends on")],
    colour: Annotated[str, typer.Option("--colour", help="as in the drawing, such as GY/RD")],
    as_json: JSON = False,
) -> None:
    """Which wire is this? The wires of a colour at a place, and the readings that tell them apart."""
    from loombench.app.vehicles import open_vehicle  # noqa: PLC0415
    from loombench.app.whichwire import which_wire, wire_json, wire_lines  # noqa: PLC0415
    from loombench.shell.finding import problem_lines  # noqa: PLC0415
    from loombench.shell.saying import saying  # noqa: PLC0415

    words = spoken(context)
    opened = open_vehicle(file)
    _problems(opened.report(least=Level.WARNING, words=words), opened.broken)
    found = which_wire(opened.vehicle, at, colour)
    if found.value is None:
        typer.echo(problem_lines(found.problems, {}, as_json, words), err=not as_json)
        raise typer.Exit(1)
    if as_json:
        typer.echo(json.dumps(wire_json(found.value)))
        return
    say = saying(typer.echo)
    for line in wire_lines(opened.vehicle, found.value, words):
        say(line)


@application.command()
def sheet(
    context: typer.Context,
    file: FILE,
    function: Annotated[str, typer.Argument(help="a load, or what is written on it; all loads unless said")] = "",
    folder: Annotated[Path | None, typer.Option("--print", help="write it to this folder, to be printed")] = None,
    as_json: JSON = False,
) -> None:
    """An inspection without a complaint: what must work in which state, and the reading at each load."""
    from dataclasses import asdict  # noqa: PLC0415

    from loombench.app.inspection import inspection, sheet_lines, write_sheet  # noqa: PLC0415
    from loombench.app.vehicles import open_vehicle  # noqa: PLC0415
    from loombench.shell.finding import problem_lines  # noqa: PLC0415
    from loombench.shell.saying import saying  # noqa: PLC0415
    from loombench.shell.waiting import waiting  # noqa: PLC0415

    words = spoken(context)
    opened = open_vehicle(file)
    _problems(opened.report(least=Level.WARNING, words=words), opened.broken)
    with waiting(words):
        found = inspection(opened.vehicle, function, words)
    if found.problems:
        typer.echo(problem_lines(found.problems, {}, as_json, words), err=not as_json)
    if found.value is None:
        raise typer.Exit(1)
    if as_json:
        states = [asdict(one) | {"condition": str(one.condition)} for one in found.value.states]
        typer.echo(json.dumps({"states": states, "unreached": found.value.unreached}))
        return
    say = saying(typer.echo)
    for line in sheet_lines(found.value, words):
        say(line)
    if folder is not None:
        made = write_sheet(found.value, folder, words)
        _problems(problem_lines(made.problems, {}, as_json, words), False)
        for path in made.value:
            say(words.say("shell.printed", path=path))


@application.command()
def cases(
    context: typer.Context,
    folder: Annotated[Path, typer.Option(help="where cases and cards are kept")] = Path("job-cards"),
    as_json: JSON = False,
) -> None:
    """The cases where they were left, and how to go on with each."""
    from loombench.app.joblist import job_lines, job_list  # noqa: PLC0415
    from loombench.shell.finding import problem_lines  # noqa: PLC0415
    from loombench.shell.saying import harmless  # noqa: PLC0415

    words = spoken(context)
    listed = job_list(folder, words)
    if listed.problems:
        typer.echo(problem_lines(listed.problems, {}, as_json, words), err=not as_json)
    if as_json:
        typer.echo(json.dumps({"cases": [vars(one) for one in listed.value]}))
        return
    for line in job_lines(listed.value, folder, words):
        typer.echo(harmless(line))


@application.command()
def demo(context: typer.Context) -> None:
    """A work lamp on an example vehicle is dead: from the complaint to the job card, the tool answering itself."""
    from loombench.app.demo import COMPLAINT, FILE, HIDDEN  # noqa: PLC0415

    typer.echo(f'loombench find {FILE.name} --complaint "{COMPLAINT}" --hidden "{HIDDEN}" --auto')
    find(context, str(FILE), COMPLAINT, "", True, HIDDEN, None, True, Path("job-cards"), "", None, None, None, False)


def main() -> None:
    """The entry point."""
    look_seldom()
    one_heap()
    application()
