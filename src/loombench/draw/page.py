"""A circuit as pages: each an arranged plan with lines and labels on a sheet of paper, in millimetres."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from loombench.draw.fitting import PLAIN, Laid, laid_on, too_large
from loombench.draw.layout.arrange import STRAIGHT, Layouts, Placed, Spacing, Spot, arrange
from loombench.draw.layout.breaking import halves
from loombench.draw.layout.items import JOIN, Item, Plan
from loombench.draw.layout.posing import posed
from loombench.draw.layout.sketch import sketched
from loombench.draw.layout.stretching import stretched
from loombench.draw.papers import A4, Sheet
from loombench.draw.piece import Piece, piece_of
from loombench.vehicle.model import Vehicle

MOST_WIDENED = 2
GAP_MM = 8.0
"""Between two pieces on a page."""
LEAST_WIDER = 1.07
"""So much higher one with more room between things is at least: there 1.08."""
MOST_COLUMNS, MOST_JOINS, LEAST_ITEMS = 3, 4, 4
FILLED = 0.92
"""How much of a sheet the first piece of a cut drawing may fill: joins need room."""


@dataclass(frozen=True)
class Page:
    """A sheet with pieces on it, each with the place of its upper left corner on the sheet."""

    sheet: Sheet
    pieces: tuple[tuple[Piece, Spot], ...]

    @property
    def items(self) -> tuple[Item, ...]:
        """Everything that stands on the page."""
        return tuple(item for piece, _ in self.pieces for item in piece.plan.items.values())


def page_of(
    vehicle: Vehicle, plan: Plan, layouts: Layouts, sheets: tuple[Sheet, ...] = A4, spacing: Spacing = PLAIN
) -> Page | None:
    """The plan on one page; None where no sheet holds it.

    Raises:
        LayoutError: the engine gave no arrangement.
    """
    if too_large(plan, sheets):
        return None
    laid = laid_on(plan, layouts, sheets, spacing)
    if laid.sheet is None:
        return None
    return eased(vehicle, _filled([_labelled(vehicle, plan, laid, layouts, alone=True)], laid.sheet)[1])


def folded_page(
    vehicle: Vehicle, plan: Plan, layouts: Layouts, sheets: tuple[Sheet, ...] = A4, spacing: Spacing = PLAIN
) -> Page | None:
    """A plan that is high and narrow on one page, in columns side by side; None where that takes more than a page,
    more than `MOST_COLUMNS` columns or `MOST_JOINS` joins, or a column would have next to nothing in it.

    Raises:
        LayoutError: the engine gave no arrangement.
    """
    if too_large(plan, sheets):
        return None
    placed = arrange(plan, layouts, spacing)
    for sheet in (sheet for sheet in sheets if _may_fold(placed, sheet)):
        pieces = tuple(_pieces(vehicle, plan, layouts, (sheet,), spacing))
        pages = packed(pieces, (sheet,))
        joins = sum(item.sort == JOIN for page in pages for item in page.items)
        least = min(sum(item.sort != JOIN for item in piece.plan.items.values()) for piece in pieces)
        few = len(pieces) <= MOST_COLUMNS and joins <= 2 * MOST_JOINS and least >= LEAST_ITEMS
        if len(pages) == 1 and few:
            return eased(vehicle, pages[0])
    return None


def _may_fold(placed: Placed, sheet: Sheet) -> bool:
    """Whether an arrangement in columns, or in rows, may find room on a sheet."""
    across, down = _whole(placed.height_mm / sheet.room[1]), _whole(placed.width_mm / sheet.room[0])
    columns = across * (placed.width_mm + GAP_MM) <= sheet.room[0] and across <= MOST_COLUMNS
    return columns or (down * (placed.height_mm + GAP_MM) <= sheet.room[1] and down <= MOST_COLUMNS)


def pages_of(
    vehicle: Vehicle, plan: Plan, layouts: Layouts, sheets: tuple[Sheet, ...] = A4, spacing: Spacing = PLAIN
) -> tuple[Page, ...]:
    """The plan on as many pages as it takes, from the supply down, left before right. Nothing is made smaller: what is
    too large is cut into pieces, and one thing alone that is larger than every sheet gets a sheet of its size.

    Raises:
        LayoutError: the engine gave no arrangement.
    """
    if not plan.items:
        return ()
    pieces = tuple(_pieces(vehicle, plan, layouts, sheets, spacing))
    return tuple(eased(vehicle, page) for page in packed(pieces, sheets))


def posed_page(vehicle: Vehicle, page: Page, positions: Mapping[str, str]) -> Page:
    """The page with controls and relays in these positions, everything where it was."""
    pieces = ((replace(piece, plan=posed(vehicle, piece.plan, positions)), at) for piece, at in page.pieces)
    return replace(page, pieces=tuple(pieces))


def eased(vehicle: Vehicle, page: Page) -> Page:
    """The page with what is free at its foot between the layers of its pieces."""
    rows: dict[float, list[tuple[Piece, Spot]]] = {}
    for piece, at in page.pieces:
        rows.setdefault(at[1], []).append((piece, at))
    foot = page.sheet.margin_mm + page.sheet.head_mm + page.sheet.room[1]
    lowest = max((at[1] + piece.placed.height_mm for piece, at in page.pieces), default=foot)
    spare = (foot - lowest) / max(1, len(rows))
    kept: list[tuple[Piece, Spot]] = []
    y = min(rows, default=0.0)
    for row in rows.values():
        high = max(piece.placed.height_mm for piece, _ in row) + spare
        made = [_stretched(vehicle, piece, high) for piece, _ in row]
        kept += [(piece, (at[0], round(y, 2))) for piece, (_, at) in zip(made, row, strict=True)]
        y += max(piece.placed.height_mm for piece in made) + GAP_MM
    return replace(page, pieces=tuple(kept))


def _stretched(vehicle: Vehicle, piece: Piece, high: float) -> Piece:
    placed = stretched(piece.plan, piece.placed, high)
    made = piece if placed is piece.placed else piece_of(vehicle, piece.plan, placed)
    return made if len(made.unlabelled) <= len(piece.unlabelled) else piece


def packed(pieces: Sequence[Piece], sheets: tuple[Sheet, ...]) -> tuple[Page, ...]:
    """The pieces on sheets: each sheet takes the first one left and what else fits beside and below it."""
    pages: list[Page] = []
    waiting = list(pieces)
    while waiting:
        large = [] if any(sheet.holds(waiting[0].placed) for sheet in sheets) else [_of_size(waiting[0].placed)]
        taken, page = max(
            (_filled(waiting, sheet) for sheet in large or sheets),
            key=lambda pair: (pair[0][:1] == (0,), len(pair[0])),
        )
        pages.append(page)
        waiting = [piece for at, piece in enumerate(waiting) if at not in taken]
    return tuple(pages)


def _filled(pieces: Sequence[Piece], sheet: Sheet) -> tuple[tuple[int, ...], Page]:
    """Which of the pieces go on one sheet, and that page: rows of pieces."""
    rows: list[list[Piece]] = []
    left = sheet.room[1]
    used: list[int] = []
    while len(used) < len(pieces):
        row: list[Piece] = []
        wide = 0.0
        for at, piece in enumerate(pieces):
            need = piece.placed.width_mm + (GAP_MM if row else 0.0)
            if at not in used and wide + need <= sheet.room[0] and piece.placed.height_mm <= left:
                row.append(piece)
                used.append(at)
                wide += need
        if not row:
            break
        rows.append(row)
        left -= max(piece.placed.height_mm for piece in row) + GAP_MM
    placed: list[tuple[Piece, Spot]] = []
    y = sheet.margin_mm + sheet.head_mm
    for row in rows:
        wide = sum(piece.placed.width_mm for piece in row) + GAP_MM * (len(row) - 1)
        spare = max(0.0, sheet.room[0] - wide) / (len(row) + 1)
        x = sheet.margin_mm + spare
        for piece in row:
            placed.append((piece, (round(x, 2), round(y, 2))))
            x += piece.placed.width_mm + GAP_MM + spare
        y += max(piece.placed.height_mm for piece in row) + GAP_MM
    return tuple(used), Page(sheet, tuple(placed))


def _pieces(
    vehicle: Vehicle, plan: Plan, layouts: Layouts, sheets: tuple[Sheet, ...], spacing: Spacing
) -> Iterator[Piece]:
    laid = None if too_large(plan, sheets) else laid_on(plan, layouts, sheets, spacing)
    placed = sketched(plan, spacing) if laid is None else laid.placed
    if laid is None or laid.sheet is None:
        # Tall pieces go side by side on a page, so the height counts first.
        wide, high = min(
            ((placed.width_mm / one.room[0], placed.height_mm / one.room[1]) for one in sheets), key=_sheets_for
        )
        across = high <= 1.0
        share = FILLED / (wide if across else high)
        cut = halves(plan, placed, across, share) or halves(plan, placed, not across)
        if cut is not None:
            for part in cut:
                yield from _pieces(vehicle, part, layouts, sheets, spacing)
            return
        placed = arrange(plan, layouts, spacing)
        laid = Laid(placed, spacing, STRAIGHT, _of_size(placed))
    assert laid.sheet is not None
    # What takes more than half the height has what is free below it for itself.
    yield _labelled(vehicle, plan, laid, layouts, alone=2 * laid.placed.height_mm > laid.sheet.room[1])


def _sheets_for(ratios: tuple[float, float]) -> tuple[int, float]:
    """How many sheets of a kind it would take; then how much of them."""
    return (_whole(ratios[0]) * _whole(ratios[1]), ratios[0] * ratios[1])


def _whole(ratio: float) -> int:
    return max(1, int(ratio) + (ratio > int(ratio)))


def _of_size(placed: Placed) -> Sheet:
    plain = Sheet("", 0.0, 0.0)
    wide = placed.width_mm + 2 * plain.margin_mm
    return Sheet("long", max(210.0, wide), max(297.0, placed.height_mm - plain.room[1]))


def _labelled(vehicle: Vehicle, plan: Plan, laid: Laid, layouts: Layouts, alone: bool = False) -> Piece:
    """The piece, its lines further apart where words found no place and its sheet allows it; not where it is `alone` on
    its sheet and what is free there is enough."""
    assert laid.sheet is not None
    made, spacing = piece_of(vehicle, plan, laid.placed), laid.spacing
    if alone and made.unlabelled and not _stretched(vehicle, made, laid.sheet.room[1]).unlabelled:
        return made
    for _ in range(MOST_WIDENED):
        if not made.unlabelled or made.placed.height_mm * LEAST_WIDER > laid.sheet.room[1]:
            break
        spacing = spacing.wider()
        wider = arrange(plan, layouts, spacing, laid.manner)
        if not laid.sheet.holds(wider):
            break
        again = piece_of(vehicle, plan, wider)
        made = again if len(again.unlabelled) < len(made.unlabelled) else made
    return made
