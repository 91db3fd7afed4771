"""A harness with what our own vehicles never have: variants, bridges, taps, open ends, segments, seals."""

from loombench.exchange.harness import ColourText, Contact, End, Fitted, Harness, Holder, Mating, Segment, Spot, Wire


def everything() -> Harness:
    """The harness."""
    holders = (
        Holder("X1", "connector", "X 1 (front)", ("1", "2", "3"), (("1", "2"),), options=("A1+B2", "C3")),
        Holder("X2", "connector", cavities=("1", "2")),
        Holder("S1", "splice", cavities=("1", "2")),
        Holder("OE", "open-end"),
        Holder("FB", "box", cavities=("1",)),
    )
    contacts = (
        Contact("X1-3", "X1", ("3",), "T-1", "S-1", "tin"),
        Contact("S1-1", "S1", ("1", "2")),
        Contact("S1-x", "S1", ("no such",)),
    )
    tap = tuple(End(Spot("S1", "1"), "S1-1") for _ in range(2))
    wires = (
        Wire("w 1", (End(Spot("X1", "1")), *tap), options=("A1+B2", "C3"), segments=("s1", "none"), clamp="15"),
        Wire("w&<2>", (End(Spot("X1", "3"), "X1-3"), End(None)), colour=ColourText(("RD", "BK", "WH", "YE"), "IEC")),
        Wire("w\x013", (End(None),), length_m=0.0, area_mm2=0.0),
        Wire("w4", (End(Spot("X2", "1")), End(Spot("OE", "1"))), type="FLRY-B", part_number="W-1"),
        Wire("core", (End(Spot("X1", "2")), End(Spot("S1", "2"))), cable="C", core="1", options=("C3",)),
        Wire("braid", (End(Spot("X1", "2")), End(None)), cable="C", shield=True, twist="T"),
    )
    fitted = (Fitted("F1", "fuse", (Spot("FB", "1"), Spot("nowhere", "2")), rating_a=7.5), Fitted("K", "", ()))
    matings = (Mating("X1", "X2", (("1", "1"), ("3", "2"))), Mating("X1", "nowhere", (("1", "1"),)))
    segments = (Segment("s1", "n1", "n2", 0.57, "tape"),)
    return Harness("All", "", holders, contacts, wires, fitted, segments, matings)
