"""The shapes of what goes over the wire: headers, the page's files, bodies, refusals."""

import asyncio
import json
from collections.abc import Awaitable, Callable, Collection
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address
from pathlib import Path
from typing import Any, Final

from aiohttp import web

_PAGE: Final = Path(__file__).parent / "page"
HEADERS: Final = {
    "Content-Security-Policy": "default-src 'self'; img-src 'self' data:; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
}
OF_A_REPORT: Final = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; frame-ancestors 'none'"
)
"""What a report may do: it is one file with its style and pictures inside, without any script."""
OLDEST: Final = timedelta(hours=24)
"""A call that waited in a phone for longer than this is taken as said this long ago."""
MARK: Final = "X-Deckcall"
"""A header that only the page's own script can set: other sites cannot make a phone call."""


@web.middleware
async def secure(
    request: web.Request, handler: Callable[[web.Request], Awaitable[web.StreamResponse]]
) -> web.StreamResponse:
    """Put the headers on every answer that keep a browser from doing more than it should."""
    try:
        response = await handler(request)
    except web.HTTPException as exc:
        exc.headers.update(HEADERS)
        raise
    if not response.prepared:
        for name, value in HEADERS.items():
            response.headers.setdefault(name, value)  # a report has a policy of its own
    return response


def page(name: str) -> Callable[[web.Request], Awaitable[web.Response]]:
    """Return what serves one file of the page."""
    kind = {"html": "text/html", "js": "text/javascript", "css": "text/css"}[name.split(".")[1]]
    text = (_PAGE / name).read_text(encoding="utf-8")

    async def give(_request: web.Request) -> web.Response:
        return web.Response(text=text, content_type=kind, charset="utf-8")

    return give


async def read_body(request: web.Request, most: int, within_s: float) -> bytes:
    """Read what was sent, of at most so many bytes and within a time; packed bodies are not unpacked."""
    if request.headers.get("Content-Encoding", "identity").casefold() != "identity":
        raise web.HTTPUnsupportedMediaType
    if (request.content_length or 0) > most:
        raise web.HTTPRequestEntityTooLarge(most, request.content_length or 0)
    data = bytearray()
    try:
        async with asyncio.timeout(within_s):
            async for part in request.content.iter_any():
                data += part
                if len(data) > most:
                    raise web.HTTPRequestEntityTooLarge(most, len(data))
    except TimeoutError:
        raise web.HTTPRequestTimeout from None
    except ConnectionError:  # the phone has gone
        raise web.HTTPBadRequest from None
    return bytes(data)


async def body_of(request: web.Request, most: int, within_s: float) -> dict[str, Any]:
    """Read the JSON object that the page sent; anything else is a bad request."""
    if request.headers.get(MARK) != "1":
        raise web.HTTPForbidden
    try:
        body = json.loads(await read_body(request, most, within_s))
    except (ValueError, RecursionError):
        raise web.HTTPBadRequest from None
    if not isinstance(body, dict):
        raise web.HTTPBadRequest
    return body


def is_own_name(host: str, names: Collection[str]) -> bool:
    """Return whether a Host header names this computer: by number, or by a name that it knows.

    A page of another site can be made to look as if it came from here, but only under that site's name.
    """
    name = host.rpartition(":")[0] if host.rpartition(":")[2].isdecimal() else host
    name = name.casefold().rstrip(".")
    if name == "localhost" or name in {one.casefold() for one in names}:
        return True
    try:
        ip_address(name.removeprefix("[").removesuffix("]"))
    except ValueError:
        return False
    return True


def whole_letters(text: str) -> str:
    """Return a text with a question mark for each half of a letter: nothing could store it."""
    return text.encode("utf-8", "replace").decode()


def refusal(text: str, status: int) -> web.Response:
    """Refuse with a sentence for the person."""
    return web.json_response({"told": text}, status=status)


def ref(device: int, said: object) -> str | None:
    """Make a message's reference from the phone's own."""
    if (
        not isinstance(said, str)
        or not 8 <= len(said) <= 64
        or not (said.isascii() and said.isalnum())
    ):
        raise web.HTTPBadRequest
    return f"web:{device}:{said}"


def said_at(age_s: object) -> datetime:
    """Return when a call was made that says how long it has waited in the phone, in seconds."""
    try:
        age = timedelta(seconds=float(str(age_s)))
    except (ValueError, OverflowError):
        raise web.HTTPBadRequest from None
    return now() - min(max(age, timedelta(0)), OLDEST)


def place(latitude: object, longitude: object) -> tuple[float, float] | None:
    """Read where a phone says that it is, in degrees; None where it says nothing."""
    if latitude is None or longitude is None:
        return None
    try:
        found = float(str(latitude)), float(str(longitude))
    except ValueError:
        raise web.HTTPBadRequest from None
    if not (-90 <= found[0] <= 90 and -180 <= found[1] <= 180):
        raise web.HTTPBadRequest
    return found


def name_of(said: object) -> str:
    """Read a name in one line; commas stand between names in the log, so none holds one."""
    words = " ".join(str(said or "").replace(",", " ").split())
    return "".join(letter for letter in words if letter.isprintable())[:40]


def number_of(said: str | None) -> int:
    """Read a whole number; 0 where there is none."""
    return int(said) if said and said.isdecimal() else 0


def now() -> datetime:
    """Return the time of day."""
    return datetime.now(UTC)
