"""The notation view: the page, its files, a draft checked and drawn, and saving."""

from collections.abc import Mapping
from dataclasses import asdict
from typing import cast

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from loombench.app.desk.notation import Checked, DraftDrawn, Kept, Notation
from loombench.shell.web.pages import drawing, language_of, pool_of, render
from loombench.shell.web.receiving import json_of

MOST_BYTES = 16 * 1024 * 1024
"""Of drafts in one request; a file of the notation may have ten million bytes."""


async def notation(request: Request) -> Response:
    """The page; what it edits it asks for by itself."""
    found = await _files(request)
    return render(request, "notation.html", {"notation": found}, 200 if found.files else 404)


async def files(request: Request) -> Response:
    """The files as they are on disk."""
    found = await _files(request)
    return JSONResponse(asdict(found), 200 if found.files else 404)


async def _files(request: Request) -> Notation:
    vehicle = request.path_params["vehicle"]
    return cast(Notation, await pool_of(request).ask("notation.files", language_of(request), vehicle=vehicle))


async def checked(request: Request) -> Response:
    """What is wrong with the drafts, and the functions of the line the cursor is on."""
    said = await json_of(request, MOST_BYTES)
    line = said.get("line")
    answer = await pool_of(request).ask(
        "notation.checked", language_of(request), page=_page(request, said, "check"),
        vehicle=request.path_params["vehicle"], drafts=_drafts(said), file=_text(said, "file"),
        line=line if isinstance(line, int) else 1,
    )  # fmt: skip
    return JSONResponse(asdict(cast(Checked, answer)))


async def drawn(request: Request) -> Response:
    """One function of the drafts as a piece of the page."""
    said = await json_of(request, MOST_BYTES)
    answer = await pool_of(request).ask(
        "notation.drawn", language_of(request), page=_page(request, said, "draw"),
        vehicle=request.path_params["vehicle"], drafts=_drafts(said), function=_text(said, "function"),
    )  # fmt: skip
    found = cast(DraftDrawn, answer)
    return render(request, "notation-drawn.html", {"drawn": found, "svgs": [drawing(one) for one in found.pages]})


async def saved(request: Request) -> Response:
    """Put one draft on disk; `theirs` and nothing written where the file is another than was shown."""
    said = await json_of(request, MOST_BYTES)
    answer = await pool_of(request).ask(
        "notation.saved", language_of(request), vehicle=request.path_params["vehicle"],
        file=_text(said, "file"), text=_text(said, "text"), seen=_text(said, "seen"),
    )  # fmt: skip
    return JSONResponse(asdict(cast(Kept, answer)))


def _text(said: Mapping[str, object], name: str) -> str:
    value = said.get(name, "")
    if not isinstance(value, str):
        raise HTTPException(400)
    return value


def _drafts(said: Mapping[str, object]) -> Mapping[str, str]:
    drafts = said.get("drafts", {})
    if not isinstance(drafts, dict) or not all(isinstance(text, str) for text in drafts.values()):
        raise HTTPException(400)
    return drafts


def _page(request: Request, said: Mapping[str, object], what: str) -> str:
    return f"notation:{what}:{request.state.session}:{_text(said, 'page')[:40]}"


ROUTES = (
    Route("/vehicle/{vehicle}/notation", notation),
    Route("/vehicle/{vehicle}/notation/files", files),
    Route("/vehicle/{vehicle}/notation/check", checked, methods=["POST"]),
    Route("/vehicle/{vehicle}/notation/draw", drawn, methods=["POST"]),
    Route("/vehicle/{vehicle}/notation/save", saved, methods=["POST"]),
)
