"""`loombench serve`: the bench in a browser."""

import sys
from pathlib import Path
from typing import Annotated

import typer

from loombench.base.report import render_all
from loombench.shell.jobs import place
from loombench.shell.language import spoken
from loombench.shell.saying import harmless
from loombench.shell.showing import show_page

PORT = 8137


def serve(
    context: typer.Context,
    folder: Annotated[Path, typer.Argument(help="the folder with the vehicles")] = Path(),
    store: Annotated[Path | None, typer.Option("--store", help="the store's file; the usual one unless said")] = None,
    port: Annotated[int, typer.Option("--port", min=0, max=65535, help="0: one that is free")] = PORT,
    lan: Annotated[
        str,
        typer.Option("--lan", metavar="ADDRESS", help="also on this address of the workshop's network, unencrypted"),
    ] = "",
    show: Annotated[bool, typer.Option("--show/--no-show", help="open the browser there")] = False,
) -> None:
    """The bench in a browser until Ctrl-C: on this machine alone, or for a tablet that was paired by a code too."""
    from loombench.shell.web.forking import begin_reading  # noqa: PLC0415
    from loombench.shell.web.reading import undisturbed  # noqa: PLC0415

    begin_reading()
    with undisturbed():
        from loombench.shell.web.serving import bench  # noqa: PLC0415
        from loombench.shell.web.settings import Settings  # noqa: PLC0415

    words = spoken(context)
    made = bench(Settings(folder.resolve(), place(store).resolve(), port=port, lan=lan))
    if made.problems:
        typer.echo(harmless(render_all(made.problems, {}, words)), err=True)
    if made.value is None:
        raise typer.Exit(1)
    settings = made.value.settings

    def say(key: str, **facts: str) -> None:
        typer.echo(words.say(f"web.{key}", **facts))
        sys.stdout.flush()

    def coded(code: str) -> None:
        shown = f"{code[:4]} {code[4:]}"
        say("devices.terminal-code", code=shown, devices=f"{settings.address()}devices")

    def ready() -> None:
        say("ready", address=settings.address())
        if settings.lan:
            say("devices.terminal-address", address=settings.address(local=False))
        if show:
            show_page(settings.address())

    made.value.run(ready, coded)
