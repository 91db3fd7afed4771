"""Files of harness data, whatever their formats, as harnesses: told by their content and handed to their readers."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import PurePath
from types import MappingProxyType
from typing import BinaryIO

from loombench.base.problems import Level, Span
from loombench.base.wording import phrase
from loombench.exchange.detect import KBL, VEC, WIRELIST, Detected, detect
from loombench.exchange.harness import Harness
from loombench.exchange.kbl.read import read_kbl
from loombench.exchange.report import Imported, Notes
from loombench.exchange.tables.model import Sheet
from loombench.exchange.tables.read import read_tables
from loombench.exchange.vec.read import read_vec
from loombench.exchange.wirelist.columns import WIRES, find_columns
from loombench.exchange.wirelist.layout import AUTOMATIC, Layout
from loombench.exchange.wirelist.read import read_sheets

Streams = Sequence[tuple[BinaryIO, str]]
NONE: Mapping[str, Layout] = MappingProxyType({})


def read_harnesses(
    streams: Streams, colours: str = "", layout: Layout = AUTOMATIC, layouts: Mapping[str, Layout] = NONE
) -> tuple[tuple[str, Imported], ...]:
    """What each file holds, by its name; one of no known format is refused with what it is.

    Tables with wires are a harness each; tables without (lists of connectors, fuses, splices, grounds) belong to all of
    them and are named with the first.

    Args:
        streams: files open for reading bytes, with their names for the places of problems; they can go back.
        colours: the system of the colour letters, where it is known.
        layout: what is known of the lists of wires; `layouts` of single files, by name, goes before it.
    """
    if colours:
        layout, *others = (
            one if one.colour_system else replace(one, colour_system=colours) for one in (layout, *layouts.values())
        )
        layouts = dict(zip(layouts, others, strict=True))
    found: dict[str, Imported] = {}
    lists: list[tuple[BinaryIO, str]] = []
    for stream, file in streams:
        kind = detect(stream)
        if kind.format == WIRELIST:
            lists.append((stream, file))
        elif kind.format == KBL:
            found[file] = read_kbl(stream, file, colours)
        elif kind.format == VEC:
            found[file] = read_vec(stream, file, colours)
        else:
            found[file] = _refused(kind, file)
    found.update(_lists(lists, layout, layouts))
    order = {file: number for number, (_, file) in enumerate(streams)}
    return tuple(sorted(found.items(), key=lambda item: order[item[0]]))


def _lists(streams: Streams, general: Layout, layouts: Mapping[str, Layout]) -> Iterator[tuple[str, Imported]]:
    """The harness of each list of wires, with the companion lists of all files."""
    wires: list[tuple[str, tuple[Sheet, ...], Notes]] = []
    companions: list[Sheet] = []
    for stream, file in streams:
        notes, layout = Notes(), layouts.get(file, general)
        sheets = read_tables(stream.read(), file, notes, layout.delimiter)
        if any(one.level is Level.ERROR for one in notes.problems):
            yield file, notes.imported(None, Counter())
        elif any(find_columns(sheet, layout).kind == WIRES for sheet in sheets):
            wires.append((file, sheets, notes))
        else:
            companions.extend(sheets)
    if not wires and companions:
        wires.append((companions[0].file, tuple(companions), Notes()))
        companions = []
    made = [
        (
            file,
            read_sheets(
                [*((one, layouts.get(file, general)) for one in sheets), *((one, AUTOMATIC) for one in companions)],
                file,
                notes,
            ),
        )
        for file, sheets, notes in wires
    ]
    used = [_used(read.harness) for _, read in made]
    for number, (file, read) in enumerate(made):
        if read.harness is None:
            yield file, read
            continue
        elsewhere = set().union(*used[:number], *used[number + 1 :], *([_holders(made[0][1])] if number else []))
        harness = _without(read.harness, elsewhere - used[number])
        name = PurePath(file).stem if harness.name == file else harness.name
        yield file, replace(read, harness=replace(harness, name=name))


def _used(harness: Harness | None) -> set[str]:
    """The holders that a wire ends at."""
    if harness is None:
        return set()
    return {end.spot.holder for wire in harness.wires for end in wire.ends if end.spot is not None}


def _holders(read: Imported) -> set[str]:
    return {item.id for item in read.harness.holders} if read.harness is not None else set()


def _without(harness: Harness, names: set[str]) -> Harness:
    """The harness without holders that only a companion list names, and that are another list's."""
    if not names:
        return harness
    return replace(
        harness,
        holders=tuple(item for item in harness.holders if item.id not in names),
        contacts=tuple(item for item in harness.contacts if item.holder not in names),
        fitted=tuple(item for item in harness.fitted if not any(spot.holder in names for spot in item.spots)),
    )


def _refused(found: Detected, file: str) -> Imported:
    notes = Notes()
    what = phrase(f"import.format.{found.format}", root=found.root or "-")
    notes.add("import-format", Level.ERROR, Span(file, 1), file=file, what=what)
    return Imported(None, problems=tuple(notes.problems))
