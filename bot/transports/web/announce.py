"""Where the page is and how to get in: printed on the console, with a QR code for phones."""

import socket
import sys
from typing import Final
from urllib.parse import urlsplit

import segno

from bot.transports.pairing import shown

EVERYWHERE: Final = ("0.0.0.0", "::")


def show_code(address: str, code: str) -> None:
    """Print address, code and a QR code of both on standard error."""
    reached = _reached(address)
    print(f"\nOpen {reached} and enter {shown(code)}, or scan:", file=sys.stderr)
    segno.make(f"{reached}#{shown(code)}", error="m").terminal(sys.stderr, compact=True)
    sys.stderr.flush()


def _reached(address: str) -> str:
    """Put this computer's own address for one that stands for all of them."""
    parts = urlsplit(address)
    if parts.hostname not in EVERYWHERE:
        return address
    return f"{parts.scheme}://{_own_address()}:{parts.port}/"


def _own_address() -> str:
    """Give the address that the network knows this computer by; nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # TEST-NET-1 of RFC 5737, never reached
            return str(probe.getsockname()[0])
        except OSError:
            return socket.gethostname()
