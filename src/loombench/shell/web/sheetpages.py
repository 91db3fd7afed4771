"""The sheets of a vehicle: pin-outs with faces, the plan of places, who is fed and returns through what. To print."""

from typing import cast

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from loombench.app.desk.sheets import KINDS, SIDES, PlugSheet, SheetList, Sheets
from loombench.shell.web.circuitaddress import read_live
from loombench.shell.web.pages import drawing, language_of, pool_of, render

MOST_LETTERS = 200


async def sheet_list(request: Request) -> Response:
    """The plugs, and what else is drawn."""
    vehicle = request.path_params["vehicle"]
    found = cast(SheetList, await pool_of(request).ask("sheets.list", language_of(request), vehicle=vehicle))
    return render(request, "sheetlist.html", {"listed": found, "kinds": tuple(KINDS)}, 200 if found.name else 404)


async def plug_sheet(request: Request) -> Response:
    """The face and the table of one plug, seen from one side."""
    vehicle, name = request.path_params["vehicle"], request.path_params["plug"][:MOST_LETTERS]
    side = request.query_params.get("from", "")
    answer = await pool_of(request).ask(
        "sheets.plug", language_of(request), vehicle=vehicle, name=name, side=side if side in SIDES else SIDES[0]
    )
    found = cast(PlugSheet, answer)
    facts = {"sheet": found, "sides": SIDES, "drawing": drawing, "here": name}
    return render(request, "plugsheet.html", facts, 200 if found.face else 404)


async def sheets(request: Request) -> Response:
    """The pages of one kind, in the state that the address spells."""
    vehicle, kind = request.path_params["vehicle"], request.path_params["kind"]
    if kind not in KINDS:
        raise HTTPException(404)
    operations = read_live(request.query_params).operations
    answer = await pool_of(request).ask(
        "sheets.pages", language_of(request), vehicle=vehicle, kind=kind, operations=operations
    )
    found = cast(Sheets, answer)
    return render(request, "sheets.html", {"sheets": found, "drawing": drawing}, 200 if found.name else 404)


ROUTES = (
    Route("/vehicle/{vehicle}/sheets", sheet_list),
    Route("/vehicle/{vehicle}/sheets/plug/{plug:path}", plug_sheet),
    Route("/vehicle/{vehicle}/sheets/{kind}", sheets),
)
