"""Who may be connected at once, and for how long without asking anything: so that nobody holds the door.

Connections are counted from the moment they are accepted, before any encryption is agreed on. Where there are
too many, the one that has been idle longest goes; one that answers a phone which was let in never does.
"""

import asyncio
import contextlib
import errno
import logging
import socket
import ssl
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Final

PER_ADDRESS: Final = 24
"""Connections of one address at once; a browser holds six."""
IN_ALL: Final = 160
IDLE_S: Final = 15.0
"""Longest time for encryption to be agreed on and a request to arrive, and between two of a phone that was
let in; a stranger has this much in all."""
_BACKLOG: Final = 512
_NO_ROOM: Final = (errno.EMFILE, errno.ENFILE, errno.ENOBUFS, errno.ENOMEM)

_log = logging.getLogger(__name__)


@dataclass(eq=False)
class _Guest(asyncio.Protocol):
    """One connection: hands everything on to the protocol of the server."""

    inner: asyncio.Protocol
    address: str
    since_s: float
    gone: Callable[["_Guest"], None]
    busy: int = 0
    has_asked: bool = False
    """True once a request of it was answered: strangers go before it."""
    transport: asyncio.Transport | None = None
    opening: "asyncio.Task[None] | None" = None

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        self.transport = transport  # type: ignore[assignment]
        self.inner.connection_made(transport)

    def data_received(self, data: bytes) -> None:
        self.inner.data_received(data)

    def eof_received(self) -> bool | None:
        return self.inner.eof_received()

    def connection_lost(self, exc: Exception | None) -> None:
        self.gone(self)
        self.inner.connection_lost(exc)

    def pause_writing(self) -> None:
        self.inner.pause_writing()

    def resume_writing(self) -> None:
        self.inner.resume_writing()

    def show_out(self) -> None:
        """End the connection at once, whatever it is at."""
        self.gone(self)
        if self.transport is not None:
            self.transport.abort()
        elif self.opening is not None:
            self.opening.cancel()


@dataclass(eq=False)
class Doorway:
    """Accepts connections for a server, as many as there is room for."""

    make: Callable[[], asyncio.Protocol]
    """Makes the protocol of one connection."""
    per_address: int = PER_ADDRESS
    in_all: int = IN_ALL
    idle_s: float = IDLE_S
    _guests: dict[asyncio.BaseProtocol, _Guest] = field(default_factory=dict)
    """By the protocol that they were made for."""
    _tasks: list["asyncio.Task[None]"] = field(default_factory=list)
    _sockets: list[socket.socket] = field(default_factory=list)

    async def open(self, host: str, port: int, context: ssl.SSLContext | None) -> None:
        """Listen; raises OSError where that cannot be done."""
        loop = asyncio.get_running_loop()
        found = await loop.getaddrinfo(host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)
        for family, kind, proto, _, address in dict.fromkeys(found):
            listening = socket.socket(family, kind, proto)
            self._sockets.append(listening)
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            if family == socket.AF_INET6:
                listening.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_V6ONLY, 1)
            listening.bind(address)
            listening.listen(_BACKLOG)
            listening.setblocking(False)
        self._tasks += [loop.create_task(self._accept(one, context)) for one in self._sockets]
        self._tasks.append(loop.create_task(self._sweep()))

    async def close(self) -> None:
        """Accept nobody any more; who is in goes with the server."""
        for task in self._tasks:
            task.cancel()
        await asyncio.gather(*self._tasks, return_exceptions=True)
        for listening in self._sockets:
            listening.close()

    @contextmanager
    def busy(self, protocol: asyncio.BaseProtocol | None) -> Iterator[None]:
        """Mark a connection as that of a phone which is being answered, for as long as this is entered."""
        guest = self._guests.get(protocol) if protocol is not None else None
        if guest is None:
            yield
            return
        guest.busy += 1
        guest.has_asked = True
        try:
            yield
        finally:
            guest.busy -= 1
            guest.since_s = asyncio.get_running_loop().time()

    async def _accept(self, listening: socket.socket, context: ssl.SSLContext | None) -> None:
        loop = asyncio.get_running_loop()
        while True:
            try:
                accepted, address = await loop.sock_accept(listening)
            except OSError as exc:
                if exc.errno in _NO_ROOM:
                    _log.warning("no more connections can be taken now (%s)", exc.strerror)
                    self._make_room(list(self._guests.values()))
                    await asyncio.sleep(0.2)
                continue
            self._let_in(accepted, str(address[0]), context)
            await asyncio.sleep(0)  # whoever was shown out goes before the next comes in

    def _let_in(
        self, accepted: socket.socket, address: str, context: ssl.SSLContext | None
    ) -> None:
        here = [one for one in self._guests.values() if one.address == address]
        crowded = here if len(here) >= self.per_address else []
        if not crowded and len(self._guests) >= self.in_all:
            crowded = list(self._guests.values())
        if crowded and not self._make_room(crowded):
            accepted.close()
            return
        loop = asyncio.get_running_loop()
        guest = _Guest(self.make(), address, loop.time(), self._gone)
        self._guests[guest.inner] = guest
        guest.opening = loop.create_task(self._open(guest, accepted, context))

    async def _open(
        self, guest: _Guest, accepted: socket.socket, context: ssl.SSLContext | None
    ) -> None:
        accepted.setblocking(False)
        timeouts = {} if context is None else {"ssl_handshake_timeout": self.idle_s}
        try:
            await asyncio.get_running_loop().connect_accepted_socket(
                lambda: guest, accepted, ssl=context, **timeouts
            )
        except (OSError, asyncio.CancelledError, TimeoutError):
            self._gone(guest)
            with contextlib.suppress(OSError):
                accepted.close()

    def _make_room(self, among: list[_Guest]) -> bool:
        """Show out the one that has been idle longest; False where all are being answered."""
        idle = [one for one in among if not one.busy]
        if not idle:
            return False
        min(idle, key=lambda one: (one.has_asked, one.since_s)).show_out()
        return True

    async def _sweep(self) -> None:
        while True:
            await asyncio.sleep(min(1.0, self.idle_s / 4))
            oldest_s = asyncio.get_running_loop().time() - self.idle_s
            for one in list(self._guests.values()):
                if not one.busy and one.since_s < oldest_s:
                    one.show_out()

    def _gone(self, guest: _Guest) -> None:
        self._guests.pop(guest.inner, None)
