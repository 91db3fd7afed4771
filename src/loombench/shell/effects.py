"""`loombench effects`: every single fault of a vehicle in chosen states, as a table and a page to search in."""

from pathlib import Path
from typing import Annotated

import typer

from loombench.base.problems import Level
from loombench.base.report import render_all
from loombench.shell.language import spoken
from loombench.shell.saying import harmless
from loombench.shell.stopping import progress, stoppable


def effects(
    context: typer.Context,
    file: Annotated[str, typer.Argument(help="a .circuit file, or the folder of a vehicle")],
    states: Annotated[
        list[str] | None,
        typer.Option(help='such as "S4=on" or "at rest", again for more; what each load needs unless said'),
    ] = None,
    csv: Annotated[Path | None, typer.Option("--csv", help="write the table to this file")] = None,
    out: Annotated[Path | None, typer.Option("-o", help="write a page.html to search in")] = None,
    shards: Annotated[
        Path | None, typer.Option(help="a folder where each state is kept as it is done, to go on from")
    ] = None,
) -> None:
    """Every single fault of the vehicle: what stops, dims, opens, gets too hot, what a tester reads, what is alike."""
    from loombench.app.effects import effects_plan, effects_table, worked_out  # noqa: PLC0415
    from loombench.app.effectspage import effects_csv, effects_lines, effects_page, states_of, write_text  # noqa: PLC0415
    from loombench.app.vehicles import open_vehicle  # noqa: PLC0415

    words = spoken(context)
    opened = open_vehicle(file)
    report = opened.report(least=Level.WARNING, words=words)
    if report:
        typer.echo(report, err=True)
    if opened.broken:
        raise typer.Exit(1)
    chosen = states_of(opened.vehicle, tuple(states or ()))
    if chosen.problems:
        typer.echo(render_all(chosen.problems, {}, words), err=True)
    if not chosen.usable:
        raise typer.Exit(1)
    plan = effects_plan(opened, chosen.value)
    say = words.say

    def watch(number: int, count: int, condition: str) -> None:
        progress(say("effects.working", number=number + 1, count=count, condition=harmless(condition)))

    with stoppable() as stopped:
        done = worked_out(plan, shards, watch, stopped)
    progress("")
    if done.problems:
        typer.echo(render_all(done.problems, {}, words), err=True)
    table = effects_table(plan, done.value)
    for line in effects_lines(opened.vehicle, table, short=csv is not None or out is not None, words=words):
        typer.echo(harmless(line))
    if table.left and shards is not None:
        typer.echo(say("effects.shards", folder=shards))
    for path, text, key in (
        (csv, effects_csv, "effects.csv-written"),
        (out, effects_page, "shell.printed"),
    ):
        if path is None:
            continue
        wrong = write_text(text(opened.vehicle, table, words), path)
        if wrong is not None:
            typer.echo(render_all((wrong,), {}, words), err=True)
            raise typer.Exit(1)
        typer.echo(say(key, path=path))
    if done.problems:
        raise typer.Exit(1)
