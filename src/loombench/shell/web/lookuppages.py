"""The look-up view: one box, and which wire this is."""

from typing import cast

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from loombench.app.desk.lookup import LookedUp, LookUp, WhichSaid
from loombench.shell.web.pages import drawing, language_of, page_of, pool_of, render


async def page(request: Request) -> Response:
    """The box; what stands in the address is looked up at once."""
    vehicle = request.path_params["vehicle"]
    found = cast(LookUp, await pool_of(request).ask("look.page", language_of(request), vehicle=vehicle))
    facts = {"look": found, "text": request.query_params.get("text", "")[:120]}
    return render(request, "lookup.html", facts, 200 if found.name else 404)


async def up(request: Request) -> Response:
    """What a text means."""
    vehicle = request.path_params["vehicle"]
    answer = await pool_of(request).ask(
        "look.up", language_of(request), page=page_of(request, "look"), vehicle=vehicle,
        text=request.query_params.get("text", ""),
    )  # fmt: skip
    facts = {"looked": cast(LookedUp, answer), "vehicle": vehicle, "drawing": drawing}
    return render(request, "looked-up.html", facts)


async def which(request: Request) -> Response:
    """Which wire of a colour it is at a place."""
    vehicle = request.path_params["vehicle"]
    answer = await pool_of(request).ask(
        "look.which", language_of(request), page=page_of(request, "which"), vehicle=vehicle,
        where=request.query_params.get("where", "").strip(), colour=request.query_params.get("colour", "").strip(),
    )  # fmt: skip
    return render(request, "look-which.html", {"which": cast(WhichSaid, answer)})


ROUTES = (
    Route("/vehicle/{vehicle}/look-up", page),
    Route("/vehicle/{vehicle}/look-up/found", up),
    Route("/vehicle/{vehicle}/look-up/which", which),
)
