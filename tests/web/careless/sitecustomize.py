"""On the path of a program it makes its store one without syncs, to see that what it loses is found."""

from loombench.record import database

database.PRAGMAS = ("synchronous=off",)
