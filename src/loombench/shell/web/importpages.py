"""The import view: files looked at, columns and options said, answers given, and a vehicle written."""

import json
import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import cast

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from loombench.app.desk.importing import Given, ImportSeen, Written
from loombench.app.importlists import MEANINGS, Said, is_wires
from loombench.app.starting import SYSTEMS
from loombench.shell.web.pages import language_of, page_of, pool_of, render
from loombench.shell.web.uploads import Upload, upload_of

MOST_BYTES, MOST_FILES = 64 * 1024 * 1024, 24
UNITS: Mapping[str, tuple[str, ...]] = MappingProxyType({
    "size_unit": ("mm2", "awg"), "length_unit": ("mm", "cm", "m", "in", "ft"), "decimal": (",", "."),
    "dates": ("day-month", "month-day"), "unmarked": ("never", "always"),
})  # fmt: skip
_COLUMN = re.compile(r"column-(\d{1,3})-(\d{1,3})")


async def page(request: Request) -> Response:
    """Where files are chosen."""
    return render(request, "import.html", {"megabytes": MOST_BYTES // (1024 * 1024), "most": MOST_FILES})


async def seen(request: Request) -> Response:
    """What the files hold and lack."""
    upload = await upload_of(request, MOST_BYTES, MOST_FILES)
    if not upload.files:
        return render(request, "import-none.html", {})
    answer = await pool_of(request).ask(
        "import.seen", language_of(request), page=page_of(request, "import"), given=_given(upload)
    )
    name = upload.text("name") or next(iter(upload.files)).rpartition(".")[0]
    facts = {
        "seen": cast(ImportSeen, answer), "meanings": MEANINGS, "units": UNITS, "systems": SYSTEMS,
        "is_wires": is_wires, "said": upload, "name": name,
    }  # fmt: skip
    return render(request, "import-seen.html", facts)


async def write(request: Request) -> Response:
    """Write the vehicle and go to its circuits; where that cannot be, say why."""
    upload = await upload_of(request, MOST_BYTES, MOST_FILES)
    answer = await pool_of(request).ask("import.written", language_of(request), given=_given(upload))
    written = cast(Written, answer)
    if written.vehicle:
        return Response(status_code=204, headers={"HX-Redirect": f"/vehicle/{written.vehicle}/circuit"})
    return render(request, "said.html", {"problems_said": written.problems})


def _given(upload: Upload) -> Given:
    chosen = {name: upload.text(name) for name, values in UNITS.items() if upload.text(name) in values}
    colours = upload.text("colours")
    return Given(
        upload.files, _said(upload), chosen, colours if colours in SYSTEMS else "", _codes(upload),
        _answers(upload), upload.text("accept") == "yes", upload.text("name").strip()[:80],
    )  # fmt: skip


def _codes(upload: Upload) -> tuple[str, ...] | None:
    """The options chosen, once they were shown and somebody has said so."""
    return upload.fields.get("option", ()) if upload.text("options-said") == "yes" else None


def _said(upload: Upload) -> Mapping[tuple[str, str], Said]:
    """What was said of each list: `list-K` is its file and sheet, `column-K-N` a meaning, `header-K` a line."""
    columns: dict[str, dict[int, str]] = {}
    for name, values in upload.fields.items():
        found = _COLUMN.fullmatch(name)
        if found and values[-1] in MEANINGS:
            columns.setdefault(found[1], {})[int(found[2])] = values[-1]
    said = {}
    for name in upload.fields:
        number = name.removeprefix("list-")
        key = _pair(upload.text(name)) if number != name else None
        if key is not None:
            line = upload.text(f"header-{number}")
            header = int(line) if re.fullmatch(r"-1|\d{1,6}", line) else 0
            said[key] = Said(columns.get(number, {}), header)
    return said


def _answers(upload: Upload) -> Mapping[tuple[str, str], tuple[str, str]]:
    """The answers: `lack-K` is the row's key, `answer-K` and `pins-K` what was typed."""
    given = {}
    for name in upload.fields:
        number = name.removeprefix("lack-")
        key = _pair(upload.text(name)) if number != name else None
        text = upload.text(f"answer-{number}").strip()
        if key is not None and text:
            given[key] = text[:2000], upload.text(f"pins-{number}").strip()[:2000]
    return given


def _pair(text: str) -> tuple[str, str] | None:
    """Two texts as the page keeps them."""
    try:
        read = json.loads(text)
    except (ValueError, RecursionError):
        return None
    if isinstance(read, list) and len(read) == 2 and all(isinstance(one, str) for one in read):
        return read[0], read[1]
    return None


ROUTES = (
    Route("/import", page),
    Route("/import/seen", seen, methods=["POST"]),
    Route("/import/write", write, methods=["POST"]),
)
