"""The command `export`: a vehicle in another program's format."""

import json
from pathlib import Path
from typing import Annotated

import typer

from loombench.base.outcome import errors
from loombench.shell.language import spoken

FILE = Annotated[str, typer.Argument(help="a .circuit file, or the folder of a vehicle")]


def export(
    context: typer.Context,
    file: FILE,
    file_format: Annotated[str, typer.Option("--as", help="kbl, vec, wires, labels, spice, graphml or dot")],
    out: Annotated[Path, typer.Option("-o", help="the file to write; it must not exist")],
    sets: Annotated[list[str] | None, typer.Option("--set", help="spice: control=position, in order")] = None,
    engine: Annotated[str, typer.Option(help="spice: off, crank or run")] = "off",
    unplug: Annotated[list[str] | None, typer.Option(help="spice: a connector or part")] = None,
    pull: Annotated[list[str] | None, typer.Option(help="spice: a fuse or relay")] = None,
    fault: Annotated[list[str] | None, typer.Option(help='spice: such as "open S4.2~X12.3"')] = None,
    phase: Annotated[int, typer.Option(help="spice: which phase of a rhythm, the first one unless said")] = 0,
    as_json: Annotated[bool, typer.Option("--json", help="for machines")] = False,
) -> None:
    """Give a vehicle out as KBL, VEC, wire list, labels, SPICE sheet or graph, and say what that cannot hold."""
    from loombench.app.asking import asked  # noqa: PLC0415
    from loombench.app.exporting import export as exported_files  # noqa: PLC0415
    from loombench.app.exporting import export_json, export_lines, write_export  # noqa: PLC0415
    from loombench.shell.finding import problem_lines  # noqa: PLC0415
    from loombench.shell.saying import saying  # noqa: PLC0415

    words = spoken(context)
    operations = [*(sets or []), *([f"engine={engine}"] if engine != "off" else [])]
    operations += [f"unplug {one}" for one in unplug or []] + [f"pull {one}" for one in pull or []]
    question = asked(file, tuple(operations), tuple(fault or []), words=words)
    if question.report:
        typer.echo(question.report, err=True)
    if question.broken:
        raise typer.Exit(1)
    made = exported_files(question.vehicle, file_format, out.name, question.condition, question.faults, phase, words)
    if made.problems:
        typer.echo(problem_lines(made.problems, question.opened.sources, as_json, words), err=True)
    if made.value is None:
        raise typer.Exit(1)
    done = write_export(made.value, out.parent)
    if errors(done.problems):
        typer.echo(problem_lines(done.problems, {}, as_json, words), err=True)
        raise typer.Exit(1)
    if as_json:
        typer.echo(json.dumps(export_json(question.vehicle, made.value, done.value)))
        return
    say = saying(typer.echo)
    for line in export_lines(question.vehicle, made.value, done.value, words):
        say(line)
