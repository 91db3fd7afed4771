"""The language a command speaks: said before the command, or by the environment; English where neither says."""

from typing import Annotated

import typer

from loombench.base.wording import Catalogue, catalogue, languages

VARIABLE = "LOOMBENCH_LANGUAGE"
ENGLISH = "en"


def _known(said: str) -> str:
    """The language as it is called here: `DE` and `de_AT.UTF-8` are `de` too.

    Raises:
        typer.BadParameter: there is no catalogue of it.
    """
    name = said.strip().lower().replace("-", "_").partition(".")[0].partition("_")[0] or ENGLISH
    if name not in languages():
        raise typer.BadParameter(f"{said!r} is none of: {', '.join(languages())}")
    return name


def speaking(
    context: typer.Context,
    language: Annotated[
        str,
        typer.Option(envvar=VARIABLE, callback=_known, help=f"what the commands speak: {', '.join(languages())}"),
    ] = ENGLISH,
) -> None:
    """A bench for the vehicle electrician: the loom as a model that computes."""
    context.meta[VARIABLE] = language


def spoken(context: typer.Context) -> Catalogue:
    """The sentences of the language that a command was asked to speak."""
    return catalogue(context.meta.get(VARIABLE, ENGLISH))
