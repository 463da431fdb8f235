"""The web chat's server: what a paired phone may ask, and what all of them are told.

One worker thread holds the Desk. A call carries a reference of the phone's own making, so one that is
sent again after a dead spot is logged once. Everything that people wrote leaves as JSON and is put on
the page as text, never as markup.
"""

import asyncio
import logging
import time
from collections.abc import Awaitable, Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, nullcontext, suppress
from dataclasses import dataclass, field, replace
from datetime import datetime
from itertools import count
from typing import Any, Final, TypeVar

from aiohttp import web

from bot.errors import DeckcallError, LogbookError, TransportError
from bot.messages import Message, Reply
from bot.transcript import HearingResult
from bot.transports.pairing import code_in
from bot.transports.pressing import QUESTIONS, lasts
from bot.transports.unasked import EVERY_S
from bot.transports.web.config import OpenAnswers, WebAnswers, WebConfig
from bot.transports.web.devices import Device, Devices
from bot.transports.web.doorway import Doorway
from bot.transports.web.shown_lines import line_of, unasked_line
from bot.transports.web.streams import Streams
from bot.transports.web.wire import (
    HEADERS,
    MARK,
    OF_A_REPORT,
    body_of,
    is_own_name,
    name_of,
    now,
    page,
    place,
    read_body,
    ref,
    refusal,
    said_at,
    secure,
    whole_letters,
)  # fmt: skip

COOKIE: Final = "deckcall"
BEAT_S: Final = 5.0
"""How often the board is looked at: calls may also have come by Telegram."""
TIDY_BEATS: Final = 720
"""Once in so many beats, an hour, it is asked whether anything was kept for long enough."""
REMIND_BEATS: Final = round(EVERY_S / BEAT_S)
TRIES: Final = 2
"""Attempts before a call that crashes the program is set aside."""
MOST_PAIRING: Final = 4_000
MOST_SAID: Final = 64_000
"""Bytes of what a phone sends besides recordings."""
UPLOADS: Final = 6
"""Recordings that are received at the same time; others wait, so that memory has a bound."""
GUEST: Final = "Guests may ask, in typed words: tally, what's out, what next. Nothing was logged."

_T = TypeVar("_T")
_log = logging.getLogger(__name__)


@dataclass(slots=True)
class Chat:
    """The server's state: who is let in, what was said, the worker that answers."""

    config: WebConfig
    streams: Streams = field(default_factory=Streams)
    turn: int = field(default_factory=lambda: int(time.time()))
    changed: int = field(default_factory=lambda: int(time.time()))
    """Counts what changed the log: a button that says a whole call stands until then."""
    number: int = field(default_factory=lambda: int(time.time() * 1000))
    board: str = ""
    helm: dict[str, Any] | None = None
    door: Doorway | None = None
    uploads: asyncio.Semaphore = field(default_factory=lambda: asyncio.Semaphore(UPLOADS))
    failed: dict[str, int] = field(default_factory=dict)
    """How often a call made the program fail."""
    _worker: ThreadPoolExecutor = field(default_factory=lambda: ThreadPoolExecutor(max_workers=1))
    _stack: ExitStack = field(default_factory=ExitStack)
    _answers: WebAnswers | None = None
    _devices: Devices | None = None

    async def open(self, open_answers: OpenAnswers) -> None:
        """Open what answers, in its own thread."""
        self._devices = Devices(self.config.file)
        self._answers = await self._in_worker(lambda: self._stack.enter_context(open_answers()))
        if self._answers.warm is not None:
            self._worker.submit(self._answers.warm)

    async def close(self) -> None:
        """Close what answers."""
        await self._in_worker(self._stack.close)
        self._worker.shutdown()
        if self._devices is not None:
            self._devices.close()

    def app(self) -> web.Application:
        """Return the application with its routes."""
        app = web.Application(middlewares=[self._at_the_door, secure])
        app.add_routes(
            [
                web.get("/", page("index.html")),
                web.get("/chat.js", page("chat.js")),
                web.get("/recorder.js", page("recorder.js")),
                web.get("/chat.css", page("chat.css")),
                web.get("/helm", page("helm.html")),
                web.get("/helm.js", page("helm.js")),
                web.get("/helm.css", page("helm.css")),
                web.get("/helm.json", self.show_helm),
                web.post("/pair", self.pair),
                web.get("/me", self.me),
                web.get("/events", self.events),
                web.post("/say", self.say),
                web.post("/voice", self.voice),
                web.get("/spread.png", self.spread),
                web.get("/picture/{name}", self.picture),
                web.get("/report/{trip}", self.report),
            ]
        )
        return app

    @web.middleware
    async def _at_the_door(
        self, request: web.Request, handler: Callable[[web.Request], Awaitable[web.StreamResponse]]
    ) -> web.StreamResponse:
        """Refuse other sites' names; keep the connection of a phone that was let in while it is answered."""
        if not is_own_name(request.headers.get("Host", ""), self.config.names):
            raise web.HTTPMisdirectedRequest(headers=HEADERS)
        is_in = self._devices is not None and self._devices.find(request.cookies.get(COOKIE))
        with self.door.busy(request.protocol) if self.door and is_in else nullcontext():
            return await handler(request)

    def offer(self, *, beside: bool = False) -> None:
        """Make new pairing codes and have them shown; `beside` those that nobody has used."""
        if self._devices is not None:
            self.config.announce(self.address, self._devices.offer(now(), beside=beside))

    @property
    def address(self) -> str:
        """Return the address of the page."""
        scheme = "https" if self.config.cert else "http"
        return f"{scheme}://{self.config.host}:{self.config.port}/"

    async def pair(self, request: web.Request) -> web.Response:
        """Let a phone in by a code."""
        body, devices = await body_of(request, MOST_PAIRING, self.config.body_s), self._devices
        name, code = name_of(body.get("name")), code_in(str(body.get("code", "")))
        if not name:
            return refusal("Say who you are.", 400)
        address = request.remote or ""
        role = devices.role_of(code, now(), address) if devices and code else None
        if devices is None or code is None or role is None:
            await asyncio.sleep(self.config.refused_s)
            return refusal("That code does not let you in. For a new one press Enter at the console, or run"
                        " deckcall serve --pair there.", 403)  # fmt: skip
        if devices.has(name) and body.get("same") is not True:
            return refusal(f"There is a {name} already. If that is you, press again; else add to your"
                        " name.", 409)  # fmt: skip
        key = devices.let_in(role, name, now(), code)
        self.offer(beside=True)
        response = web.json_response({"name": name})
        response.set_cookie(
            COOKIE, key, max_age=365 * 86400, httponly=True, samesite="Strict", path="/",
            secure=self.config.cert is not None,
        )  # fmt: skip
        return response

    async def me(self, request: web.Request) -> web.Response:
        """Tell a phone who it is."""
        device = self._who(request)
        told = {"name": device.name, "role": device.role, "id": device.id}
        return web.json_response(told | {"skipper": self._may_all(device)})

    async def say(self, request: web.Request) -> web.Response:
        """Take a typed call."""
        device = self._who(request)
        body = await body_of(request, MOST_SAID, self.config.body_s)
        text = whole_letters(str(body.get("text", "")).strip()[:2000])
        if not text:
            return refusal("Nothing was said.", 400)
        about = str(body.get("about") or "")[:64]
        if self._is_stale(text, about, body.get("turn"), body.get("changed")):
            return refusal(
                "That was answered, or other calls came since. Call it out instead.", 409
            )
        if device.role == "guest" and not await self._only_asks(text):
            return refusal(GUEST, 403)
        own = ref(device.id, body.get("ref"))
        message = self._message(device, body.get("age_s", 0), own, body.get("lat"), body.get("lon"))
        message = replace(message, text=text, about=about)
        if body.get("edited") is True:
            at = next((line["at"] for line in self.streams.lines if line["ref"] == own), None)
            said = datetime.fromisoformat(at) if at else message.at
            message = replace(message, at=said, edited_at=now())
        return await self._hear(message, device, text)

    def _is_stale(self, text: str, about: str, turn: object, changed: object) -> bool:
        """Return whether a button means something else by now than when it was shown."""
        if not isinstance(turn, int) or turn == self.turn or about or text in QUESTIONS:
            return False
        return lasts(text) == "turn" or changed != self.changed

    def _message(
        self,
        device: Device,
        age_s: object,
        own: str | None,
        lat: object,
        lon: object,
    ) -> Message:
        where = place(lat, lon) or (None, None)
        return Message(
            device.name, said_at(age_s), "web", ref=own, private=True, in_group=True,
            latitude=where[0], longitude=where[1], skipper=self._may_all(device), files=True,
        )  # fmt: skip

    def _may_all(self, device: Device) -> bool:
        """Return whether a phone is the skipper's, or of a crew without a skipper's phone."""
        if device.role == "crew" and self._devices is not None:
            return not self._devices.has_skipper()
        return device.role == "skipper"

    async def _only_asks(self, text: str) -> bool:
        only_asks = self._answers.only_asks if self._answers else None
        return await self._in_worker(lambda: only_asks(text)) if only_asks else False

    async def voice(self, request: web.Request) -> web.Response:
        """Take a recording."""
        device = self._who(request)
        if device.role == "guest":
            return refusal(GUEST, 403)
        async with self.uploads:
            try:
                sound = await read_body(request, self.config.max_bytes, self.config.body_s)
            except web.HTTPRequestEntityTooLarge:
                return refusal("That recording is too large. A call takes a few seconds.", 413)
        asked = request.query
        message = self._message(
            device, asked.get("age_s", 0), ref(device.id, asked.get("ref")),
            asked.get("lat"), asked.get("lon"),
        )  # fmt: skip
        return await self._hear(replace(message, sound=sound, name="call"), device, "(spoken)")

    async def spread(self, request: web.Request) -> web.Response:
        """Return the picture of what is laid out."""
        self._who(request)
        make = self._answers.spread_png if self._answers else None
        data = await self._in_worker(make) if make else None
        if data is None:
            raise web.HTTPNotFound
        return web.Response(body=data, content_type="image/png")

    async def show_helm(self, request: web.Request) -> web.Response:
        """Return the board for the screen at the helm, as it was looked at last, and the time now."""
        self._who(request)
        none = "" if self.helm else self.board
        return web.json_response({"board": self.helm, "none": none, "now": now().isoformat()})

    async def picture(self, request: web.Request) -> web.Response:
        """Return a picture of one of the last answers."""
        self._who(request)
        found = self.streams.pictures.get(request.match_info["name"])
        if found is None:
            raise web.HTTPNotFound
        return web.Response(body=found.data, content_type=found.media_type)

    async def report(self, request: web.Request) -> web.Response:
        """Return the report of a trip as a page, made anew."""
        self._who(request)
        make = self._answers.report if self._answers else None
        trip = request.match_info["trip"]
        try:
            data = await self._in_worker(lambda: make(trip)) if make else None
        except LogbookError:
            data = None
        if data is None:
            raise web.HTTPNotFound
        headers = {"Content-Security-Policy": OF_A_REPORT}
        return web.Response(body=data, content_type="text/html", charset="utf-8", headers=headers)

    async def events(self, request: web.Request) -> web.StreamResponse:
        """Stream what is said and answered; a phone that comes back gets what it missed."""
        device, devices = self._who(request), self._devices
        is_in = lambda: devices is not None and devices.is_in(device.id)  # noqa: E731
        return await self.streams.follow(request, self._board_line(), is_in)

    async def beat(self) -> None:
        """Look at the board from time to time, and keep the streams alive."""
        for beats in count():
            with suppress(Exception):
                await self._look()
            if beats % REMIND_BEATS == 0:
                with suppress(Exception):
                    await self._remind()
            self.streams.tell({})
            if beats % TIDY_BEATS == TIDY_BEATS - 1:
                with suppress(Exception):
                    await self._tidy()
            await asyncio.sleep(BEAT_S)

    async def _remind(self) -> None:
        """Tell all phones what is to be said without a call."""
        for text in await self._in_worker(self._answers.unasked) if self._answers else ():
            self.number += 1
            line = unasked_line(self.number, text)
            self.streams.tell(line | {"turn": self.turn, "changed": self.changed})

    async def _tidy(self) -> None:
        if self._answers is not None and self._answers.tidy is not None:
            await self._in_worker(self._answers.tidy)

    async def _hear(self, message: Message, device: Device, said: str) -> web.Response:
        try:
            reply = await self._answer(message)
        except LogbookError as exc:  # the disk is full, the log is held: it waits in the phone
            return refusal(f"Not logged yet: {exc}", 503)
        except DeckcallError as exc:
            reply = Reply(f"Not logged: {exc}")
        except Exception:
            _log.exception("a call could not be answered")
            own = message.ref or ""
            self.failed[own] = self.failed.get(own, 0) + 1
            if self.failed[own] < TRIES:
                return refusal("That could not be kept; it is tried again.", 503)
            reply = Reply("That call makes me fail, so it is not logged. Say it another way.")
        again = any(message.ref == line["ref"] for line in self.streams.lines)
        undone = any(call["act"] == "undo" for call in reply.calls)
        if (reply.logged or reply.ask or undone) and not again:
            self.turn += 1
            self.changed += not reply.ask or bool(reply.logged)
        line = self._line(message, device, said, reply)
        self.streams.tell(line)
        await self._look()
        return web.json_response(line)

    async def _answer(self, message: Message) -> Reply:
        answers = self._answers
        if answers is None:
            raise TransportError("not open yet")
        heard: HearingResult | None = None
        listen = answers.listen
        if message.sound is not None and listen is not None:
            begun = await self._in_worker(lambda: listen(message))
            if begun is not None:
                found: HearingResult = await asyncio.wrap_future(begun)
                heard = found
        return await self._in_worker(lambda: answers.answer(message, heard))

    def _line(self, message: Message, device: Device, said: str, reply: Reply) -> dict[str, Any]:
        self.number += 1
        pictures = self.streams.keep(self.number, reply.pictures)
        made = line_of(self.number, message, device, said, reply, pictures)
        return made | {"turn": self.turn, "changed": self.changed}

    def _board_line(self) -> dict[str, Any]:
        helm = self.helm or {}
        told = {name: helm.get(name) for name in ("trouble", "steps", "open", "night")}
        return {"board": self.board, "turn": self.turn, "changed": self.changed, **told}

    async def _look(self) -> None:
        answers = self._answers
        before = self._board_line()
        self.board = await self._in_worker(answers.board) if answers else ""
        self.helm = await self._in_worker(answers.helm) if answers else None
        if (line := self._board_line()) != before:
            self.streams.tell(line)

    def _who(self, request: web.Request) -> Device:
        if request.method == "POST" and request.headers.get(MARK) != "1":
            raise web.HTTPForbidden
        device = self._devices.find(request.cookies.get(COOKIE)) if self._devices else None
        if device is None:
            raise web.HTTPUnauthorized
        return device

    async def _in_worker(self, do: Callable[[], _T]) -> _T:
        return await asyncio.get_running_loop().run_in_executor(self._worker, do)
