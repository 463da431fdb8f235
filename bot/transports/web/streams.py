"""What every paired phone is told as it happens: one stream of events for each page that is open."""

import asyncio
import json
from collections import deque
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any, Final

from aiohttp import web

from bot.messages import Picture
from bot.transports.web.wire import HEADERS, number_of

KEEP_LINES: Final = 300
KEEP_PICTURES: Final = 60
"""Pictures of the last answers that can still be fetched."""
MOST_BEHIND: Final = 1000
"""A phone that does not take what is sent is let go when this much waits; it asks for it again."""

Line = dict[str, Any]


@dataclass(slots=True)
class Streams:
    """The open streams, and the last lines for those that come back."""

    lines: deque[Line] = field(default_factory=lambda: deque(maxlen=KEEP_LINES))
    pictures: dict[str, Picture] = field(default_factory=dict)
    _open: set[asyncio.Queue[Line | None]] = field(default_factory=set)

    def keep(self, line: int, pictures: Sequence[Picture]) -> list[dict[str, str]]:
        """Keep the pictures of an answer for the phones; return what a line says of them."""
        told = []
        for number, picture in enumerate(pictures):
            name = f"{line}-{number}"
            self.pictures[name] = picture
            told.append({"name": name, "caption": picture.caption})
        while len(self.pictures) > KEEP_PICTURES:
            del self.pictures[next(iter(self.pictures))]
        return told

    def tell(self, line: Line) -> None:
        """Tell all; one with an id is kept, an empty one only shows that the line holds."""
        if "id" in line:
            self.lines.append(line)
        for queue in list(self._open):
            try:
                queue.put_nowait(line)
            except asyncio.QueueFull:
                self._open.discard(queue)
                queue.get_nowait()
                queue.put_nowait(None)

    def end(self) -> None:
        """End all streams."""
        for queue in self._open:
            with suppress(asyncio.QueueFull):
                queue.put_nowait(None)

    async def follow(
        self, request: web.Request, last: Line, is_in: Callable[[], bool]
    ) -> web.StreamResponse:
        """Stream what was missed, then `last`, then what comes, until the phone is gone or not let in."""
        response = web.StreamResponse(headers={"Content-Type": "text/event-stream"} | HEADERS)
        await response.prepare(request)
        queue: asyncio.Queue[Line | None] = asyncio.Queue(MOST_BEHIND)
        seen = number_of(request.headers.get("Last-Event-ID"))
        for missed in [*(kept for kept in self.lines if kept["id"] > seen), last]:
            queue.put_nowait(missed)
        self._open.add(queue)
        try:
            while (line := await queue.get()) is not None and is_in():
                await response.write(_event(line))
        except (ConnectionError, asyncio.CancelledError):
            pass
        finally:
            self._open.discard(queue)
        return response


def _event(line: Line) -> bytes:
    if not line:
        return b": still here\n\n"
    mark = f"id: {line['id']}\n" if "id" in line else ""
    return f"{mark}data: {json.dumps(line)}\n\n".encode()
