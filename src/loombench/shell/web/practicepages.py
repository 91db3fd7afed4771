"""Practice: the list of vehicles and levels, a round, and the program's own path beside one's own.

A round is its address, as a circuit is: the acts stand in it in order, so that it goes on after a restart and wherever
it is opened. What is hidden is worked out from vehicle, level and number on the server; nothing of it is in a page
before the end.
"""

import secrets
from dataclasses import dataclass, replace
from functools import cached_property
from typing import cast
from urllib.parse import quote, quote_plus, urlencode

from markupsafe import escape
from starlette.datastructures import QueryParams
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from loombench.app.dealing import LEVELS
from loombench.app.desk.practice import Asking, PracticeList, RoundShown
from loombench.app.practiceend import BestPath
from loombench.shell.web.circuitpages import have_of, pages_sent, taps_of
from loombench.shell.web.pages import drawing, hub_of, language_of, page_of, pool_of, render, say_in, templates
from loombench.shell.web.pool import ASIDE

NUMBERS = 10_000
LONGEST = 200
PIECES = ("ledger", "handles", "fittings", "chosen", "glance", "meter")
HELD = ("function", "part", "meter", "red", "black")


@dataclass(frozen=True)
class RoundAddress:
    """A round with its acts; its methods give addresses, ready to be linked to."""

    vehicle: str
    level: str
    number: int
    asking: Asking

    @cached_property
    def path(self) -> str:
        """Without acts."""
        return f"/practice/{quote(self.vehicle)}/{self.level}/{self.number}"

    def hidden(self, *without: str) -> tuple[tuple[str, str], ...]:
        """What stands in the address, and what a form carries along but for what it asks about itself."""
        plain = Asking()
        words = [("act", one) for one in self.asking.acts]
        words += [(name, str(getattr(self.asking, name))) for name in HELD]
        shown = (one for one in words if one[0] == "act" or one[1] != getattr(plain, one[0]))
        return tuple(one for one in shown if one[0] not in without)

    def __str__(self) -> str:
        words = self.hidden()
        return f"{self.path}?{urlencode(words)}" if words else self.path

    def acting(self, act: str) -> str:
        """One act more."""
        before, after = self._around
        return f"{before}act={quote_plus(act)}{after}"

    @cached_property
    def _around(self) -> tuple[str, str]:
        """The address before and after an act that is added."""
        words = self.hidden()
        done = urlencode([one for one in words if one[0] == "act"])
        held = urlencode([one for one in words if one[0] != "act"])
        return f"{self.path}?{done}&" if done else f"{self.path}?", f"&{held}" if held else ""

    def doing(self, operation: str) -> str:
        """One operation more."""
        return self.acting(f"do {operation}")

    def showing(self, function: str) -> str:
        """Another circuit of the vehicle."""
        return str(replace(self, asking=replace(self.asking, function=function, part="")))


def read_asking(words: QueryParams) -> Asking:
    """What the address of a round asks for."""
    held = {name: words.get(name, "")[:LONGEST] for name in HELD}
    meter = held.pop("meter") or Asking().meter
    acts = tuple(one[:LONGEST] for one in words.getlist("act"))
    return Asking(acts, held["function"], held["part"], meter, held["red"], held["black"])


async def practice(request: Request) -> Response:
    """Vehicles and levels."""
    found = cast(PracticeList, await pool_of(request).ask("practice.list", language_of(request)))
    return render(request, "practice.html", {"listed": found})


async def begin(request: Request) -> Response:
    """A round with the number that was typed, or with one drawn."""
    vehicle, level = request.query_params.get("vehicle", ""), request.query_params.get("level", "")
    typed = request.query_params.get("number", "").strip()
    if level not in LEVELS or not vehicle:
        raise HTTPException(404)
    number = int(typed) % NUMBERS if typed.isascii() and typed.isdecimal() else secrets.randbelow(NUMBERS)
    return RedirectResponse(RoundAddress(vehicle[:LONGEST], level, number, Asking()).path, 303)


async def played(request: Request) -> Response:
    """A round after its acts; where JSON is asked for only what follows them."""
    vehicle, level, number = _which(request)
    asking = read_asking(request.query_params)
    answer = await pool_of(request).ask(
        "practice.round", language_of(request), page=page_of(request),
        vehicle=vehicle, level=level, seed=number, asking=asking, have=have_of(request),
    )  # fmt: skip
    found = cast(RoundShown, answer)
    at = RoundAddress(vehicle, level, number, asking)
    facts = {"live": found, "at": at, "drawing": drawing}
    if "application/json" in request.headers.get("accept", "") and found.pages:
        return _json(request, found, at, facts)
    status = 200 if found.complaint else 404
    return render(request, "practiceround.html", {**facts, "taps": _taps(found)}, status)


async def best(request: Request) -> Response:
    """The program's own path: asked for by the page of a round that is over."""
    vehicle, level, number = _which(request)
    language, topic = language_of(request), _topic(request)

    def heard(text: str) -> None:
        hub_of(request).send(topic, "step", escape(text))

    answer = await pool_of(request).ask(
        "practice.best", language, lane=ASIDE, subject=f"practice {vehicle}", shared=topic, heard=heard,
        vehicle=vehicle, level=level, seed=number,
    )  # fmt: skip
    if answer is None:
        raise HTTPException(404)
    return render(request, "practicebest.html", {"best": cast(BestPath, answer)})


async def heard_of(request: Request) -> Response:
    """How far the program's own path is."""
    _which(request)
    return hub_of(request).stream(_topic(request))


def _topic(request: Request) -> str:
    vehicle, level, number = _which(request)
    return f"practice:{vehicle}:{level}:{number}:{language_of(request)}"


def _which(request: Request) -> tuple[str, str, int]:
    level = request.path_params["level"]
    if level not in LEVELS:
        raise HTTPException(404)
    return request.path_params["vehicle"], level, request.path_params["number"]


def _taps(found: RoundShown) -> dict[str, str]:
    placed = (one for place in (*found.places, *found.fittings, *found.elsewhere) for one in place.handles)
    every = taps_of((*found.first, *placed), found.facts.kinds)
    return {} if found.over else {part: f"do {operation}" if operation else "" for part, operation in every.items()}


def _json(request: Request, found: RoundShown, at: RoundAddress, facts: dict[str, object]) -> Response:
    pieces = templates().get_template("practicepieces.html").module
    say = say_in(language_of(request))
    made = {name: str(getattr(pieces, name)(**facts, say=say)).strip() for name in PIECES}
    return JSONResponse({"address": str(at), "pieces": made, "pages": pages_sent(found.pages), "taps": _taps(found)})


ROUTES = (
    Route("/practice", practice),
    Route("/practice/begin", begin),
    Route("/practice/{vehicle}/{level}/{number:int}", played),
    Route("/practice/{vehicle}/{level}/{number:int}/best", best),
    Route("/practice/{vehicle}/{level}/{number:int}/heard", heard_of),
)
