"""`loombench changed`: two revisions of a harness side by side."""

import json
from typing import Annotated

import typer

from loombench.base.outcome import errors
from loombench.base.report import render_all
from loombench.shell.language import spoken
from loombench.shell.saying import harmless


def changed(
    context: typer.Context,
    old: Annotated[str, typer.Argument(help="the older file: wire list, KBL or VEC")],
    new: Annotated[str, typer.Argument(help="the newer one")],
    options: Annotated[
        str | None, typer.Option(help="compare for these option codes, parted by commas; `none` if there are none")
    ] = None,
    colours: Annotated[str, typer.Option(help="the system of the colour letters: IEC, DIN, US ...")] = "",
    as_json: Annotated[bool, typer.Option("--json", help="for machines")] = False,
) -> None:
    """What changed between two revisions of a harness, wire by wire."""
    from loombench.app.changed import changed_json, changed_lines, what_changed  # noqa: PLC0415
    from loombench.app.checking import problems_json  # noqa: PLC0415
    from loombench.app.importsaid import options_of  # noqa: PLC0415

    words = spoken(context)
    found = what_changed(old, new, options_of(options), colours)
    if as_json:
        said = {**changed_json(found.value), "problems": problems_json(found.problems, words)}
        typer.echo(json.dumps(said, ensure_ascii=False))
    else:
        if found.problems:
            typer.echo(render_all(found.problems, {}, words), err=True)
        for line in changed_lines(found.value, words) if found.value is not None else ():
            typer.echo(harmless(line))
    raise typer.Exit(1 if errors(found.problems) else 0)
