"""`loombench face`, `places`, `feeds`, `returns`: what is drawn besides circuits."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from loombench.base.outcome import Outcome, errors
from loombench.base.wording import Catalogue
from loombench.shell.language import spoken
from loombench.shell.saying import harmless

if TYPE_CHECKING:
    from loombench.app.drawing import DrawnPage

FILE = Annotated[str, typer.Argument(help="a .circuit file, or the folder of a vehicle")]
SETS = Annotated[list[str] | None, typer.Option("--set", help="control=position, in order: with amperes in that state")]
OUT = Annotated[Path, typer.Option("-o", help="page.svg, page.png, pages.pdf or pages.html")]


def face(
    context: typer.Context,
    file: FILE,
    plug: Annotated[str, typer.Argument(help="X12, X12@boom, X12.3 for a cavity, A2.X1, A2.X1/14")],
    out: Annotated[
        Path, typer.Option("-o", help="face.svg, or sheet.html or sheet.pdf with the table of its cavities")
    ],
    mating: Annotated[bool, typer.Option("--mating", help="seen from the face that mates, not from the wires")] = False,
    states: Annotated[
        list[str] | None,
        typer.Option(help='a column of readings for each, such as "key=run" or "at rest"; the key\'s unless said'),
    ] = None,
) -> None:
    """Draw a plug as you hold it in your hand, with the table of its cavities and what each should read."""
    from loombench.app.asking import asked  # noqa: PLC0415
    from loombench.app.effectspage import states_of  # noqa: PLC0415
    from loombench.app.facesheet import face_asked, face_sheet, key_states, write_face  # noqa: PLC0415

    words = spoken(context)
    question = asked(file, (), (), words=words)
    if question.report:
        typer.echo(question.report, err=True)
    if question.broken:
        raise typer.Exit(1)
    found = face_asked(question.vehicle, plug, "mating" if mating else "wires")
    chosen = states_of(question.vehicle, tuple(states or ()))
    if found.problems or chosen.problems:
        typer.echo(question.said(*found.problems, *chosen.problems), err=True)
    if found.value is None or errors(chosen.problems):
        raise typer.Exit(1)
    sheet = face_sheet(question.vehicle, found.value, chosen.value or key_states(question.vehicle), words)
    written = write_face(sheet, out)
    if written.problems:
        typer.echo(question.said(*written.problems), err=True)
    if written.value is None:
        raise typer.Exit(1)
    typer.echo(harmless(words.say("drawing.written", path=written.value)))


def places(
    context: typer.Context,
    file: FILE,
    out: OUT,
    ring: Annotated[list[str] | None, typer.Option(help="a place to ring")] = None,
) -> None:
    """Draw the plan of the vehicle: its places, the looms between them, how to get there and how long it takes."""
    from loombench.app.sheets import places_pages  # noqa: PLC0415

    words = spoken(context)
    _write(file, out, (), lambda vehicle, _, __: Outcome(places_pages(vehicle, frozenset(ring or ()), words)), words)


def feeds(context: typer.Context, file: FILE, out: OUT, sets: SETS = None) -> None:
    """Draw who is fed through what: sources, protections, loads; in a state with amperes and what is in reserve."""
    from loombench.app.sheets import feed_pages  # noqa: PLC0415

    _write(file, out, tuple(sets or ()), feed_pages, spoken(context))


def returns(context: typer.Context, file: FILE, out: OUT, sets: SETS = None) -> None:
    """Draw who returns through what: studs, bodies, straps, loads; in a state with amperes."""
    from loombench.app.sheets import return_pages  # noqa: PLC0415

    _write(file, out, tuple(sets or ()), return_pages, spoken(context))


def _write(
    file: str,
    out: Path,
    operations: tuple[str, ...],
    drawn: Callable[..., "Outcome[tuple[DrawnPage, ...]]"],
    words: Catalogue,
) -> None:
    from loombench.app.asking import asked  # noqa: PLC0415
    from loombench.app.drawingfile import write_drawing  # noqa: PLC0415

    question = asked(file, operations, (), words=words)
    if question.report:
        typer.echo(question.report, err=True)
    if question.broken:
        raise typer.Exit(1)
    made = drawn(question.vehicle, question.condition if operations else None, words)
    written = write_drawing(question.vehicle.name, made.value, out, words)
    said = (*made.problems, *written.problems)
    if said:
        typer.echo(question.said(*said), err=True)
    for path in written.value:
        typer.echo(harmless(words.say("drawing.written", path=path)))
    if not written.value:
        raise typer.Exit(1)
