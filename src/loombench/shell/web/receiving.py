"""What a page sends, read within limits: what is larger is refused before it is kept anywhere."""

import json
from collections.abc import Mapping
from urllib.parse import parse_qsl

from starlette.exceptions import HTTPException
from starlette.requests import Request

MOST_BYTES = 64 * 1024
MOST_FIELDS = 200


async def body_of(request: Request, most: int = MOST_BYTES) -> bytes:
    """The body of a request.

    Raises:
        HTTPException: 413, it has more than `most` bytes; nothing after them was read.
    """
    kept, size = [], 0
    async for piece in request.stream():
        size += len(piece)
        if size > most:
            raise HTTPException(413)
        kept.append(piece)
    return b"".join(kept)


async def fields_of(request: Request, most: int = MOST_BYTES) -> Mapping[str, str]:
    """The fields of a form as htmx sends it; of several of one name the last.

    Raises:
        HTTPException: 413, it is too large; 400, it is no form.
    """
    data = await body_of(request, most)
    try:
        pairs = parse_qsl(data.decode("utf-8"), keep_blank_values=True, max_num_fields=MOST_FIELDS, errors="strict")
    except ValueError:
        raise HTTPException(400) from None
    return dict(pairs)


async def json_of(request: Request, most: int = MOST_BYTES) -> Mapping[str, object]:
    """The object that a page's own script sends.

    Raises:
        HTTPException: 413, it is too large; 400, it is no JSON object.
    """
    data = await body_of(request, most)
    try:
        read = json.loads(data)
    except (ValueError, RecursionError):
        raise HTTPException(400) from None
    if not isinstance(read, dict):
        raise HTTPException(400)
    return read
