"""Files that a page sends: counted while they come in, refused where they are too large or too many."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import PureWindowsPath

from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException
from starlette.formparsers import MultiPartException
from starlette.requests import Request
from starlette.types import Message

MOST_FIELDS = 20_000
LONGEST_NAME, LONGEST_FIELD = 100, 64 * 1024


@dataclass(frozen=True)
class Upload:
    """A form with files: fields with all their values, and the files by their names, each name once."""

    fields: Mapping[str, tuple[str, ...]]
    files: Mapping[str, bytes]

    def text(self, name: str) -> str:
        """The last value of a field, empty where there is none."""
        return (self.fields.get(name) or ("",))[-1]


async def upload_of(request: Request, most_bytes: int, most_files: int) -> Upload:
    """The form of a request; what is empty or has no name is left out.

    Raises:
        HTTPException: 413, it has more than `most_bytes`; 400, it is no such form, or has too many parts.
    """
    size = 0

    async def counted() -> Message:
        nonlocal size
        message = await request.receive()
        size += len(message.get("body", b""))
        if size > most_bytes:
            raise HTTPException(413)
        return message

    if int(request.headers.get("content-length", "0") or 0) > most_bytes:
        raise HTTPException(413)
    if not request.headers.get("content-type", "").startswith("multipart/form-data"):
        raise HTTPException(400)
    inner = Request(request.scope, counted)
    fields: dict[str, tuple[str, ...]] = {}
    files: dict[str, bytes] = {}
    try:
        async with inner.form(max_files=most_files, max_fields=MOST_FIELDS, max_part_size=LONGEST_FIELD) as form:
            for name, value in form.multi_items():
                if isinstance(value, UploadFile):
                    data = await value.read()
                    if data:
                        files[_free(_plain(value.filename or ""), files)] = data
                else:
                    fields[name] = (*fields.get(name, ()), value)
    except MultiPartException:
        raise HTTPException(400) from None
    return Upload(fields, files)


def _plain(name: str) -> str:
    """A name without any path; it is shown and names looms, and never opens a file."""
    shown = "".join(letter for letter in PureWindowsPath(name).name if letter.isprintable())
    return shown[-LONGEST_NAME:].strip() or "file"


def _free(name: str, taken: Mapping[str, bytes]) -> str:
    stem, dot, ending = name.rpartition(".")
    base, end = (stem, dot + ending) if stem else (name, "")
    count, free = 1, name
    while free in taken:
        count += 1
        free = f"{base}-{count}{end}"
    return free
