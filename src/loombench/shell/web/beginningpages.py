"""Beginning a vehicle without a file."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import cast

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from loombench.app.desk.beginning import Begun
from loombench.app.starting import KINDS, LOOKS, SYSTEMS, VOLTS
from loombench.shell.web.pages import language_of, pool_of, render
from loombench.shell.web.receiving import fields_of

CHOICES: Mapping[str, object] = MappingProxyType({"kinds": KINDS, "volts": VOLTS, "looks": LOOKS, "systems": SYSTEMS})


async def new(request: Request) -> Response:
    """The short form."""
    return render(request, "new.html", CHOICES)


async def begin(request: Request) -> Response:
    """Make the vehicle and go to its notation; where that cannot be, say why."""
    said = await fields_of(request)
    answer = await pool_of(request).ask(
        "vehicle.begin", language_of(request), kind=said.get("kind", ""), name=said.get("name", ""),
        volts=said.get("volts", ""), form=said.get("form", ""), colours=said.get("colours", ""),
    )  # fmt: skip
    begun = cast(Begun, answer)
    if begun.vehicle:
        return Response(status_code=204, headers={"HX-Redirect": f"/vehicle/{begun.vehicle}/notation"})
    return render(request, "said.html", {"problems_said": begun.problems})


ROUTES = (Route("/new", new), Route("/vehicles", begin, methods=["POST"]))
