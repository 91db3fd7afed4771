"""Pages from templates: every text from outside is escaped, every sentence comes from the catalogue."""

import hashlib
from collections.abc import Callable, Mapping
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse

from loombench.base.wording import catalogue
from loombench.shell.web.pool import Pool
from loombench.shell.web.settings import Settings

if TYPE_CHECKING:
    from loombench.shell.web.hub import Hub
    from loombench.shell.web.workings import Workings

LANGUAGES = ("en", "de")
THEMES = ("auto", "light", "dark", "sun")
STATIC = Path(__file__).parent / "static"
PAGE, LONGEST_PAGE = "X-Loombench-Page", 64


@lru_cache
def templates() -> Environment:
    """The environment of all templates: what is not given is a mistake and not an empty text."""
    return Environment(
        loader=PackageLoader("loombench.shell.web"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=False,
    )


@lru_cache
def static(name: str) -> str:
    """The address of a static file, with its content's hash so that it can be kept for ever."""
    digest = hashlib.sha256((STATIC / name).read_bytes()).hexdigest()[:12]
    return f"/static/{name}?{digest}"


def language_of(request: Request) -> str:
    """The language of a page: as chosen, else the first the browser asks for that there is, else English."""
    chosen = request.cookies.get("language", "")
    if chosen in LANGUAGES:
        return chosen
    wanted = (
        piece.split(";")[0].strip()[:2].lower() for piece in request.headers.get("accept-language", "").split(",")
    )
    return next((one for one in wanted if one in LANGUAGES), LANGUAGES[0])


def say_in(language: str) -> Callable[..., str]:
    """The sentences of the pages (`web.*`) in a language."""
    words = catalogue(language)

    def say(key: str, **facts: object) -> str:
        return words.say(f"web.{key}", **facts)

    return say


def render(request: Request, template: str, facts: Mapping[str, object], status: int = 200) -> HTMLResponse:
    """A page or a piece of one."""
    language = language_of(request)
    theme = request.cookies.get("theme", THEMES[0])
    text = templates().get_template(template).render(
        say=say_in(language),
        language=language,
        theme=theme if theme in THEMES else THEMES[0],
        nonce=request.state.nonce,
        token=request.state.token,
        static=static,
        path=request.url.path,
        **facts,
    )  # fmt: skip
    return HTMLResponse(text, status)


def drawing(svg: str) -> Markup:
    """An SVG that our own writer made: it has escaped whatever came from outside."""
    return Markup(svg)


def page_of(request: Request, what: str = "") -> str:
    """Which open page asks, and about what, so that its newest question wins; empty where it does not say: htmx and our
    own scripts do."""
    page = request.headers.get(PAGE, "")[:LONGEST_PAGE]
    return f"{request.state.session} {page} {what}" if page else ""


def pool_of(request: Request) -> Pool:
    """The server's workers."""
    pool: Pool = request.app.state.pool
    return pool


def settings_of(request: Request) -> Settings:
    """What the server was told."""
    settings: Settings = request.app.state.settings
    return settings


def hub_of(request: Request) -> "Hub":
    """Who listens."""
    hub: Hub = request.app.state.hub
    return hub


def workings_of(request: Request) -> "Workings":
    """What is being worked out for jobs."""
    workings: Workings = request.app.state.workings
    return workings
