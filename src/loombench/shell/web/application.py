"""The application: its pages, the guard before them, the workers behind them."""

import sys
import traceback
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Route

from loombench.app.fontfiles import MEDIA_TYPE, font_bytes, font_style
from loombench.shell.web import beginningpages, circuitpages, firstpages
from loombench.shell.web.guarding import Guard
from loombench.shell.web.hub import Hub
from loombench.shell.web.pages import STATIC, render
from loombench.shell.web.pool import Pool, SupersededError, WorkerError
from loombench.shell.web.settings import Settings

KEPT, KEPT_A_DAY = "public, max-age=31536000, immutable", "public, max-age=86400"


def application(settings: Settings, key: bytes) -> Guard:
    """The application of some settings; `key` makes the sessions' tokens."""

    @asynccontextmanager
    async def life(app: Starlette) -> AsyncIterator[None]:
        app.state.pool = Pool(settings.place, settings.quick, settings.deep)
        app.state.hub = Hub()
        app.state.pool.warm()
        yield
        app.state.hub.end()
        app.state.pool.end()

    app = Starlette(
        routes=[
            Route("/static/{name:path}", static_file),
            Route("/fonts/{name}", font_file),
            *firstpages.ROUTES,
            *beginningpages.ROUTES,
            *circuitpages.ROUTES,
        ],
        exception_handlers={
            HTTPException: _no_page,
            SupersededError: _superseded,
            WorkerError: _mistake,
            Exception: _mistake,
        },
        lifespan=life,
    )
    app.state.settings = settings
    return Guard(app, settings.addresses, key)


async def static_file(request: Request) -> Response:
    """A file of the package; only names that are there, whatever is asked for."""
    name = request.path_params["name"]
    known = {path.relative_to(STATIC).as_posix(): path for path in STATIC.rglob("*") if path.is_file()}
    return _file(known.get(name), KEPT if request.url.query else KEPT_A_DAY)


async def font_file(request: Request) -> Response:
    """A file of the typeface, or the style rules that name them all."""
    name = request.path_params["name"]
    if name == "style.css":
        return Response(font_style("/fonts/"), media_type="text/css", headers={"Cache-Control": KEPT_A_DAY})
    data = font_bytes(name)
    if data is None:
        raise HTTPException(404)
    return Response(data, media_type=MEDIA_TYPE, headers={"Cache-Control": KEPT_A_DAY})


def _file(path: Path | None, kept: str) -> Response:
    if path is None:
        raise HTTPException(404)
    return FileResponse(path, headers={"Cache-Control": kept})


async def _no_page(request: Request, wrong: Exception) -> Response:
    status = wrong.status_code if isinstance(wrong, HTTPException) else 500
    return render(request, "wrong.html", {"status": status}, status)


async def _superseded(_request: Request, _wrong: Exception) -> Response:
    """Nothing to show: the page has asked something newer, and waits for that."""
    return Response(status_code=204)


async def _mistake(request: Request, wrong: Exception) -> Response:
    """A mistake of the program: the page says that nothing is lost, the log says what it was."""
    traceback.print_exception(wrong, file=sys.stderr)
    return render(request, "wrong.html", {"status": 500}, 500)
