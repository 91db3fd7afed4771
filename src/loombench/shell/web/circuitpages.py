"""The circuit view."""

from typing import cast

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from loombench.app.desk.circuit import CircuitList, Drawn
from loombench.shell.web.pages import drawing, language_of, pool_of, render


async def circuits(request: Request) -> Response:
    """The functions of a vehicle."""
    vehicle = request.path_params["vehicle"]
    found = cast(CircuitList, await pool_of(request).ask("circuit.list", language_of(request), vehicle=vehicle))
    return render(request, "circuits.html", {"listed": found}, 200 if found.name else 404)


async def circuit(request: Request) -> Response:
    """One function, at rest."""
    vehicle, function = request.path_params["vehicle"], request.path_params["function"]
    answer = await pool_of(request).ask("circuit.drawn", language_of(request), vehicle=vehicle, function=function)
    found = cast(Drawn, answer)
    facts = {"drawn": found, "svgs": [drawing(one) for one in found.pages]}
    return render(request, "circuit.html", facts, 200 if found.pages else 404)


ROUTES = (
    Route("/vehicle/{vehicle}/circuit", circuits),
    Route("/vehicle/{vehicle}/circuit/{function:path}", circuit),
)
