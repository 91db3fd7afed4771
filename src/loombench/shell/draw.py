"""`loombench draw`: circuit pages, on screen or paper, as they are or in a condition."""

from pathlib import Path
from typing import Annotated

import typer

from loombench.base.outcome import errors
from loombench.shell.language import spoken
from loombench.shell.saying import harmless


def draw(
    context: typer.Context,
    file: Annotated[str, typer.Argument(help="a .circuit file, or the folder of a vehicle")],
    function: Annotated[str, typer.Option(help="a function, a load, or a part that takes part; all unless said")] = "",
    out: Annotated[
        Path | None, typer.Option("-o", help="page.svg, page.png, pages.pdf or pages.html; else they are listed")
    ] = None,
    paper: Annotated[str, typer.Option(help="A4, A3, or auto: A3 for what A4 does not hold")] = "auto",
    page: Annotated[int, typer.Option(min=0, help="only this page")] = 0,
    sets: Annotated[list[str] | None, typer.Option("--set", help="control=position, in order")] = None,
    engine: Annotated[str, typer.Option(help="off, crank or run")] = "off",
    unplug: Annotated[list[str] | None, typer.Option(help="a connector or part")] = None,
    pull: Annotated[list[str] | None, typer.Option(help="a fuse or relay")] = None,
    fault: Annotated[list[str] | None, typer.Option(help='such as "open S4.2~X12.3"')] = None,
) -> None:
    """Draw circuits: power at the top, ground at the bottom; in a condition with volts, currents and live wires."""
    from loombench.app.asking import asked  # noqa: PLC0415
    from loombench.app.drawing import Drawings, function_lines  # noqa: PLC0415
    from loombench.app.drawingfile import drawn_for, write_drawing  # noqa: PLC0415

    words = spoken(context)
    operations = [*(sets or []), *([f"engine={engine}"] if engine != "off" else [])]
    operations += [f"unplug {one}" for one in unplug or []] + [f"pull {one}" for one in pull or []]
    question = asked(file, tuple(operations), tuple(fault or []), words=words)
    if question.report:
        typer.echo(question.report, err=True)
    if question.broken:
        raise typer.Exit(1)
    drawings = Drawings(question.vehicle)
    found = drawings.find(function)
    if found.problems:
        typer.echo(question.said(*found.problems), err=True)
        raise typer.Exit(1)
    if out is None:
        for line in function_lines(found.value):
            typer.echo(harmless(line))
        return
    made = drawn_for(drawings, found.value, question if operations or fault else None, paper, page, words)
    if made.problems:
        typer.echo(question.said(*made.problems), err=True)
    if errors(made.problems):
        raise typer.Exit(1)
    written = write_drawing(question.vehicle.name, made.value, out, words)
    if written.problems:
        typer.echo(question.said(*written.problems), err=True)
    for path in written.value:
        typer.echo(words.say("drawing.written", path=path))
    if errors(written.problems) or not written.value:
        raise typer.Exit(1)
