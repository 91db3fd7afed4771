"""Switches that can be read, but hardly as they were meant: a bar forgotten, `of` written for `off`."""

from loombench.base.nearest import distance
from loombench.text.draft import Draft
from loombench.text.statements.positions import OFF, Positions
from loombench.text.syntax import Line
from loombench.vehicle.model import Position

USUAL = ("off", "on")
"""Names of positions that are hardly ever the other name of a switch."""


def doubt_positions(draft: Draft, line: Line, read: Positions) -> None:
    """Point out a switch with a single position, one whose other name is `off` or `on`, and one that is nearly off."""
    if not read.positions:
        return
    lead = read.lead[-1].text if read.lead and read.lead[-1].is_word(*USUAL) else ""
    names = [*([lead] if lead else []), *(position.name for position in read.positions)]
    if lead or (len(read.positions) == 1 and not read.positions[0].springs_back):
        shown = [*([lead] if lead else []), *(_written(position) for position in read.positions)]
        if len(shown) == 1:
            shown = [*shown, "on: 1=2"] if names == [OFF] else [OFF, *shown]
        said = ", ".join(position.name for position in read.positions)[:80]
        example = " | ".join(shown)[:120]
        draft.doubtful("switch-single", line.span(), count=len(read.positions), positions=said, example=example)
    if OFF not in names:
        for name in names:
            if len(name) > 1 and distance(name.casefold(), OFF, 1) <= 1:
                token = next((item for item in line.tokens if item.is_word(name, f"{name}!")), None)
                draft.doubtful("position-doubtful", line.span(token), name=name[:40], meant=OFF, rest=read.rest[:40])


def _written(position: Position) -> str:
    pairs = " ".join("=".join(pair) for pair in position.pairs)
    return f"{position.name}: {pairs}" if pairs else position.name
