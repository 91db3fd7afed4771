"""A wire's colour letters as the model's `Colour`, in the file's named system."""

from functools import lru_cache

from loombench.facts.colour import (
    SYSTEMS,
    ColourReading,
    ColourState,
    colour_letters,
    colour_system,
    read_colour,
    write_colour,
)
from loombench.vehicle.model import Colour

CODES = ("IEC", "DIN", "GB", "JP", "US", "FR", "IT", "SE")
"""What `colours` takes, in the order of `facts.colour.SYSTEMS`."""


def system_name(code: str) -> str | None:
    """The system of a code (`GB`) or name (`British`); None where there is none."""
    if code.upper() in CODES:
        return SYSTEMS[CODES.index(code.upper())]
    return colour_system(code)


def system_code(name: str) -> str:
    """The code of a system."""
    return CODES[SYSTEMS.index(name)] if name in SYSTEMS else CODES[0]


@lru_cache(maxsize=4096)
def reading(system: str, text: str) -> ColourReading:
    """`facts.colour.read_colour`, kept: a file repeats the same few colours."""
    return read_colour(system, text)


def as_colour(said: ColourReading) -> Colour:
    """The colour where it is certain, else the text alone."""
    found = said.colour
    return Colour((found.main, *found.stripes), said.text) if found else Colour((), said.text)


@lru_cache(maxsize=len(CODES))
def letters_of(system: str) -> str:
    """The letters of a system with their colours, for a message."""
    return ", ".join(f"{row.letters} {row.colour}" for row in colour_letters() if row.system == system)


def other_systems(system: str, text: str) -> tuple[str, ...]:
    """Codes of the systems, other than the file's, that can read the text."""
    return tuple(
        system_code(name)
        for name in SYSTEMS
        if name != system and reading(name, text).state in (ColourState.CERTAIN, ColourState.AMBIGUOUS)
    )


def spell(system: str, colour: Colour) -> str:
    """The colour in a system: its own text where that says the same there, else the system's letters, else `?`."""
    if colour.text and (not colour.words or as_colour(reading(system, colour.text)).words == colour.words):
        return colour.text
    letters = write_colour(system, colour.words[0], colour.words[1:]) if colour.words else None
    return letters or "?"
