"""The record of a job: timeline, work clock, photos, parts, what was agreed, signatures, and its papers."""

import asyncio
import re
from collections.abc import Coroutine, Mapping
from typing import Any, cast
from urllib.parse import quote

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route

from loombench.app.desk.cardviews import FILE, PAGE, PDF, FoundSoFar, Printed
from loombench.app.desk.entering import Entered
from loombench.app.desk.record import PHOTO_MEDIA, RecordShown
from loombench.app.papersheet import PAPER_STYLE
from loombench.shell.web.findingpages import head_of, plainly
from loombench.shell.web.pages import STATIC, drawing, hub_of, language_of, pool_of, render
from loombench.shell.web.photos import LARGEST_BYTES, UnfitPhotoError, harmless_photo
from loombench.shell.web.pool import ASIDE, DEEP
from loombench.shell.web.receiving import body_of, json_of
from loombench.shell.web.workings import topic

LINKED = ("/fonts/style.css", "/paper.css")
SOON_S = 1.0
"""A paper that takes longer is announced, and shown once it is there."""
_SHA256 = re.compile(r"[0-9a-f]{64}")
_ENTRY = re.compile(r"[0-9A-Za-z-]{1,80}")


async def record(request: Request) -> Response:
    """The page of a job's record."""
    head = await head_of(request)
    return render(request, "record.html", {"head": head}, 200 if head.number else 404)


async def shown(request: Request) -> Response:
    """What stands in it now."""
    head = await head_of(request)
    if not head.number:
        raise HTTPException(404)
    found = cast(RecordShown, await pool_of(request).ask("record.shown", language_of(request), case=head.case))
    signed = [(one, drawing(one.svg)) for one in found.signatures]
    return render(request, "record-now.html", {"head": head, "record": found, "signed": signed})


async def found(request: Request) -> Response:
    """What the search has come to."""
    case = request.path_params["case"]
    language = language_of(request)
    asked = pool_of(request).ask(
        "record.found", language, lane=DEEP, subject=case, shared=f"found:{case}:{language}", case=case
    )
    return render(request, "record-found.html", {"found": cast(FoundSoFar, await asked)})


async def add(request: Request) -> Response:
    """One entry of the record; on the disk before this answers, and kept once however often it is sent."""
    case, given = request.path_params["case"], await json_of(request)
    entry, kind, fields = given.get("entry"), given.get("kind"), given.get("fields", {})
    if not isinstance(entry, str) or not isinstance(kind, str) or not isinstance(fields, Mapping):
        raise HTTPException(400)
    texts = {str(name): str(value) for name, value in fields.items()}
    asked = pool_of(request).ask("record.add", language_of(request), case=case, entry=entry, kind=kind, fields=texts)
    return _entered(request, case, cast(Entered, await asked))


async def add_photo(request: Request) -> Response:
    """A photo, made harmless before it is kept."""
    case, entry = request.path_params["case"], request.query_params.get("entry", "")
    if not _ENTRY.fullmatch(entry):
        raise HTTPException(400)
    data = await body_of(request, LARGEST_BYTES)
    try:
        # Decoding is work in C that lets the event loop go on; one picture at a time, so that memory is bounded.
        async with request.app.state.photographing:
            made = await asyncio.to_thread(harmless_photo, data)
    except UnfitPhotoError:
        raise HTTPException(415) from None
    text, step = (request.query_params.get(name, "")[:2000] for name in ("text", "step"))
    asked = pool_of(request).ask(
        "record.photo", language_of(request), case=case, entry=entry, data=made, text=text, step=step
    )
    return _entered(request, case, cast(Entered, await asked))


def _entered(request: Request, case: str, done: Entered) -> Response:
    hub_of(request).send(topic(case), "changed")
    problems = [plainly(one) for one in done.problems]
    return JSONResponse({"kept": done.kept, "said": list(done.said), "number": done.number, "problems": problems})


async def photo(request: Request) -> Response:
    """A photo of a job."""
    case, sha256 = request.path_params["case"], request.path_params["sha256"]
    data = None
    if _SHA256.fullmatch(sha256):
        data = cast(bytes | None, await pool_of(request).ask("record.content", case=case, sha256=sha256))
    if data is None:
        raise HTTPException(404)
    return Response(data, media_type=PHOTO_MEDIA, headers={"Cache-Control": "private, max-age=31536000, immutable"})


async def paper(request: Request) -> Response:
    """The card or the customer's copy, to look at, as PDF, or the whole job as one file to take along."""
    case, name = request.path_params["case"], request.path_params["name"]
    customer = name.startswith("customer")
    forms = {"card": PAGE, "customer": PAGE, "card.pdf": PDF, "customer.pdf": PDF, "along.html": FILE}
    if name not in forms:
        raise HTTPException(404)
    form, language = forms[name], language_of(request)
    asked = pool_of(request).ask(
        "record.printed", language, lane=DEEP, subject=case, shared=f"printed:{case}:{language}:{name}", case=case,
        form=form, customer=customer, linked=LINKED if form == PAGE else (),
    )  # fmt: skip
    made = await (_within(asked) if form == PAGE else asked)
    if made is None:
        return render(request, "paper-working.html", {"title": case})
    assert isinstance(made, Printed)
    if made.data is None:
        back = f"/job/{quote(case)}/record"
        return render(request, "unprinted.html", {"problems_told": made.problems, "title": case, "back": back}, 404)
    if form == PAGE:
        return Response(made.data, media_type="text/html; charset=utf-8")
    suffix, media = ("pdf", "application/pdf") if form == PDF else ("html", "text/html; charset=utf-8")
    return _download(made.data, f"{_plain(case)}{'-customer' if customer else ''}.{suffix}", media)


async def _within(asked: Coroutine[Any, Any, object]) -> object | None:
    """The answer where it is there soon; None where it goes on being worked out, for the page to ask again."""
    task = asyncio.ensure_future(asked)
    # An answer that comes when nobody waits, as the tab was closed meanwhile, is found again by the worker, which keeps
    # what it took.
    task.add_done_callback(lambda one: one.cancelled() or one.exception())
    done, _ = await asyncio.wait({task}, timeout=SOON_S)
    return task.result() if done else None


async def inspection(request: Request) -> Response:
    """What must work in which state, to tick off, where nothing is complained about."""
    vehicle, what = request.path_params["vehicle"], request.query_params.get("what", "")[:200].strip()
    language = language_of(request)
    asked = pool_of(request).ask(
        "inspection", language, lane=ASIDE, shared=f"inspection:{vehicle}:{language}:{what}", vehicle=vehicle,
        what=what, linked=LINKED,
    )  # fmt: skip
    made = await _within(asked)
    if made is None:
        return render(request, "paper-working.html", {"title": what or vehicle})
    assert isinstance(made, Printed)
    if made.data is None:
        back = f"/vehicle/{quote(vehicle)}/find"
        return render(request, "unprinted.html", {"problems_told": made.problems, "title": vehicle, "back": back}, 404)
    return Response(made.data, media_type="text/html; charset=utf-8")


async def job_file(request: Request) -> Response:
    """The job as a file for another store."""
    case = request.path_params["case"]
    data = cast(bytes | None, await pool_of(request).ask("record.file", case=case))
    if data is None:
        raise HTTPException(404)
    return _download(data, f"{_plain(case)}.jsonl", "application/jsonl")


async def paper_style(_request: Request) -> Response:
    """The look of a printed page."""
    return Response(PAPER_STYLE, media_type="text/css", headers={"Cache-Control": "public, max-age=86400"})


def _download(data: bytes, name: str, media: str) -> Response:
    return Response(data, media_type=media, headers={"Content-Disposition": f'attachment; filename="{name}"'})


def _plain(case: str) -> str:
    return re.sub(r"[^0-9A-Za-z._-]", "-", case)[:80]


async def icon(_request: Request) -> Response:
    """What a browser asks for beside a page that names no picture of its own, as a printed one."""
    return FileResponse(STATIC / "icon.svg", headers={"Cache-Control": "public, max-age=86400"})


ROUTES = (
    Route("/paper.css", paper_style),
    Route("/favicon.ico", icon),
    Route("/vehicle/{vehicle}/inspection", inspection),
    Route("/job/{case}/record", record),
    Route("/job/{case}/record/now", shown),
    Route("/job/{case}/record/found", found),
    Route("/job/{case}/record/entries", add, methods=["POST"]),
    Route("/job/{case}/record/photos", add_photo, methods=["POST"]),
    Route("/job/{case}/photo/{sha256}", photo),
    Route("/job/{case}/file.jsonl", job_file),
    Route("/job/{case}/paper/{name}", paper),
)
