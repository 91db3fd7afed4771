"""`loombench rates`: what closed jobs say of how often things fail, as a plain file for `loombench find --rates`."""

from pathlib import Path
from typing import Annotated

import typer

from loombench.base.report import render_all
from loombench.shell.language import spoken
from loombench.shell.saying import harmless


def rates(
    context: typer.Context,
    folder: Annotated[Path, typer.Option(help="where cases and cards are kept")] = Path("job-cards"),
    add: Annotated[list[Path] | None, typer.Option("--add", help="a file of rates to add, again for more")] = None,
    out: Annotated[Path | None, typer.Option("-o", help="the file to write")] = None,
) -> None:
    """Learn from closed jobs how often things fail; the file is for find --rates."""
    from loombench.app.effectspage import write_text  # noqa: PLC0415
    from loombench.app.rates import from_jobs, load_rates, rates_lines, rates_text  # noqa: PLC0415

    words = spoken(context)
    added = [load_rates(path) for path in add or []]
    counted = from_jobs(folder, [read.value for read in added])
    problems = (*counted.problems, *(one for read in added for one in read.problems))
    if problems:
        typer.echo(render_all(problems, {}, words), err=True)
    for line in rates_lines(counted, words):
        typer.echo(harmless(line))
    if out is not None:
        refused = write_text(rates_text(counted.rates), out)
        if refused is not None:
            typer.echo(render_all((refused,), {}, words), err=True)
            raise typer.Exit(1)
        typer.echo(words.say("rates.written", path=out))
