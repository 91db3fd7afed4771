"""A vehicle's wire colours as files write them: letters of one named system, main colour first."""

from loombench.exchange.harness import ColourText
from loombench.facts.colour import write_colour
from loombench.vehicle.model import Colour, Vehicle

IEC = "IEC"


def system_for(vehicle: Vehicle) -> str:
    """IEC where it has letters for all colours of the vehicle, else the vehicle's own system."""
    words = {wire.colour.words for wire in vehicle.wires if wire.colour.words}
    odd = any(wire.colour.text and not wire.colour.words for wire in vehicle.wires)
    if not odd and all(write_colour(IEC, main, stripes) for main, *stripes in words):
        return IEC
    return vehicle.colours or IEC


def colour_text(colour: Colour, system: str) -> ColourText:
    """The letters of a colour in a system; a colour that was not understood, or has none there, as its text."""
    letters = write_colour(system, colour.words[0], colour.words[1:]) if colour.words else None
    if letters:
        return ColourText(tuple(letters.split("/")), system)
    return ColourText((colour.text,), system) if colour.text else ColourText()
