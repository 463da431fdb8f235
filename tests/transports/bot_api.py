"""A Bot API server on loopback, for tests: long polling with confirmation by offset, files, faults.

It does what core.telegram.org/bots/api says of getUpdates (an update is given again until an offset
above its id confirms it), getFile, sendMessage, setMessageReaction, answerCallbackQuery, and fails on
command.
"""

import json
import threading
import time
from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from email.parser import BytesParser
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import parse_qs, urlsplit

TOKEN = "12345:test-token"
BOT_ID = 12345


@dataclass
class Fault:
    """What the next request for a method gets instead of an answer."""

    method: str
    status: int
    description: str = ""
    parameters: dict[str, Any] = field(default_factory=dict)
    drop: bool = False
    """Do what was asked, then cut the connection without an answer."""


class BotApi:
    """The server's state; every method is safe to call from the test."""

    def __init__(self) -> None:
        self.lock = threading.Condition()
        self.updates: deque[dict[str, Any]] = deque()
        self.sent: list[dict[str, Any]] = []
        self.asked: list[tuple[str, dict[str, Any]]] = []
        self.files: dict[str, bytes] = {}
        self.faults: list[Fault] = []
        self.closed = False
        self.reads_all = True
        self._update_id = 700_000_000
        self._message_id = 9000

    # what the test does

    def message(self, chat: int, message: int, text: str | None = None, **more: Any) -> int:
        """Let somebody say something; gives the update id."""
        user = more.pop("user", chat if chat > 0 else 501)
        body: dict[str, Any] = {
            "message_id": message,
            "date": more.pop("date", int(time.time())),
            "chat": {"id": chat, "type": "private" if chat > 0 else "supergroup"},
            "from": {"id": user, "is_bot": False, "first_name": more.pop("name", "Mate")},
        }
        if text is not None:
            body["text"] = text
        return self.update({more.pop("kind", "message"): body | more})

    def press(self, chat: int, message: int, data: str, query: str, user: int = 501) -> int:
        """Let somebody press a button."""
        return self.update(
            {
                "callback_query": {
                    "id": query,
                    "from": {"id": user, "is_bot": False, "first_name": "Mate"},
                    "message": {
                        "message_id": message,
                        "date": 0,
                        "chat": {"id": chat, "type": "private" if chat > 0 else "supergroup"},
                    },
                    "chat_instance": "1",
                    "data": data,
                }
            }
        )

    def update(self, body: dict[str, Any], number: int | None = None) -> int:
        """Add an update as it is."""
        with self.lock:
            if number is None:
                self._update_id += 1
                number = self._update_id
            self.updates.append({"update_id": number} | body)
            self.lock.notify_all()
            return number

    def fail(self, fault: Fault, times: int = 1) -> None:
        """Let the next requests for a method fail."""
        with self.lock:
            self.faults += [fault] * times

    def wait_for(self, what: str, check: Any, seconds: float = 30.0) -> None:
        """Wait until something holds; fails with what was sent so far."""
        end = time.monotonic() + seconds
        with self.lock:
            while not check():
                left = end - time.monotonic()
                if left <= 0:
                    raise AssertionError(f"not seen: {what}; sent last: {self.sent[-5:]}")
                self.lock.wait(min(left, 0.5))

    def texts(self, chat: int | None = None) -> list[str]:
        """Return the texts that were sent."""
        with self.lock:
            return [s["text"] for s in self.sent if "text" in s and chat in (None, s["chat_id"])]

    # what the bot asks

    def answer(self, method: str, data: dict[str, Any]) -> Any:
        with self.lock:
            self.asked.append((method, data))
            self.lock.notify_all()
        match method:
            case "getMe":
                return {
                    "id": BOT_ID, "is_bot": True, "first_name": "Deck", "username": "deck_test_bot",
                    "can_join_groups": True, "can_read_all_group_messages": self.reads_all,
                    "supports_inline_queries": False,
                }  # fmt: skip
            case "getUpdates":
                return self._get_updates(data)
            case "getFile":
                name = str(data["file_id"])
                if name not in self.files:
                    return Fault(
                        method,
                        400,
                        "Bad Request: wrong file_id or the file is temporarily unavailable",
                    )
                size = len(self.files[name])
                return {"file_id": name, "file_unique_id": name, "file_size": size,
                        "file_path": f"voice/{name}.oga"}  # fmt: skip
            case "sendMessage" | "sendPhoto" | "sendDocument" | "editMessageText":
                return self._send(method, data)
            case _:
                return True

    def _send(self, method: str, data: dict[str, Any]) -> Any:
        with self.lock:
            self._message_id += 1
            number = int(data.get("message_id", self._message_id))
            kept = data | {"method": method, "chat_id": int(data["chat_id"]), "made": number,
                           "at": time.time()}  # fmt: skip
            for name in ("reply_parameters", "reply_markup"):
                if isinstance(kept.get(name), str):
                    kept[name] = json.loads(kept[name])
            self.sent.append(kept)
            self.lock.notify_all()
        return {"message_id": number, "date": int(time.time()),
                "chat": {"id": int(data["chat_id"]), "type": "group"}}  # fmt: skip

    def _get_updates(self, data: dict[str, Any]) -> list[dict[str, Any]]:
        offset, end = int(data.get("offset", 0)), time.monotonic() + float(data.get("timeout", 0))
        with self.lock:
            while self.updates and self.updates[0]["update_id"] < offset:
                self.updates.popleft()
            while not self.closed:
                ready = [u for u in self.updates if u["update_id"] >= offset]
                left = end - time.monotonic()
                if ready or left <= 0:
                    return ready[: int(data.get("limit", 100))]
                self.lock.wait(min(left, 0.5))
        return []

    def fault_for(self, method: str) -> Fault | None:
        with self.lock:
            for index, fault in enumerate(self.faults):
                if fault.method in (method, "*"):
                    return self.faults.pop(index)
        return None


@contextmanager
def serving(api: BotApi, port: int = 0) -> Iterator[str]:
    """Serve on loopback; gives the base address."""
    server = _Server(("127.0.0.1", port), _handler(api))
    thread = threading.Thread(
        target=server.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True
    )
    thread.start()
    api.closed = False
    try:
        yield f"http://127.0.0.1:{server.server_address[1]}"
    finally:
        api.closed = True
        with api.lock:
            api.lock.notify_all()
        server.shutdown()
        server.server_close()
        thread.join()


class _Server(ThreadingHTTPServer):
    daemon_threads = True
    allow_reuse_address = True
    request_queue_size = 128

    def handle_error(self, request: Any, client_address: Any) -> None:
        """Say nothing: the bot under test is killed in the middle of requests."""


def _handler(api: BotApi) -> type[BaseHTTPRequestHandler]:
    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def log_message(self, format: str, *args: Any) -> None:
            pass

        def do_GET(self) -> None:
            parts = urlsplit(self.path).path.split("/")
            if parts[1:3] != ["file", f"bot{TOKEN}"]:
                return self._put(404, b"{}")
            if fault := api.fault_for("download"):
                return self._put(fault.status, b"")
            name = parts[-1].removesuffix(".oga")
            data = api.files.get(name)
            return self._put(200, data) if data is not None else self._put(404, b"")

        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers.get("Content-Length") or 0))
            path = urlsplit(self.path)
            _, token, method = path.path.split("/", 2)
            if token != f"bot{TOKEN}":
                return self._fail(Fault(method, 401, "Unauthorized"))
            data = {k: v[-1] for k, v in parse_qs(path.query).items()}
            data |= _fields(self.headers.get("Content-Type") or "", body)
            fault = api.fault_for(method)
            if fault and not fault.drop:
                return self._fail(fault)
            result = api.answer(method, data)
            if fault:
                self.close_connection = True
                self.connection.close()
                return None
            if isinstance(result, Fault):
                return self._fail(result)
            return self._put(200, json.dumps({"ok": True, "result": result}).encode())

        def _fail(self, fault: Fault) -> None:
            body: dict[str, Any] = {"ok": False, "error_code": fault.status,
                                    "description": fault.description or f"error {fault.status}"}  # fmt: skip
            if fault.parameters:
                body["parameters"] = fault.parameters
            self._put(fault.status, json.dumps(body).encode())

        def _put(self, status: int, body: bytes) -> None:
            try:
                self.send_response(status)
                self.send_header("Content-Type", "application/json")
                self.send_header("Content-Length", str(len(body)))
                self.end_headers()
                self.wfile.write(body)
            except OSError:
                self.close_connection = True

    return Handler


def _fields(kind: str, body: bytes) -> dict[str, Any]:
    if kind.startswith("application/json"):
        found: dict[str, Any] = json.loads(body)
        return found
    if not kind.startswith("multipart/"):
        return {k: v[-1] for k, v in parse_qs(body.decode(), keep_blank_values=True).items()}
    whole = BytesParser().parsebytes(b"Content-Type: " + kind.encode() + b"\r\n\r\n" + body)
    parts: dict[str, Any] = {}
    for part in whole.get_payload():
        assert not isinstance(part, str)
        content = part.get_payload(decode=True)
        name = part.get_param("name", header="content-disposition")
        is_file = part.get_filename() is not None
        parts[str(name)] = content if is_file else content.decode()  # type: ignore[union-attr]
    return parts
