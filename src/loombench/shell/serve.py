"""`loombench serve`: the bench in a browser."""

import sys
from pathlib import Path
from typing import Annotated

import typer

from loombench.base.report import render_all
from loombench.base.wording import catalogue
from loombench.shell.jobs import place
from loombench.shell.saying import harmless

PORT = 8137


def serve(
    folder: Annotated[Path, typer.Argument(help="the folder with the vehicles")] = Path(),
    store: Annotated[Path | None, typer.Option("--store", help="the store's file; the usual one unless said")] = None,
    port: Annotated[int, typer.Option("--port", min=0, max=65535, help="0: one that is free")] = PORT,
    show: Annotated[bool, typer.Option("--show/--no-show", help="open the browser there")] = False,
) -> None:
    """The bench in a browser, on this machine alone, until Ctrl-C."""
    from loombench.shell.web.serving import serve as serve_here  # noqa: PLC0415
    from loombench.shell.web.settings import Settings  # noqa: PLC0415

    settings = Settings(folder.resolve(), place(store).resolve(), port=port)
    words = catalogue()

    def say(address: str) -> None:
        typer.echo(words.say("web.ready", address=address))
        sys.stdout.flush()

    done = serve_here(settings, say, show)
    if done.problems:
        typer.echo(harmless(render_all(done.problems, {})), err=True)
        raise typer.Exit(1)
