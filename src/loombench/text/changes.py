"""Placeholder until changes are there."""

from loombench.text.draft import Draft
from loombench.vehicle.model import Vehicle


def apply_lines(draft: Draft, vehicle: Vehicle) -> Vehicle:
    """Nothing yet."""
    del draft
    return vehicle
