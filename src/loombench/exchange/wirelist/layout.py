"""What a user tells of a wire list before it is read; whatever is not told is found, and said to be assumed."""

from dataclasses import dataclass

AUTO = ""
NEVER, ALWAYS = "never", "always"
DAY_FIRST, MONTH_FIRST = "day-month", "month-day"
OPTION = "option:"

SIDED = ("conn", "cavity", "terminal", "seal")
FIELDS = (
    "harness", "wire_no", "signal", *(f"{side}_{what}" for side in ("from", "to") for what in SIDED), "from", "to",
    "colour", "stripe", "colour_system", "size", "size_unit", "length", "length_unit", "wire_type", "cable_id",
    "core_id", "twist_group", "shield", "option", "remark", "row_kind", "row_no", "ignored",
)  # fmt: skip
"""What a column of a wire list can mean. `from` and `to` are joined columns (`X12-3`)."""


@dataclass(frozen=True)
class Layout:
    """What the caller knows; an empty text or 0 means that it is to be found.

    Attributes:
        sheet: name of the sheet with the wires.
        header_line: line of the column heads, -1 where there are none (then `columns` says it all).
        columns: what columns mean, counted from 0: a word of `FIELDS`, `option:CODE` for a column of marks for one
            variant, or `ignored`. Columns not named keep what their head says.
        size_unit, length_unit: of bare numbers: `mm2` or `awg`; `mm`, `cm`, `m`, `in`, `ft`.
        colour_system: a name or code of a system (`facts.colour.SYSTEMS`), `words` for whole words.
        decimal: `,` or `.`, for numbers that can be read in two ways (`1,200`).
        delimiter: what parts the cells of a text file.
        dates: `day-month` or `month-day`: how to turn dates that a spreadsheet made back into what was typed (`1-2`).
        unmarked: whether a row without a mark in any variant is fitted `never` or `always`; found: never, and said.
    """

    sheet: str = AUTO
    header_line: int = 0
    columns: tuple[tuple[int, str], ...] = ()
    size_unit: str = AUTO
    length_unit: str = AUTO
    colour_system: str = AUTO
    decimal: str = AUTO
    delimiter: str = AUTO
    dates: str = AUTO
    unmarked: str = AUTO


AUTOMATIC = Layout()
