"""Lines as they come from the instruments: over UDP, TCP or a serial line.

A reader gives a line, or None where nothing came for a second, so that whoever reads can stop; it raises
OSError where the other end is gone, which the caller tries again.
"""

import socket
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from typing import Any, Final, Literal

from bot.errors import TransportMissing

Kind = Literal["udp", "tcp", "serial"]
PORT: Final = 10110
"""Registered with IANA for nmea-0183, TCP and UDP."""
BAUD: Final = 4800
"""Baud of NMEA 0183; 38400 for its fast form."""
WAIT_S: Final = 1.0
SILENT_S: Final = 30.0
"""A connection that says nothing for so long is made anew: the other end may have gone without a word."""
CONNECT_S: Final = 5.0
MOST_WAITING: Final = 8192
"""Bytes without an end of line that are kept; more is no sentence."""


@dataclass(frozen=True, slots=True)
class Where:
    """Where the instruments are heard."""

    kind: Kind
    host: str = ""
    """The other end for TCP; for UDP the own address to listen on, empty for all."""
    port: int = PORT
    device: str = ""
    """Name of a serial line, e.g. `/dev/ttyUSB0` or `COM3`."""
    baud: int = BAUD

    def __str__(self) -> str:
        if self.kind == "serial":
            return f"{self.device} at {self.baud} baud"
        return f"{self.kind} {self.host or '*'}:{self.port}"


def lines(where: Where) -> Iterator[str | None]:
    """Return lines until the other end is gone; raises OSError, and TransportMissing without pyserial."""
    return {"udp": _udp, "tcp": _tcp, "serial": _serial}[where.kind](where)


def _udp(where: Where) -> Iterator[str | None]:
    with closing(socket.socket(socket.AF_INET, socket.SOCK_DGRAM)) as ear:
        ear.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)  # a plotter program listens too
        ear.bind((where.host, where.port))
        ear.settimeout(WAIT_S)
        while True:
            try:
                data, _ = ear.recvfrom(65_535)
            except TimeoutError:
                yield None
                continue
            yield from _text(data).splitlines()


def _tcp(where: Where) -> Iterator[str | None]:
    with closing(socket.create_connection((where.host, where.port), CONNECT_S)) as ear:
        ear.settimeout(WAIT_S)

        def more() -> bytes | None:
            try:
                data = ear.recv(4096)
            except TimeoutError:
                return None
            if not data:
                raise ConnectionError("the other end has closed")
            return data

        yield from _cut(more)


def _serial(where: Where) -> Iterator[str | None]:
    try:
        import serial
    except ImportError as exc:
        raise TransportMissing(
            "serial lines need pyserial; run: pip install 'deckcall[serial]'"
        ) from exc
    port: Any = serial.Serial(
        where.device, where.baud, timeout=WAIT_S
    )  # SerialException is an OSError
    with closing(port):

        def more() -> bytes | None:
            return bytes(port.read(max(1, port.in_waiting))) or None

        yield from _cut(more)


def _cut(more: Callable[[], bytes | None]) -> Iterator[str | None]:
    """Cut what comes into lines."""
    waiting, silent_s = b"", 0.0
    while True:
        data = more()
        if data is None:
            silent_s += WAIT_S
            if silent_s >= SILENT_S:
                raise ConnectionError(f"nothing came for {SILENT_S:g} s")
            yield None
            continue
        silent_s = 0.0
        *whole, waiting = (waiting + data).split(b"\n")
        if len(waiting) > MOST_WAITING:
            waiting = b""
        yield from (_text(line) for line in whole)


def _text(data: bytes) -> str:
    return data.decode("ascii", errors="replace")
