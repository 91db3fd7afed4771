"""`loombench procedure`: the whole decision tree of a complaint, at the terminal or on paper."""

from pathlib import Path
from typing import Annotated

import typer

from loombench.base.problems import Level
from loombench.base.report import render_all
from loombench.shell.language import spoken
from loombench.shell.saying import saying
from loombench.shell.stopping import progress, stoppable


def procedure(
    context: typer.Context,
    file: Annotated[str, typer.Argument(help="a .circuit file, or the folder of a vehicle")],
    complaint: Annotated[str, typer.Option(help='such as "E7 dead when S4=on"')],
    out: Annotated[Path | None, typer.Option("-o", help="a page.html or page.pdf to write; else it is printed")] = None,
    depth: Annotated[int, typer.Option(min=1, help="so many steps one after another at most")] = 12,
    least: Annotated[
        float, typer.Option(min=0.01, max=100.0, help="ways that fewer of 100 vehicles go are not followed")
    ] = 1.0,
    rates_file: Annotated[
        Path | None, typer.Option("--rates", help="rates learned from closed jobs; see loombench rates")
    ] = None,
) -> None:
    """The whole way to the fault on paper: each step with its cautions, and where each answer leads."""
    from loombench.app.case import bench_for  # noqa: PLC0415
    from loombench.app.casedrawing import procedure_drawings  # noqa: PLC0415
    from loombench.app.drawing import cache_folder, layouts_here  # noqa: PLC0415
    from loombench.app.procedure import begin_procedure, grow  # noqa: PLC0415
    from loombench.app.procedurepage import procedure_lines, write_procedure  # noqa: PLC0415
    from loombench.app.rates import load_rates  # noqa: PLC0415
    from loombench.app.vehicles import open_vehicle  # noqa: PLC0415

    words = spoken(context)
    learned = load_rates(rates_file)
    if learned.problems:
        typer.echo(render_all(learned.problems, {}, words), err=True)
    opened = open_vehicle(file)
    report = opened.report(least=Level.WARNING, words=words)
    if report:
        typer.echo(report, err=True)
    begun = None
    if not opened.broken:
        begun = begin_procedure(opened.vehicle, complaint, bench_for(opened.vehicle, learned.value), words)
    if begun is not None and begun.problems:
        typer.echo(render_all(begun.problems, opened.sources, words), err=True)
    if begun is None or begun.value is None:
        raise typer.Exit(1)
    say = words.say

    def watch(steps: int, ended: float) -> None:
        progress(say("procedure.working", steps=steps, share=f"{100.0 * ended:.0f}"))

    with stoppable() as stopped:
        tree = grow(begun.value, least / 100.0, depth, watch=watch, stopped=stopped, words=words)
    progress("")
    if out is None:
        tell = saying(typer.echo)
        for line in procedure_lines(tree, words):
            tell(line)
        return
    drawn = procedure_drawings(begun.value, tree, layouts_here(cache_folder()), words)
    made = write_procedure(tree, out, drawn.value, words)
    if drawn.problems or made.problems:
        typer.echo(render_all((*drawn.problems, *made.problems), {}, words), err=True)
    if made.value is None:
        raise typer.Exit(1)
    typer.echo(say("shell.printed", path=made.value))
