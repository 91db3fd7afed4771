"""The finding view: a complaint by picking, and the page of a job with the step on show."""

from collections.abc import Mapping
from typing import cast

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from loombench.app.desk.entering import Entered
from loombench.app.desk.finding import Begun, JobHead, StepDrawn
from loombench.app.desk.picking import Picking
from loombench.shell.web.pages import drawing, hub_of, language_of, pool_of, render, workings_of
from loombench.shell.web.pool import DEEP, SupersededError
from loombench.shell.web.receiving import fields_of, json_of
from loombench.shell.web.workings import Working, topic

LONGEST_LINE = 2000


async def find(request: Request) -> Response:
    """What is wrong with a vehicle: typed, or picked from its loads."""
    vehicle = request.path_params["vehicle"]
    found = cast(Picking, await pool_of(request).ask("finding.picking", language_of(request), vehicle=vehicle))
    return render(request, "find.html", {"picking": found}, 200 if found.name else 404)


async def begin(request: Request) -> Response:
    """A job begun: it is on the disk before this answers."""
    as_json = request.headers.get("content-type", "").startswith("application/json")
    given: Mapping[str, object] = await json_of(request) if as_json else await fields_of(request)
    vehicle, complaint = (str(given.get(name, ""))[:LONGEST_LINE] for name in ("vehicle", "complaint"))
    asked = pool_of(request).ask("finding.begin", language_of(request), vehicle=vehicle, complaint=complaint)
    begun = cast(Begun, await asked)
    if not begun.case:
        if as_json:
            return JSONResponse({"problems": [plainly(one) for one in begun.problems]}, 422)
        return render(request, "refused.html", {"problems_told": begun.problems})
    url = f"/job/{begun.case}"
    return JSONResponse({"case": begun.case, "url": url}, 201, headers={"Location": url, "HX-Redirect": url})


async def job(request: Request) -> Response:
    """The page of a job; where it stands comes into it as soon as it is known."""
    head = await head_of(request)
    return render(request, "job.html", {"head": head}, 200 if head.number else 404)


async def now(request: Request) -> Response:
    """Where a job stands, or how far it is worked out."""
    head = await head_of(request)
    if not head.number:
        raise HTTPException(404)
    workings, about = workings_of(request), (head.case, language_of(request), head.number)
    found = await workings.now(*about, "again" in request.query_params)
    first = await workings.first(*about) if isinstance(found, Working) else None
    if isinstance(found, Working):
        # While a worker was asked for the first look, the step itself may have come: nobody is told of it again.
        found = workings.there(*about) or found
    if isinstance(found, Working):
        facts = {"head": head, "working": found, "seconds": round(workings.seconds(found))}
        return render(request, "job-working.html", {**facts, "first": first})
    if isinstance(found, Begun):
        return render(request, "refused.html", {"problems_told": found.problems})
    return render(request, "job-now.html", {"head": head, "now": found})


async def step(request: Request) -> Response:
    """The step on show, drawn."""
    case = request.path_params["case"]
    asked = pool_of(request).ask(
        "finding.drawn", language_of(request), lane=DEEP, subject=case, shared=f"drawn:{case}:{language_of(request)}",
        case=case,
    )  # fmt: skip
    try:
        found = cast(StepDrawn, await asked)
    except SupersededError:
        # An entry had to be kept first, of this job or of another; the pages ask again.
        hub_of(request).send(topic(case), "changed")
        raise
    faces, pages = ([(alt, drawing(svg)) for alt, svg in some] for some in (found.faces, found.pages))
    return render(request, "job-drawn.html", {"drawn": found, "faces": faces, "pages": pages})


async def why(request: Request) -> Response:
    """What spoke for and against a suspect."""
    case, named = request.path_params["case"], request.query_params.get("suspect", "")[:200]
    asked = pool_of(request).ask(
        "finding.reasons", language_of(request), lane=DEEP, subject=case, case=case, suspect=named
    )
    return render(request, "job-why.html", {"lines": cast(tuple[str, ...], await asked)})


async def enter(request: Request) -> Response:
    """One entry. It is on the disk before this answers; sent again it is kept no second time."""
    case, given = request.path_params["case"], await json_of(request)
    entry, line, step, state = (_text(given, name) for name in ("entry", "line", "step", "state"))
    number, setup = given.get("number", 0), given.get("setup")
    if not isinstance(number, int) or not isinstance(setup, Mapping | None) or not line:
        raise HTTPException(400)
    try:
        asked = pool_of(request).ask(
            "finding.enter", language_of(request), lane=DEEP, subject=case, hurries=True, case=case, entry=entry,
            line=line, step=step, setup=setup, state=state, number=number,
        )  # fmt: skip
        done = cast(Entered, await asked)
    finally:
        # What was worked out for the pages of this job may have been left for this entry.
        hub_of(request).send(topic(case), "changed")
    problems = [plainly(one) for one in done.problems]
    return JSONResponse({"kept": done.kept, "said": list(done.said), "number": done.number, "problems": problems})


async def stop(request: Request) -> Response:
    """Leave what is being worked out."""
    workings_of(request).stop(request.path_params["case"])
    return Response(status_code=204)


async def events(request: Request) -> Response:
    """What changes in a job."""
    return hub_of(request).stream(topic(request.path_params["case"]))


async def head_of(request: Request) -> JobHead:
    """What stands over a job's pages."""
    case = request.path_params["case"]
    return cast(JobHead, await pool_of(request).ask("finding.head", language_of(request), case=case))


def _text(given: Mapping[str, object], name: str) -> str:
    found = given.get(name, "")
    if not isinstance(found, str) or len(found) > LONGEST_LINE:
        raise HTTPException(400)
    return found


def plainly(one: object) -> dict[str, str]:
    """A problem as the page's script shows it."""
    return {name: str(getattr(one, name)) for name in ("title", "seen", "expected", "fix")}


ROUTES = (
    Route("/vehicle/{vehicle}/find", find),
    Route("/jobs", begin, methods=["POST"]),
    Route("/job/{case}", job),
    Route("/job/{case}/now", now),
    Route("/job/{case}/step", step),
    Route("/job/{case}/why", why),
    Route("/job/{case}/events", events),
    Route("/job/{case}/entries", enter, methods=["POST"]),
    Route("/job/{case}/stop", stop, methods=["POST"]),
)
