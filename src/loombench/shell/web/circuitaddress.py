"""The address of a live circuit: what was done from rest and what is held, so that it can be kept and shared."""

from dataclasses import dataclass, replace
from functools import cached_property
from urllib.parse import quote, quote_plus, urlencode

from starlette.datastructures import QueryParams

from loombench.app.desk.circuit import Live

LONGEST = 200
"""A longer word is no name of anything."""
AMOUNTS = (("supply", "supply {}V"), ("wait", "wait {}s"))
"""Numbers typed into a field of the page: operations too."""


@dataclass(frozen=True)
class CircuitAddress:
    """A function of a vehicle with what a page has done to it; its methods give addresses, ready to be linked to."""

    vehicle: str
    function: str
    live: Live

    def __str__(self) -> str:
        words = self.hidden()
        return f"{self.path}?{urlencode(words)}" if words else self.path

    @cached_property
    def path(self) -> str:
        """Without what was done."""
        return f"/vehicle/{quote(self.vehicle)}/circuit/{quote(self.function, safe='/:')}"

    def hidden(self, *without: str) -> tuple[tuple[str, str], ...]:
        """What stands in the address, and what a form carries along but for what it asks about itself."""
        at, plain = self.live, Live()
        held = (("part", at.part), ("pin", at.pin), ("red", at.red), ("black", at.black))
        words = [("do", one) for one in at.operations] + [("fault", one) for one in at.faults]
        words += [(name, text) for name, text in held if text]
        words += [("meter", at.meter)] if at.meter != plain.meter else []
        return tuple((name, text) for name, text in words if name not in without)

    @cached_property
    def _around(self) -> tuple[str, str]:
        """The address before and after an operation that is added."""
        words = self.hidden()
        done = urlencode([one for one in words if one[0] == "do"])
        held = urlencode([one for one in words if one[0] != "do"])
        return f"{self.path}?{done}&" if done else f"{self.path}?", f"&{held}" if held else ""

    def _with(self, live: Live) -> str:
        return str(replace(self, live=live))

    def doing(self, operation: str) -> str:
        """One operation more."""
        # A page has a hundred of these links: what they have in common is written once.
        before, after = self._around
        return f"{before}do={quote_plus(operation)}{after}"

    def after(self, count: int) -> str:
        """With the first operations only."""
        return self._with(replace(self.live, operations=self.live.operations[:count]))

    def elsewhere(self, function: str) -> str:
        """Another function in the same state."""
        return str(CircuitAddress(self.vehicle, function, Live(self.live.operations, self.live.faults)))

    def trying(self, fault: str) -> str:
        """With a fault laid in."""
        return self._with(replace(self.live, faults=(*self.live.faults, fault)))

    def without(self, fault: str) -> str:
        """With a fault taken out."""
        return self._with(replace(self.live, faults=tuple(one for one in self.live.faults if one != fault)))


def read_live(words: QueryParams) -> Live:
    """What an address asks for."""
    operations = [one[:LONGEST] for one in words.getlist("do")]
    for name, form in AMOUNTS:
        operations += [form.format(one.strip()[:20]) for one in words.getlist(name) if one.strip()]

    def held(name: str) -> str:
        return words.get(name, "")[:LONGEST]

    faults = tuple(one[:LONGEST] for one in words.getlist("fault"))
    meter = held("meter") or Live().meter
    return Live(tuple(operations), faults, held("part"), held("pin"), meter, held("red"), held("black"))
