"""What stands beside a symbol: its rating as printed on the part. A number nobody knows is `?` with its unit."""

from collections.abc import Mapping

from loombench.base.band import Band
from loombench.vehicle.kinds import KINDS
from loombench.vehicle.model import Inner, Part

_VOLTS_TOO = ("battery", "converter", "alternator")
"""Kinds of which the volts are said even where there is another number."""


def value_text(band: Band, unit: str) -> str:
    """`55 W`, `? A` where it is known only as a range, `4.7 kohm`, `50 %`."""
    if not band.known:
        return f"? {unit}"
    value = band.nominal
    if unit == "%":
        return f"{100.0 * value:g} %"
    if unit == "ohm" and value >= 1000.0:
        return f"{value / 1000.0:g} kohm"
    if unit in ("A", "ohm") and 0.0 < value < 0.1:
        return f"{1000.0 * value:g} m{unit}"
    return f"{value:g}{unit}" if unit.startswith("/") else f"{value:g} {unit}"


def rating(kind: str, numbers: Mapping[str, Band]) -> str:
    """The numbers of a kind in the order of its table; volts only where nothing else is said."""
    units = {name: unit for unit, name in KINDS[kind].numbers.items()} if kind in KINDS else {}
    known = {name: band for name, band in numbers.items() if name in units}
    if len(known) > 1 and kind not in _VOLTS_TOO:
        known.pop("rated_v", None)
    return " ".join(value_text(known[name], unit) for name, unit in units.items() if name in known)


def part_rating(part: Part) -> str:
    """The rating of a part; of a relay that of its contacts."""
    if part.kind == "relay":
        contacts = [inner.params for inner in part.elements if inner.kind == "relay-contact"]
        return rating("relay", contacts[0]) if contacts else ""
    if part.kind == "flasher":
        return rating("flasher", {name: band for name, band in part.params.items() if name == "rate_per_min"})
    return rating(part.kind, part.params)


def inner_rating(inner: Inner) -> str:
    """The rating of an element inside a housing."""
    return rating(inner.kind, inner.params)
