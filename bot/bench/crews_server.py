"""A Bot API server on loopback for the benches: it hands out calls, takes replies, and fails on demand.

It does what core.telegram.org/bots/api says of getUpdates (an update is given again until an offset
above its id confirms it), getFile and the sending of messages, and answers everything else at once.
"""

import asyncio
import json
import time
from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final
from urllib.parse import parse_qs

from aiohttp import web

TOKEN: Final = "12345:bench"
LONGEST_WAIT_S: Final = 5.0
CUT: Final = 0
"""The status of a fault that does what was asked, and then cuts the connection."""
_SENDING: Final = ("sendMessage", "sendPhoto", "editMessageText")


@dataclass(slots=True)
class Server:
    """What waits to be fetched, and what was sent."""

    waiting: deque[dict[str, Any]] = field(default_factory=deque)
    called_s: dict[tuple[int, int], float] = field(default_factory=dict)
    """Chat and message of each call to when it was made, seconds since 1970."""
    texts: list[str] = field(default_factory=list)
    """What the crew has seen."""
    asked: list[str] = field(default_factory=list)
    """The methods that were called, but for getUpdates."""
    faults: deque[tuple[str, int]] = field(default_factory=deque)
    """Method and status (or `CUT`) of the requests that are to fail next."""
    files: dict[str, bytes] = field(default_factory=dict)
    """Recordings by the id of their file."""
    sent: int = 0
    fetched: int = 0
    port: int = 0
    _number: int = 0
    _update: int = 1_000_000
    _news: asyncio.Event = field(default_factory=asyncio.Event)
    _runner: web.AppRunner | None = None

    def call(self, chat: int, text: str, **more: Any) -> dict[str, Any]:
        """Let somebody in a group say something; return the message."""
        now_s = time.time()
        message = {
            "message_id": more.pop("message_id", self._number + 1),
            "date": more.pop("date", int(now_s)),
            "chat": {"id": chat, "type": "supergroup"},
            "from": {"id": more.pop("user", 501), "is_bot": False,
                     "first_name": more.pop("name", "Mate")},
        } | ({"text": text} if text else {}) | more  # fmt: skip
        self._number = max(self._number, int(message["message_id"]))
        self.called_s[chat, int(message["message_id"])] = now_s
        self.give({"edited_message" if "edit_date" in more else "message": message})
        return message

    def speak(self, chat: int, sound: bytes, seconds: int, **more: Any) -> None:
        """Let somebody in a group send a recording (OGG)."""
        name = f"v{len(self.files)}"
        self.files[name] = sound
        voice = {"file_id": name, "file_unique_id": name, "duration": seconds,
                 "mime_type": "audio/ogg"}  # fmt: skip
        self.call(chat, "", voice=voice, **more)

    def give(self, body: Mapping[str, Any], number: int | None = None) -> int:
        """Let an update wait to be fetched; return its number."""
        if number is None:
            self._update += 1
            number = self._update
        self.waiting.append({"update_id": number, **body})
        self._news.set()
        return number

    async def start(self) -> tuple[web.AppRunner, str]:
        """Serve, on the same port as before or a free one; return what ends it, and the base address."""
        app = web.Application(client_max_size=10_000_000)
        app.add_routes([
            web.post(f"/bot{TOKEN}/{{method}}", self._answer),
            web.get(f"/file/bot{TOKEN}/{{name}}", self._file),
        ])  # fmt: skip
        self._runner = web.AppRunner(app, access_log=None, shutdown_timeout=0.1)
        await self._runner.setup()
        await web.TCPSite(self._runner, "127.0.0.1", self.port, reuse_address=True).start()
        self.port = self._runner.addresses[0][1]
        return self._runner, f"http://127.0.0.1:{self.port}"

    async def stop(self) -> None:
        """Stop answering until started again."""
        if self._runner is not None:
            await self._runner.cleanup()

    async def _file(self, request: web.Request) -> web.Response:
        return web.Response(body=self.files[request.match_info["name"]])

    async def _answer(self, request: web.Request) -> web.Response:
        method = request.match_info["method"]
        fault = self._fault(method)
        if fault:
            extra = {"parameters": {"retry_after": 1}} if fault == 429 else {}
            told = {"ok": False, "error_code": fault, "description": f"error {fault}"} | extra
            return web.json_response(told, status=fault)
        result = await self._result(method, request)
        if fault == CUT and request.transport is not None:
            request.transport.abort()
        return web.json_response({"ok": True, "result": result}, dumps=json.dumps)

    def _fault(self, method: str) -> int | None:
        for fault in self.faults:
            if fault[0] == method:
                self.faults.remove(fault)
                return fault[1]
        return None

    async def _result(self, method: str, request: web.Request) -> object:
        if method == "getUpdates":
            return await self._updates(parse_qs((await request.read()).decode()))
        self.asked.append(method)
        if method == "getMe":
            return {"id": 12345, "is_bot": True, "first_name": "Deck", "username": "bench_bot",
                    "can_read_all_group_messages": True}  # fmt: skip
        if method == "getFile":
            name = parse_qs((await request.read()).decode())["file_id"][0]
            size = len(self.files[name])
            return {"file_id": name, "file_unique_id": name, "file_size": size, "file_path": name}
        if method in _SENDING:
            body = await request.post()
            self.texts.append(str(body.get("text", "")))
            self.sent += 1
            chat = {"id": -1, "type": "supergroup"}
            return {"message_id": 10_000_000 + self.sent, "date": 0, "chat": chat}
        return True

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
