"""Circuit pages of a vehicle: which there are, one function drawn, in a condition or plain.

drawings = Drawings(vehicle)
found = drawings.find("boom work lamps").value                  the functions that words mean
drawings.pages(found[0], layouts_here(cache_folder())).value    the pages of one as SVG
"""

import os
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from types import MappingProxyType

from loombench.base.nearest import nearest
from loombench.base.outcome import Outcome
from loombench.base.problems import error
from loombench.base.wording import Catalogue, catalogue
from loombench.draw.circuit.dividing import divided
from loombench.draw.circuit.functions import BUS_LINES, SUPPLY, Function, function_of, functions
from loombench.draw.circuit.taking import Taking
from loombench.draw.circuit.ways import Net, net_of
from loombench.draw.engine.engines import Engine, EngineError, load_engine
from loombench.draw.engine.remembered import Remembered
from loombench.draw.layout.arrange import LayoutError, Layouts
from loombench.draw.layout.items import JOIN, Plan
from loombench.draw.layout.plan import Others, plan_of
from loombench.draw.overlay import NOTHING, Overlay
from loombench.draw.page import Page, folded_page, page_of, pages_of, posed_page
from loombench.draw.pagesvg import Heading, circuit_svg
from loombench.draw.papers import PAPERS, Sheet
from loombench.text.functions import find_loads
from loombench.vehicle.model import Vehicle

MISSING = "drawing-engine-missing"
CACHE = "LOOMBENCH_CACHE"
"""The environment's word for the folder where arrangements are kept; empty for none."""


@dataclass(frozen=True)
class DrawnPage:
    """One page: its function's key, its number of how many, the paper's name, and the SVG."""

    function: str
    number: int
    count: int
    title: str
    paper: str
    width_mm: float
    height_mm: float
    svg: str


def function_title(function: Function, words: Catalogue | None = None) -> str:
    """A function's name as it stands over its page."""
    words = words or catalogue()
    if function.key in (SUPPLY, BUS_LINES):
        return words.say(f"drawing.{function.key}")
    return function.name or function.key


@dataclass(frozen=True, eq=False)
class Drawings:
    """The drawings of one vehicle; its functions are found once."""

    vehicle: Vehicle

    @cached_property
    def functions(self) -> tuple[Function, ...]:
        """All functions, in the order of the list."""
        return functions(self.vehicle, self.net)

    @cached_property
    def _arranged(self) -> dict[tuple[object, ...], tuple[Page, ...]]:
        """Pages arranged already, with everything at rest: a function is arranged once, whatever is laid over it."""
        return {}

    @cached_property
    def net(self) -> Net:
        """The vehicle's net."""
        return net_of(self.vehicle)

    @cached_property
    def of_wire(self) -> Mapping[str, tuple[Function, ...]]:
        """The functions that each wire takes part in."""
        found: dict[str, list[Function]] = {}
        for one in self.functions:
            for wire in one.wires:
                found.setdefault(wire, []).append(one)
        return MappingProxyType({wire: tuple(some) for wire, some in found.items()})

    @cached_property
    def of_part(self) -> Mapping[str, tuple[Function, ...]]:
        """The functions that each part takes part in."""
        found: dict[str, list[Function]] = {}
        for one in self.functions:
            for part in one.parts:
                found.setdefault(part, []).append(one)
        return MappingProxyType({part: tuple(some) for part, some in found.items()})

    def find(self, said: str) -> Outcome[tuple[Function, ...]]:
        """The functions that words mean: the title of one, a load, a piece of a name, a part that takes part; all of
        them where there are no words."""
        wanted = said.strip()
        if not wanted:
            return Outcome(self.functions)
        same = [one for one in self.functions if _plain(wanted) in (_plain(function_title(one)), _plain(one.key))]
        if same:
            return Outcome(tuple(same))
        loads = find_loads(self.vehicle, wanted)
        if loads.value:
            return Outcome(self._with(loads.value))
        pieces = [one for one in self.functions if _plain(wanted) in _plain(function_title(one))]
        if pieces:
            return Outcome(tuple(pieces))
        titles = dict.fromkeys(function_title(one) for one in self.functions)
        return Outcome((), (error("drawing-unknown", text=wanted[:60], nearest=nearest(wanted, titles)),))

    def _with(self, names: tuple[str, ...]) -> tuple[Function, ...]:
        """The function of some loads, drawn together where they are of several; those a part takes part in."""
        loads = [load for one in self.functions for load in one.loads]
        meant = tuple(load for load in loads if any(load == name or load.startswith(f"{name}.") for name in names))
        if not meant:
            return tuple(one for one in self.functions if set(names) & set(one.parts))
        whole = [one for one in self.functions if set(meant) & set(one.loads)]
        if len(whole) > 1 and len(names) > 1:
            return (function_of(self.vehicle, meant, ", ".join(names)),)
        return tuple(whole)

    def pages(
        self,
        function: Function,
        layouts: Layouts,
        overlay: Overlay = NOTHING,
        paper: str = "auto",
        words: Catalogue | None = None,
    ) -> Outcome[tuple[DrawnPage, ...]]:
        """The pages of a function on paper of `PAPERS`; none with the problem where it cannot be arranged."""
        words = words or catalogue()
        arranged = self.arranged(function, layouts, paper, words)
        pages = arranged.value
        if overlay.positions:
            pages = tuple(posed_page(self.vehicle, page, overlay.positions) for page in pages)
        headings = headings_of(self.vehicle, function, pages, words, overlay.title)
        numbered = enumerate(zip(pages, headings, strict=True), 1)
        title = function_title(function, words)
        written = (
            DrawnPage(
                function.key, number, len(pages), title, page.sheet.name, page.sheet.width_mm, page.sheet.height_mm,
                circuit_svg(self.vehicle, page, heading, overlay),
            )
            for number, (page, heading) in numbered
        )  # fmt: skip
        return Outcome(tuple(written), arranged.problems)

    def arranged(
        self, function: Function, layouts: Layouts, paper: str = "auto", words: Catalogue | None = None
    ) -> Outcome[tuple[Page, ...]]:
        """The pages of a function with everything at rest, before they are written out."""
        words = words or catalogue()
        key = (function.key, function.loads, paper, words.language)
        try:
            pages = self._arranged.get(key) or self._arrange(function, layouts, PAPERS[paper], words)
        except EngineError as wrong:
            return Outcome((), (error(str(wrong)) if str(wrong) == MISSING else error("drawing-failed", reason=wrong),))
        except LayoutError as wrong:
            return Outcome((), (error("drawing-failed", reason=wrong),))
        self._arranged[key] = pages
        return Outcome(pages)

    def _arrange(
        self, function: Function, layouts: Layouts, sheets: tuple[Sheet, ...], words: Catalogue
    ) -> tuple[Page, ...]:
        others = self._others(function, words)

        def planned(taking: Taking) -> Plan:
            return plan_of(self.vehicle, taking, others, words.language)

        return tuple(self._pages(function.loads, function.taking, planned, layouts, sheets))

    def _pages(
        self,
        loads: tuple[str, ...],
        taking: Taking,
        planned: Callable[[Taking], Plan],
        layouts: Layouts,
        sheets: tuple[Sheet, ...],
    ) -> Iterator[Page]:
        """One page where it holds all, maybe folded; else the loads divided; else cut where the fewest lines are."""
        plan = planned(taking)
        if not plan.items:
            return
        page = page_of(self.vehicle, plan, layouts, sheets)
        page = page or folded_page(self.vehicle, plan, layouts, sheets)
        parts = divided(self.vehicle, self.net, loads) if page is None else None
        if page is not None:
            yield page
        elif parts is None:
            yield from pages_of(self.vehicle, plan, layouts, sheets)
        else:
            for some, needed in parts:
                yield from self._pages(some, needed, planned, layouts, sheets)

    def _others(self, function: Function, words: Catalogue) -> Others:
        """The other functions of each wire, for what hangs on the same splice or stud."""
        return Others(
            MappingProxyType(
                {
                    wire: tuple((one.key, function_title(one, words)) for one in some if one.loads != function.loads)
                    for wire, some in self.of_wire.items()
                }
            )
        )


def function_lines(found: Iterable[Function], words: Catalogue | None = None) -> Iterator[str]:
    """The functions as a list: title and loads of each."""
    words = words or catalogue()
    for one in found:
        loads = ", ".join(one.loads)
        yield words.say("drawing.row", title=function_title(one, words), loads=loads, parts=len(one.parts))


def _plain(text: str) -> str:
    return " ".join(word.removesuffix("s") for word in text.casefold().replace('"', "").split())


def headings_of(
    vehicle: Vehicle, function: Function, pages: tuple[Page, ...], words: Catalogue, state: str = ""
) -> tuple[Heading, ...]:
    """The words of each page of a function; `state` says in which one it is drawn."""
    title, count = function_title(function, words), len(pages)
    joins = _joins(pages, function, words)
    found = []
    for number, page in enumerate(pages, 1):
        parts = ", ".join(dict.fromkeys(item.part for item in page.items if item.sort != JOIN))
        said = words.say("drawing.description", title=title, vehicle=vehicle.name, parts=parts)
        paged = words.say("drawing.page", vehicle=vehicle.name, number=number, count=count)
        subtitle = vehicle.name if count == 1 else paged
        found.append(
            Heading(
                title[:1].upper() + title[1:],
                " · ".join(text for text in (subtitle, state) if text),
                words.say("drawing.foot"),
                said,
                MappingProxyType({key: value for (key, at), value in joins.items() if at == number}),
                function.loads if number == 1 else (),
                words.language,
            )
        )
    return tuple(found)


def _joins(
    pages: tuple[Page, ...], function: Function, words: Catalogue
) -> Mapping[tuple[str, int], tuple[str, str, str]]:
    """For each cut line on each page its letter, where it goes on in words, and the name of that page."""
    there: dict[str, list[int]] = {}
    for number, page in enumerate(pages, 1):
        for item in page.items:
            if item.sort == JOIN:
                there.setdefault(item.part, []).append(number)
    found: dict[tuple[str, int], tuple[str, str, str]] = {}
    for at, (key, numbers) in enumerate(there.items()):
        for number in numbers:
            other = next((one for one in numbers if one != number), number)
            where = words.say("drawing.goes-on", number=other) if other != number else ""
            found[key, number] = (_letter(at), where, f"{function.key}/{other}")
    return found


def _letter(at: int) -> str:
    """A, B ... Z, A1, B1 ..."""
    return chr(ord("A") + at % 26) + (str(at // 26) if at >= 26 else "")


def layouts_here(folder: Path | None) -> Layouts:
    """The layout engine that is installed, started when it is needed first, with its memory in a folder."""
    return Remembered(_started, folder)


def _started() -> Engine:
    engine = load_engine()
    if engine.value is None:
        raise EngineError(MISSING)
    return engine.value


def cache_folder(environment: Mapping[str, str] | None = None, system: str = sys.platform) -> Path | None:
    """Where arrangements are kept between runs: the user's folder for such files; None where there is none."""
    known = os.environ if environment is None else environment
    if CACHE in known:
        return Path(known[CACHE]) if known[CACHE] else None
    home = known.get("HOME") or known.get("USERPROFILE")
    if system == "win32":
        base = known.get("LOCALAPPDATA") or ""
    elif system == "darwin":
        base = f"{home}/Library/Caches" if home else ""
    else:
        base = known.get("XDG_CACHE_HOME") or (f"{home}/.cache" if home else "")
    return Path(base) / "loombench" / "layouts" if base else None
