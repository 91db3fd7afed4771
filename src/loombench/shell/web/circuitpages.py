"""The circuit view: the list of functions, and one of them live.

One address gives the whole page, or where JSON is asked for only what follows the state: pieces of the page, the layers
of the drawing, of the still one no more than what the page does not have (`X-Loombench-Have` names those it has).
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import cast

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from loombench.app.desk.circuit import CircuitList, CircuitLive
from loombench.app.livepages import LivePage
from loombench.app.operating import Handle
from loombench.shell.web.circuitaddress import CircuitAddress, read_live
from loombench.shell.web.pages import drawing, language_of, page_of, pool_of, render, say_in, templates

HAVE = "X-Loombench-Have"
PIECES = ("steps", "trouble", "loads", "chosen", "glance", "meter", "pin", "handles", "fittings")
MOST_PAGES = 50


async def circuits(request: Request) -> Response:
    """The functions of a vehicle, or those that words mean."""
    vehicle, find = request.path_params["vehicle"], request.query_params.get("find", "")[:200]
    answer = await pool_of(request).ask("circuit.list", language_of(request), vehicle=vehicle, find=find)
    found = cast(CircuitList, answer)
    return render(request, "circuits.html", {"listed": found, "find": find}, 200 if found.name else 404)


async def circuit(request: Request) -> Response:
    """One function in the state that the address spells."""
    vehicle, function = request.path_params["vehicle"], request.path_params["function"]
    live = read_live(request.query_params)
    answer = await pool_of(request).ask(
        "circuit.live", language_of(request), page=page_of(request),
        vehicle=vehicle, function=function, live=live, have=have_of(request),
    )  # fmt: skip
    found = cast(CircuitLive, answer)
    at = CircuitAddress(vehicle, function, replace(live, operations=found.steps))
    if "application/json" in request.headers.get("accept", "") and found.pages:
        return _json(request, found, at)
    facts = {**_facts(found, at), "taps": taps(found)}
    return render(request, "circuit.html", facts, 200 if found.title else 404)


def _facts(found: CircuitLive, at: CircuitAddress) -> dict[str, object]:
    return {"live": found, "at": at, "drawing": drawing}


def _json(request: Request, found: CircuitLive, at: CircuitAddress) -> Response:
    pieces = templates().get_template("circuitpieces.html").module
    facts = {**_facts(found, at), "say": say_in(language_of(request))}
    return JSONResponse({
        "address": str(at),
        "pieces": {name: str(getattr(pieces, name)(**facts)).strip() for name in PIECES},
        "pages": pages_sent(found.pages),
        "taps": taps(found),
    })  # fmt: skip


def have_of(request: Request) -> tuple[str, ...]:
    """The keys of the still layers that the page has."""
    return tuple(request.headers.get(HAVE, "").split(",")[:MOST_PAGES])


def pages_sent(pages: tuple[LivePage, ...]) -> list[dict[str, str | None]]:
    """The layers of some pages; of a still one nothing where the page has it."""
    return [{"key": one.key, "live": one.live, "over": one.over, "still": one.still or None} for one in pages]


def taps(found: CircuitLive) -> dict[str, str]:
    """What a tap on a part does: the operation."""
    placed = (one for place in (*found.places, *found.fittings, *found.elsewhere) for one in place.handles)
    return taps_of((*found.first, *placed), found.facts.kinds)


def taps_of(handles: Iterable[Handle], kinds: Mapping[str, str]) -> dict[str, str]:
    """For each part the operation that a tap on it does; empty where it has more than one thing to set, or a plug only
    that is not what one would mean."""
    every = [one for one in handles if one.part]
    result: dict[str, str] = {}
    for one in every:
        own = [other for other in every if other.part == one.part]
        controls = [other for other in own if other.sort == "set"]
        others = [other for other in own if other.sort in ("couple", "seat")]
        plugs = [other for other in own if other.sort == "plug"]
        first = controls or others or (plugs if kinds.get(one.part) == "connector" else [])
        result[one.part] = first[0].tap if len(first) == 1 else ""
    return result


ROUTES = (
    Route("/vehicle/{vehicle}/circuit", circuits),
    Route("/vehicle/{vehicle}/circuit/{function:path}", circuit),
)
