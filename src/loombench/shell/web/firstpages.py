"""The first screen, its box, and how pages look and speak."""

from typing import cast

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from loombench.app.desk.box import BoxRead
from loombench.app.desk.first import FirstScreen
from loombench.shell.web.pages import LANGUAGES, THEMES, language_of, page_of, pool_of, render
from loombench.shell.web.receiving import fields_of

KEPT_S = 365 * 24 * 3600


async def first(request: Request) -> Response:
    """Jobs where they were left, vehicles, one box for what is wrong."""
    found = cast(FirstScreen, await pool_of(request).ask("first.screen", language_of(request)))
    facts = {
        "screen": found, "languages": LANGUAGES, "themes": THEMES, "chosen": request.cookies.get("theme", "auto"),
        "local": request.state.local,
    }  # fmt: skip
    return render(request, "first.html", facts)


async def meant(request: Request) -> Response:
    """What the text in the box means; `vehicle` where that is known."""
    asked = request.query_params
    answer = await pool_of(request).ask(
        "box.read", language_of(request), page=page_of(request, "box"),
        text=asked.get("text", ""), vehicle=asked.get("vehicle", ""),
    )  # fmt: skip
    read = cast(BoxRead, answer)
    return render(request, "meant.html", {"read": read, "text": asked.get("text", "").strip()})


async def states(request: Request) -> Response:
    """The states in which what is complained about should work."""
    asked = request.query_params
    answer = await pool_of(request).ask(
        "box.states", language_of(request), page=page_of(request, "box"),
        vehicle=asked.get("vehicle", ""), complaint=asked.get("complaint", ""),
    )  # fmt: skip
    return render(request, "meant-states.html", {"read": cast(BoxRead, answer)})


async def settings(request: Request) -> Response:
    """Keep the language or the theme that was chosen, in the browser."""
    said = await fields_of(request)
    allowed = {"language": LANGUAGES, "theme": THEMES}
    chosen = {name: value for name, value in said.items() if value in allowed.get(name, ())}
    if not chosen:
        raise HTTPException(400)
    answer = Response(status_code=204, headers={"HX-Refresh": "true"})
    for name, value in chosen.items():
        answer.set_cookie(name, value, max_age=KEPT_S, httponly=True, samesite="strict")
    return answer


ROUTES = (
    Route("/", first),
    Route("/meant", meant),
    Route("/meant/states", states),
    Route("/settings", settings, methods=["POST"]),
)
