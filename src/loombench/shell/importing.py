"""`loombench import`: harness data in, a folder out."""

import json
from pathlib import Path
from typing import Annotated

import typer

from loombench.base.outcome import errors
from loombench.base.problems import Level, Problem
from loombench.base.report import render_all
from loombench.base.wording import Catalogue
from loombench.shell.language import spoken
from loombench.shell.saying import harmless


def import_files(
    context: typer.Context,
    files: Annotated[list[str], typer.Argument(help="wire lists, KBL or VEC; several of one vehicle are joined")],
    out: Annotated[Path | None, typer.Option("-o", help="the folder to write; without it nothing is written")] = None,
    options: Annotated[
        str | None, typer.Option(help="option codes of this vehicle, parted by commas; `none` if it has none")
    ] = None,
    answers: Annotated[str, typer.Option(help="the table missing.csv of an earlier import, filled in")] = "",
    parts: Annotated[
        str, typer.Option(help="the folder of parts that was written beside an export: then nothing is asked")
    ] = "",
    join: Annotated[list[str] | None, typer.Option(help="connectors plugged together: ONE=OTHER")] = None,
    accept: Annotated[bool, typer.Option(help="take the proposals for what has no answer")] = False,
    colours: Annotated[str, typer.Option(help="the system of the colour letters: IEC, DIN, US ...")] = "",
    device_pattern: Annotated[
        str, typer.Option(help="regular expression for connectors' names, groups `device` and `plug`")
    ] = "",
    listed: Annotated[
        list[str] | None,
        typer.Option("--list", help="of lists of wires: size-unit=awg, length-unit=mm, column-3=signal ..."),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="for machines")] = False,
) -> None:
    """Read harness data, ask for what it lacks, and write the folder of a vehicle."""
    from loombench.app.importing import Request, make_import, write_import  # noqa: PLC0415
    from loombench.app.importsaid import LIST_WORDS, import_json, import_lines, layout_of, options_of  # noqa: PLC0415
    from loombench.app.rejoining import rejoin_files  # noqa: PLC0415

    words = spoken(context)
    pairs = [tuple(text.split("=", 1)) for text in join or []]
    if any(len(pair) != 2 for pair in pairs):
        typer.echo(words.say("import.said.join"), err=True)
        raise typer.Exit(2)
    layout = layout_of(listed or [])
    if isinstance(layout, str):
        typer.echo(words.say("import.said.list", said=layout, known=", ".join(LIST_WORDS)), err=True)
        raise typer.Exit(2)
    request = Request(
        tuple(files), options_of(options), answers, tuple((pair[0], pair[-1]) for pair in pairs), accept,
        device_pattern or Request.device_pattern, colours, layout,
    )  # fmt: skip
    made = rejoin_files(request, parts) if parts else make_import(request, words=words)
    problems = made.problems
    written = False
    if made.value is not None and out is not None and not errors(problems):
        problems = (*problems, *write_import(made.value, out))
        written = not errors(problems)
    if as_json:
        folder = str(out) if written else None
        typer.echo(json.dumps(import_json(made.value, problems, words) | {"folder": folder}, ensure_ascii=False))
    else:
        _say(problems, words)
        if made.value is not None:
            for line in import_lines(made.value, str(out) if written else "", words):
                typer.echo(harmless(line))
    raise typer.Exit(1 if errors(problems) else 0)


def _say(problems: tuple[Problem, ...], words: Catalogue) -> None:
    order = [Level.ERROR, Level.WARNING, Level.NOTE]
    text = render_all(sorted(problems, key=lambda item: order.index(item.level)), {}, words)
    if text:
        typer.echo(text, err=True)
