"""The application: its pages, the guard before them, the workers behind them."""

import asyncio
import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from pathlib import Path

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, Response
from starlette.routing import Route

from loombench.app.desk.devices import Devices
from loombench.app.desk.pairing import Pairing
from loombench.app.fontfiles import MEDIA_TYPE, font_bytes, font_style
from loombench.shell.web import (
    beginningpages,
    circuitpages,
    devicepages,
    findingpages,
    firstpages,
    importpages,
    lookuppages,
    notationpages,
    practicepages,
    recordpages,
    sheetpages,
)
from loombench.shell.web.guarding import Guard
from loombench.shell.web.hub import Hub
from loombench.shell.web.pages import STATIC, render
from loombench.shell.web.pool import Pool, SupersededError, WorkerError
from loombench.shell.web.settings import Settings
from loombench.shell.web.workings import Workings

KEPT, KEPT_A_DAY = "public, max-age=31536000, immutable", "public, max-age=86400"


def application(settings: Settings, key: bytes, coded: Callable[[str], None] | None = None) -> Guard:
    """The application of some settings; `key` makes the sessions' tokens. `coded` is told each code that pairs."""

    @asynccontextmanager
    async def life(app: Starlette) -> AsyncIterator[None]:
        app.state.pool = Pool(settings.place, settings.quick, settings.deep)
        app.state.pool.warm()
        app.state.workings = Workings(app.state.pool, app.state.hub)
        yield
        app.state.hub.end()
        app.state.pool.end()

    app = Starlette(
        routes=[
            Route("/static/{name:path}", static_file),
            Route("/fonts/{name}", font_file),
            *devicepages.ROUTES,
            *firstpages.ROUTES,
            *beginningpages.ROUTES,
            *circuitpages.ROUTES,
            *notationpages.ROUTES,
            *lookuppages.ROUTES,
            *importpages.ROUTES,
            *findingpages.ROUTES,
            *recordpages.ROUTES,
            *sheetpages.ROUTES,
            *practicepages.ROUTES,
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
    app.state.hub = Hub()
    app.state.photographing = asyncio.Semaphore(1)
    app.state.devices = Devices(settings.store.parent)
    app.state.pairing = Pairing(time.monotonic, changed=coded)
    return Guard(app, settings, key, app.state.devices)


def begin_pairing(guard: Guard) -> None:
    """Offer a code, if there is a network to pair somebody of."""
    if guard.settings.lan:
        pairing: Pairing = guard.app.state.pairing
        pairing.begin()


def end_streams(guard: Guard) -> None:
    """End what goes on as long as a page is open."""
    hub: Hub = guard.app.state.hub
    hub.end()


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


async def _mistake(request: Request, _wrong: Exception) -> Response:
    """A mistake of the program: the page says that nothing is lost. What it was is said on standard error, by the
    worker that made it or by the guard."""
    return render(request, "wrong.html", {"status": 500}, 500)
