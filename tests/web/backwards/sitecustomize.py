"""On the path of a program it sets its clock back by an hour each time somebody looks."""

import datetime as module
from itertools import count

_TIMES = count(1)
_Real = module.datetime


class Backwards(_Real):
    """The time, an hour less with each look."""

    @classmethod
    def now(cls, tz=None):  # type: ignore[no-untyped-def]
        real = _Real.now(tz) - module.timedelta(hours=next(_TIMES))
        return cls(*real.timetuple()[:6], real.microsecond, tzinfo=real.tzinfo)


module.datetime = Backwards  # type: ignore[misc]
