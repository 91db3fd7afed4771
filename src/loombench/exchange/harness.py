"""A harness as data files hold it: what every reader makes and every writer takes, whatever the format.

It is nearer to the files than `vehicle.model`: an end of a wire is a spot (holder and cavity), what is unknown is None
or empty and never guessed, and every object says where in which file it stands. Devices are missing by nature; what
hangs on a connector is asked for afterwards (`exchange.missing`).

Numbers are SI but the cross-section, which the trade has in mm2.
"""

from dataclasses import dataclass

from loombench.base.problems import Span

CONNECTOR, SPLICE, RING, BOX, OPEN_END, DEVICE = "connector", "splice", "ring", "box", "open-end", "device"
HOLDER_KINDS = (CONNECTOR, SPLICE, RING, BOX, OPEN_END, DEVICE)


@dataclass(frozen=True, order=True)
class Spot:
    """One cavity of a holder, by the holder's id (unique in the harness) and the cavity's number as printed."""

    holder: str
    cavity: str

    def __str__(self) -> str:
        return f"{self.holder}.{self.cavity}" if self.cavity else self.holder


@dataclass(frozen=True)
class ColourText:
    """A colour as the file has it: main colour, then stripes, raw in `parts`; `system` names the letters, if known."""

    parts: tuple[str, ...] = ()
    system: str = ""


@dataclass(frozen=True)
class Slot:
    """A place in a box where a fuse or relay is put: its cavities, and what the file says may sit there."""

    id: str
    cavities: tuple[str, ...]
    kind: str = ""
    span: Span | None = None


@dataclass(frozen=True)
class Holder:
    """What holds wire ends: a connector half, a splice, a ring terminal, a box, a device's plug or an open end.

    Attributes:
        id: unique in the harness.
        kind: one of `HOLDER_KINDS`.
        name: as the file writes it, where that is another text than the id.
        cavities: all cavity numbers, used or not, as printed and in the file's order.
        joined: groups of cavities that are one node inside: the bars of a box, a bridge, a splice in several pieces.
        slots: slots of a box.
        place, description, part_number, housing: texts, empty if not given.
        stud: for a ring, the name of the stud or post it sits on, where the file or the user says so.
        body: the piece of metal that stud stands on, where it is said.
        partner: the name of what it is plugged into, which may be in another file, where the file says so.
        looms: the looms (files) it belongs to.
        options: condition under which it is there, as `Wire.options`.
    """

    id: str
    kind: str
    name: str = ""
    cavities: tuple[str, ...] = ()
    joined: tuple[tuple[str, ...], ...] = ()
    slots: tuple[Slot, ...] = ()
    place: str = ""
    description: str = ""
    part_number: str = ""
    housing: str = ""
    stud: str = ""
    body: str = ""
    partner: str = ""
    looms: tuple[str, ...] = ()
    options: tuple[str, ...] = ()
    span: Span | None = None


@dataclass(frozen=True)
class Contact:
    """One terminal as crimped: one potential, in one or (a bridge) several cavities of its holder.

    A wire end says which contact it is crimped into; two ends in one contact are a double crimp, two contacts in one
    cavity are variants or an error of the data. `terminal` and `seal` are part numbers, `plating` the file's word.
    """

    id: str
    holder: str
    cavities: tuple[str, ...]
    terminal: str = ""
    seal: str = ""
    plating: str = ""
    options: tuple[str, ...] = ()
    span: Span | None = None


@dataclass(frozen=True)
class End:
    """One end of a wire: where it goes (None: an open end), and by which contact, if the file has contacts."""

    spot: Spot | None
    contact: str = ""


@dataclass(frozen=True)
class Wire:
    """One conductor: a wire or a core. More than two ends are taps on the way; `ends` keeps the file's order.

    Attributes:
        id: unique in the harness; `number` is what is printed on it.
        clamp: the terminal designation that the file gives its signal (`15`, `KL31`), if it does.
        area_mm2, length_m: None where unknown. `size_text` is the file's own text.
        type, part_number: of the wire, or of the cable it is in.
        cable, core: the multicore it is in and its core id; `twist` a group of conductors twisted with one another.
        shield: it is the braid, foil or drain of its cable.
        options: conditions as written (`A1B+C2D/C2E`), any of which brings it in; empty means always.
        segments: ids of the stretches it runs through, in order.
    """

    id: str
    ends: tuple[End, ...]
    number: str = ""
    signal: str = ""
    clamp: str = ""
    colour: ColourText = ColourText()
    area_mm2: float | None = None
    size_text: str = ""
    length_m: float | None = None
    type: str = ""
    part_number: str = ""
    cable: str = ""
    core: str = ""
    twist: str = ""
    shield: bool = False
    loom: str = ""
    options: tuple[str, ...] = ()
    segments: tuple[str, ...] = ()
    remark: str = ""
    span: Span | None = None


@dataclass(frozen=True)
class Fitted:
    """Something put into slots: a fuse, a relay, or what the file does not tell apart (kind "").

    `spots` are the cavities it bridges, a fuse's feed side first where the file says so. `pins` are its own pin names
    for them where given, in the same order. A fuse's `rating_a` is None where unknown.
    """

    id: str
    kind: str
    spots: tuple[Spot, ...]
    pins: tuple[str, ...] = ()
    slot: str = ""
    rating_a: float | None = None
    description: str = ""
    part_number: str = ""
    options: tuple[str, ...] = ()
    span: Span | None = None


@dataclass(frozen=True)
class Segment:
    """A stretch of loom between two nodes, by their ids; `protection` is tape, sleeve or tube as the file words it."""

    id: str
    start: str
    end: str
    length_m: float | None = None
    protection: str = ""
    span: Span | None = None


@dataclass(frozen=True)
class Mating:
    """Two holders plugged into one another: pairs of cavities; `by` says who said so: the file, or the user."""

    a: str
    b: str
    pairs: tuple[tuple[str, str], ...]
    by: str = "file"


@dataclass(frozen=True)
class Option:
    """A variant the file knows: its code (or a module's part number), and the words for it.

    `conditions` are those that hold where it is chosen, whatever other codes say: of a module its own condition, of a
    configuration those of its modules. A plain code has none.
    """

    code: str
    words: str = ""
    conditions: tuple[str, ...] = ()


@dataclass(frozen=True)
class Harness:
    """All that one or several files say of a vehicle's wiring. Order is the files' order.

    `variants` is true while conditions are still in it (a 150 % harness): nothing may be computed on it before
    `exchange.variants.chosen` has applied the codes of one vehicle.
    """

    name: str = ""
    format: str = ""
    holders: tuple[Holder, ...] = ()
    contacts: tuple[Contact, ...] = ()
    wires: tuple[Wire, ...] = ()
    fitted: tuple[Fitted, ...] = ()
    segments: tuple[Segment, ...] = ()
    matings: tuple[Mating, ...] = ()
    options: tuple[Option, ...] = ()
    voltage_v: float | None = None

    @property
    def variants(self) -> bool:
        """True while something in it hangs on an option."""
        return any(one.options for group in (self.holders, self.contacts, self.wires, self.fitted) for one in group)
