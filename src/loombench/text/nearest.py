"""The name nearest to one that is not known, to offer it: that of `base.nearest`."""

from loombench.base.nearest import LONGEST, NONE, distance, nearest

__all__ = ["LONGEST", "NONE", "distance", "nearest"]
