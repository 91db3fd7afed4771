"""Pairing a tablet of the workshop's network with a code, and the list of what is paired on the laptop."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from io import BytesIO
from math import ceil

import segno
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from loombench.app.desk.devices import Devices
from loombench.app.desk.pairing import Answer, Offered, Pairing
from loombench.app.desk.saying import told
from loombench.base.problems import Problem
from loombench.base.wording import catalogue
from loombench.shell.web.guarding import DEVICE_COOKIE, PAIRING
from loombench.shell.web.pages import drawing, hub_of, language_of, render, say_in, settings_of
from loombench.shell.web.receiving import fields_of

TOPIC = "devices"
KEPT_S = 180 * 24 * 3600
STATUS: Mapping[Answer, int] = {Answer.WRONG: 403, Answer.WAIT: 429, Answer.CLOSED: 403}


async def pair(request: Request) -> Response:
    """Where a tablet gives the code that the laptop shows."""
    return render(request, "pair.html", {"paired": request.state.device is not None})


async def try_code(request: Request) -> Response:
    """One try at the code; where it is right, the cookie of a paired device."""
    fields = await fields_of(request)
    # What a client says of its address is not asked: it could say another each time.
    client = request.client.host if request.client is not None else ""
    say = say_in(language_of(request))
    tried = _pairing(request).tried(client, fields.get("code", "")[:80])
    if tried.answer is not Answer.PAIRED:
        hub_of(request).send(TOPIC, "changed")
        said = say(f"pair.{tried.answer.value}", seconds=ceil(tried.wait_s))
        return JSONResponse({"said": said, "wait_s": ceil(tried.wait_s)}, STATUS[tried.answer])
    since = datetime.now().astimezone().isoformat(timespec="minutes")
    made = await run_in_threadpool(_devices(request).add, fields.get("name", ""), since)
    hub_of(request).send(TOPIC, "changed")
    if made.value is None:
        words = catalogue(language_of(request))
        problem = told(made.problems, words)[0]
        return JSONResponse({"said": f"{problem.title}. {problem.seen} {problem.fix}", "wait_s": 0}, 507)
    answer = JSONResponse({"said": say("pair.paired"), "wait_s": 0})
    answer.set_cookie(DEVICE_COOKIE, made.value, max_age=KEPT_S, path="/", httponly=True, samesite="strict")
    return answer


async def devices(request: Request) -> Response:
    """What is paired, and the code that pairs one more; on this machine alone."""
    _only_here(request)
    return _shown(request)


async def new_code(request: Request) -> Response:
    """A person wants to pair a device."""
    _only_here(request)
    if settings_of(request).lan:
        _pairing(request).begin()
    return _shown(request)


async def revoke(request: Request) -> Response:
    """One device is to see nothing any more."""
    _only_here(request)
    fields = await fields_of(request)
    wrong = await run_in_threadpool(_devices(request).revoke, fields.get("id", ""))
    return _shown(request, wrong)


async def changes(request: Request) -> Response:
    """Says when a device was paired, so that the list follows."""
    _only_here(request)
    return hub_of(request).stream(TOPIC)


def _only_here(request: Request) -> None:
    if not request.state.local:
        raise HTTPException(404)


def _shown(request: Request, wrong: Problem | None = None) -> Response:
    known, settings, offered = _devices(request), settings_of(request), _pairing(request).offered()
    problems = (*known.problems, *((wrong,) if wrong else ()))
    facts = {
        "listed": known.all(),
        "problems_told": told(problems, catalogue(language_of(request))),
        "address": settings.address(local=False) if settings.lan else "",
        "offered": offered,
        "code": f"{offered.code[:4]} {offered.code[4:]}" if offered else "",
        "until": _until(offered) if offered else "",
        "square": drawing(square(f"{settings.address(local=False)}{PAIRING[1:]}#{offered.code}")) if offered else "",
    }
    return render(request, "devices.html", facts)


def _until(offered: Offered) -> str:
    return (datetime.now() + timedelta(seconds=offered.left_s)).strftime("%H:%M:%S")


def square(address: str) -> str:
    """An address as a QR code. The code stands behind the #, which a browser sends to nobody."""
    out = BytesIO()
    segno.make(address, error="m", micro=False).save(
        out, kind="svg", border=4, xmldecl=False, svgns=False, omitsize=True, svgclass="square", lineclass=None
    )
    return out.getvalue().decode("ascii")


def _pairing(request: Request) -> Pairing:
    found: Pairing = request.app.state.pairing
    return found


def _devices(request: Request) -> Devices:
    found: Devices = request.app.state.devices
    return found


ROUTES = (
    Route(PAIRING, pair, methods=["GET"]),
    Route(PAIRING, try_code, methods=["POST"]),
    Route("/devices", devices, methods=["GET"]),
    Route("/devices/code", new_code, methods=["POST"]),
    Route("/devices/revoke", revoke, methods=["POST"]),
    Route("/devices/changes", changes, methods=["GET"]),
)
