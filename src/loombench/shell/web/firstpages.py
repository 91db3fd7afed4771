"""The first screen."""

from typing import cast

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from loombench.app.desk.first import FirstScreen
from loombench.shell.web.pages import language_of, pool_of, render


async def first(request: Request) -> Response:
    """Jobs where they were left, vehicles, one box for what is wrong."""
    found = cast(FirstScreen, await pool_of(request).ask("first.screen", language_of(request)))
    return render(request, "first.html", {"screen": found})


ROUTES = (Route("/", first),)
