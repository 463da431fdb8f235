"""A Bot API server on loopback for the benches: it hands out calls and takes replies.

It does what core.telegram.org/bots/api says of getUpdates (an offset confirms what came before) and
answers everything else at once, so that what is measured is the bot.
"""

import asyncio
import json
import time
from collections import deque
from dataclasses import dataclass, field
from typing import Any, Final
from urllib.parse import parse_qs

from aiohttp import web

TOKEN: Final = "12345:bench"
LONGEST_WAIT_S: Final = 5.0


@dataclass(slots=True)
class Server:
    """What waits to be fetched, and what was sent."""

    waiting: deque[dict[str, Any]] = field(default_factory=deque)
    called_s: dict[tuple[int, int], float] = field(default_factory=dict)
    """Chat and message of each call to when it was made, seconds since 1970."""
    files: dict[str, bytes] = field(default_factory=dict)
    """Recordings by the id of their file."""
    sent: int = 0
    fetched: int = 0
    _number: int = 0
    _news: asyncio.Event = field(default_factory=asyncio.Event)

    def call(self, chat: int, text: str) -> None:
        """Let somebody in a group say something."""
        self._add(chat, {"text": text})

    def speak(self, chat: int, sound: bytes, seconds: int) -> None:
        """Let somebody in a group send a recording (OGG)."""
        name = f"v{len(self.files)}"
        self.files[name] = sound
        voice = {
            "file_id": name,
            "file_unique_id": name,
            "duration": seconds,
            "mime_type": "audio/ogg",
        }
        self._add(chat, {"voice": voice})

    def _add(self, chat: int, said: dict[str, Any]) -> None:
        self._number += 1
        now_s = time.time()
        self.called_s[chat, self._number] = now_s
        message = {
            "message_id": self._number,
            "date": int(now_s),
            "chat": {"id": chat, "type": "supergroup"},
            "from": {"id": 501, "is_bot": False, "first_name": "Mate"},
        } | said
        self.waiting.append({"update_id": 1_000_000 + self._number, "message": message})
        self._news.set()

    async def start(self) -> tuple[web.AppRunner, str]:
        """Serve on a free port; gives what ends it, and the base address."""
        app = web.Application(client_max_size=10_000_000)
        app.add_routes(
            [
                web.post(f"/bot{TOKEN}/{{method}}", self._answer),
                web.get(f"/file/bot{TOKEN}/{{name}}", self._file),
            ]
        )
        runner = web.AppRunner(app, access_log=None)
        await runner.setup()
        site = web.TCPSite(runner, "127.0.0.1", 0)
        await site.start()
        port = runner.addresses[0][1]
        return runner, f"http://127.0.0.1:{port}"

    async def _answer(self, request: web.Request) -> web.Response:
        method = request.match_info["method"]
        if method == "getUpdates":
            return _ok(await self._updates(parse_qs((await request.read()).decode())))
        if method == "getMe":
            return _ok({"id": 12345, "is_bot": True, "first_name": "Deck", "username": "bench_bot",
                        "can_read_all_group_messages": True})  # fmt: skip
        if method == "getFile":
            name = parse_qs((await request.read()).decode())["file_id"][0]
            size = len(self.files[name])
            return _ok(
                {"file_id": name, "file_unique_id": name, "file_size": size, "file_path": name}
            )
        if method in ("sendMessage", "sendPhoto", "editMessageText"):
            self.sent += 1
            chat = {"id": -1, "type": "supergroup"}
            return _ok({"message_id": 10_000_000 + self.sent, "date": 0, "chat": chat})
        return _ok(True)

    async def _file(self, request: web.Request) -> web.Response:
        return web.Response(body=self.files[request.match_info["name"]])

    async def _updates(self, asked: dict[str, list[str]]) -> list[dict[str, Any]]:
        offset = int(asked.get("offset", ["0"])[-1])
        while self.waiting and self.waiting[0]["update_id"] < offset:
            self.waiting.popleft()
        if not self.waiting:
            self._news.clear()
            try:
                await asyncio.wait_for(self._news.wait(), LONGEST_WAIT_S)
            except TimeoutError:
                return []
        ready = [self.waiting[i] for i in range(min(100, len(self.waiting)))]
        self.fetched += len(ready)
        return ready


def _ok(result: object) -> web.Response:
    body = json.dumps({"ok": True, "result": result})
    return web.Response(text=body, content_type="application/json")
