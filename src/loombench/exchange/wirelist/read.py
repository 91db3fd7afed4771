"""A wire list, with its companion lists, as a harness."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from loombench.base.problems import Level, Span
from loombench.exchange.harness import Harness
from loombench.exchange.report import Imported, Notes
from loombench.exchange.tables.model import Sheet
from loombench.exchange.tables.read import read_tables
from loombench.exchange.wirelist.build import Building, holders, settle_places
from loombench.exchange.wirelist.columns import WIRES, Columns, find_columns
from loombench.exchange.wirelist.companions import Companions
from loombench.exchange.wirelist.confirm import confirm
from loombench.exchange.wirelist.extras import fuses, matings, open_ends, shared_cavities
from loombench.exchange.wirelist.layout import ALWAYS, AUTOMATIC, Layout
from loombench.exchange.wirelist.measures import measure
from loombench.exchange.wirelist.paint import paint
from loombench.exchange.wirelist.rows import RawWire, RowReader
from loombench.exchange.wirelist.variants import Variants, conditions, find_variants, options
from loombench.exchange.wirelist.words import marked

FORMAT = "wire list"
_MOST_NAMED = 8


def read_wirelist(
    data: bytes, file: str, layout: Layout = AUTOMATIC, others: Sequence[tuple[bytes, str]] = ()
) -> Imported:
    """Read a wire list from the bytes of a CSV, TSV, XLSX or ODS file; never raises for what is in it.

    `others` are further files (bytes and name) of the same harness: companion lists, or more wires. The layout is of
    the first file. Companion lists may also be other sheets of a workbook.
    """
    notes = Notes()
    sheets = [(sheet, layout) for sheet in read_tables(data, file, notes, layout.delimiter)]
    for more, name in others:
        sheets += [(sheet, replace(AUTOMATIC, dates=layout.dates)) for sheet in read_tables(more, name, notes)]
    if any(problem.level is Level.ERROR for problem in notes.problems):
        return notes.imported(None, Counter())
    return read_sheets(sheets, file, notes)


def read_sheets(sheets: Sequence[tuple[Sheet, Layout]], file: str, notes: Notes) -> Imported:
    """Read sheets that are already tables, each with its layout; `file` names the harness."""
    counts: Counter[str] = Counter()
    lists: list[tuple[Sheet, Columns, Layout]] = []
    companions = Companions()
    for sheet, layout in sheets:
        named = not layout.sheet or sheet.name == layout.sheet
        columns = find_columns(sheet, layout if named else AUTOMATIC)
        if columns.kind == WIRES and named:
            lists.append((sheet, columns, layout))
        elif columns.kind and columns.kind != WIRES:
            _say_columns(sheet, columns, notes)
            companions.take(sheet, columns, layout, notes, counts)
        else:
            notes.add("list-sheet-unused", Level.NOTE, Span(sheet.label, 1), sheet=sheet.name or sheet.file)
    if not lists:
        notes.add("list-header-missing", Level.ERROR, Span(file, 1))
        return notes.imported(None, counts)
    building = Building(companions, notes, counts)
    variants = [_wires(building, sheet, columns, layout) for sheet, columns, layout in lists]
    confirm(building)
    settle_places(building)
    held = {holder.id: holder for holder in holders(building)}
    fitted = fuses(building, held)
    open_ends(building)
    shared_cavities(building, held)
    said = [condition for wire in building.wires for condition in wire.options]
    return notes.imported(
        Harness(
            file, FORMAT, tuple(held.values()), tuple(building.contacts.values()), tuple(building.wires), fitted,
            matings=matings(building, held), options=options(variants, said),
        ),
        counts,
    )  # fmt: skip


def _wires(building: Building, sheet: Sheet, columns: Columns, layout: Layout) -> Variants:
    """Add the wires of one sheet."""
    notes, counts = building.notes, building.counts
    variants = find_variants(sheet, columns)
    marks = {at for at, _, _ in variants.columns}
    _say_columns(sheet, replace(columns, unknown=tuple(at for at in columns.unknown if at not in marks)), notes)
    if variants.columns:
        heads = ", ".join(head for _, _, head in variants.columns[:_MOST_NAMED])
        where = sheet.where(columns.header, variants.columns[0][0]) if columns.header else Span(sheet.label, 1)
        notes.add("list-options-found", Level.NOTE, where, heads=heads, count=len(variants.columns))
    raws: list[RawWire] = []
    for raw in RowReader(sheet, columns, layout, notes, counts).wires():
        marked = variants.of(raw.row) if variants.columns else ()
        if marked is None and layout.unmarked != ALWAYS:
            building.refuse(raw, "no-variant")
            continue
        raw.options = conditions(raw.says.get("option", ""), marked or ())
        raws.append(raw)
    _twist(raws)
    colours = paint(raws, columns, layout, notes)
    measured = measure(raws, columns, layout, notes)
    for raw, colour, area, length in zip(raws, colours, measured.areas_mm2, measured.lengths_m, strict=True):
        building.add(raw, area, length, colour, raw.options)
    return variants


def _say_columns(sheet: Sheet, columns: Columns, notes: Notes) -> None:
    """Name the columns that were not used though something stands in them."""
    if columns.header is None:
        return
    for at in columns.twice:
        notes.add("list-column-twice", Level.WARNING, sheet.where(columns.header, at), head=columns.heads[at])
    named = [at for at in columns.unknown if at < len(columns.heads) and columns.heads[at]]
    if named:
        heads = ", ".join(f'"{columns.heads[at][:30]}"' for at in named[:_MOST_NAMED])
        notes.add("list-column-unknown", Level.NOTE, sheet.where(columns.header, named[0]), heads=heads)


def _twist(raws: Sequence[RawWire]) -> None:
    """Give wires that name one another as twisted the same group, and those marked in a cable the cable's."""
    numbers = {raw.number: at for at, raw in enumerate(raws) if raw.number}
    for at, raw in enumerate(raws):
        said = raw.says.get("twist_group", "")
        partner = numbers.get(said)
        if partner is not None and partner != at:
            raw.says["twist_group"] = "~".join(raws[one].number for one in sorted((at, partner)))
        elif said and marked(said, ""):
            raw.says["twist_group"] = raw.says.get("cable_id", "")
