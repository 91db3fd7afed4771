"""A plan with its switches and relays in other positions, every pin where it was."""

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from loombench.draw.layout.items import Item, Plan
from loombench.draw.symbol import symbol_of
from loombench.vehicle.model import Vehicle


def posed(vehicle: Vehicle, plan: Plan, positions: Mapping[str, str]) -> Plan:
    """The plan with controls and relays in these positions, as `Wanted` has them. Every pin is where it was: who
    compares two states of a function finds things at the same place."""
    items = {key: _posed(vehicle, item, positions) for key, item in plan.items.items()}
    return replace(plan, items=MappingProxyType(items))


def _posed(vehicle: Vehicle, item: Item, positions: Mapping[str, str]) -> Item:
    if item.wanted is None or item.symbol is None:
        return item
    symbol = symbol_of(vehicle.parts[item.part], replace(item.wanted, positions=positions))
    same = (symbol.pins, symbol.width_mm, symbol.height_mm) == (
        item.symbol.pins,
        item.symbol.width_mm,
        item.symbol.height_mm,
    )
    return replace(item, symbol=symbol) if same else item
