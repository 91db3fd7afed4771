"""Small harnesses made by hand."""

from dataclasses import replace

from loombench.exchange.harness import (
    BOX,
    CONNECTOR,
    RING,
    SPLICE,
    ColourText,
    Contact,
    End,
    Fitted,
    Harness,
    Holder,
    Segment,
    Slot,
    Spot,
    Wire,
)


def spot(text: str) -> Spot:
    """`E12-A.1` as a spot."""
    holder, _, cavity = text.rpartition(".")
    return Spot(holder, cavity)


def wire(number: str, one: str, other: str, signal: str = "", colour: str = "", **fields: object) -> Wire:
    """A wire between two spots; an empty text is an open end."""
    ends = tuple(End(spot(text) if text else None) for text in (one, other))
    parts = tuple(colour.split("/")) if colour else ()
    made = Wire(f"w{number}", ends, number, signal, colour=ColourText(parts, "IEC" if parts else ""))
    return replace(made, **fields)  # type: ignore[arg-type]


def lamp_branch() -> Harness:
    """Battery post, fuse holder with a 20 A fuse, splice, lamp, ground stud: the circuit of `mini.kbl`."""
    box = Holder(
        "FH1", BOX, cavities=("A.1", "A.2", "F1.1", "F1.2"), joined=(("A.1", "F1.1"), ("A.2", "F1.2")),
        slots=(Slot("F1", ("F1.1", "F1.2"), "fuse"),), description="Fuse holder at battery",
    )  # fmt: skip
    return Harness(
        "HARNESS-DEMO",
        "kbl",
        holders=(
            box,
            Holder("BAT+", RING, cavities=("1",)),
            Holder("S1", SPLICE, cavities=("1",)),
            Holder("E12-A", CONNECTOR, cavities=("1", "2"), description="Work lamp"),
            Holder("G5", RING, cavities=("1",), description="Ground stud rear left"),
        ),
        contacts=(Contact("c1", "E12-A", ("1",)), Contact("c2", "E12-A", ("2",))),
        wires=(
            replace(wire("1", "BAT+.1", "FH1.x", "30", "RD/YE"), ends=(End(spot("BAT+.1")), End(Spot("FH1", "A.1"))),
                    area_mm2=2.5, length_m=0.25),
            replace(wire("2", "", "S1.1", "30-F1", "RD/YE"), ends=(End(Spot("FH1", "A.2")), End(spot("S1.1"))),
                    area_mm2=2.5, length_m=0.9, segments=("SEG1",)),
            wire("3", "S1.1", "E12-A.1", "30-F1", "RD/YE", area_mm2=2.5, length_m=1.2),
            wire("4", "E12-A.2", "G5.1", "31", "BN", area_mm2=1.0, length_m=0.4),
        ),
        fitted=(Fitted("F1", "fuse", (Spot("FH1", "F1.1"), Spot("FH1", "F1.2")), rating_a=20.0),),
        segments=(Segment("SEG1", "N0", "N1", 0.9),),
    )  # fmt: skip
