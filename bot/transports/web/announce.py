"""Where the page is and how to get in: printed on the console, with a QR code for phones."""

import socket
import sys
from collections.abc import Mapping
from ipaddress import ip_address
from typing import Final
from urllib.parse import urlsplit

import segno

from bot.transports.pairing import spell_code

EVERYWHERE: Final = ("0.0.0.0", "::")


def show_code(address: str, codes: Mapping[str, str]) -> None:
    """Print address, the codes and a QR code of the crew's on standard error."""
    reached, code = _reached(address), spell_code(codes["crew"])
    print(f"\nOpen {reached} and enter {code}, or scan:", file=sys.stderr)
    segno.make(f"{reached}#{code}", error="m").terminal(sys.stderr, compact=True)
    if reached.startswith("https:"):
        print(
            "A phone asks once whether it trusts this boat's own certificate: say yes, go on.",
            file=sys.stderr,
        )
    print(
        f"For a guest, who may only ask: {spell_code(codes['guest'])}."
        f" For the skipper, who alone then takes back what others logged: {spell_code(codes['skipper'])}.",
        file=sys.stderr,
    )
    print(
        "Each lets one phone in within ten minutes. New ones come when one was used, the others stay good;"
        " Enter makes new ones and ends all that were shown before.",
        file=sys.stderr,
    )
    sys.stderr.flush()


def is_this_machine(host: str) -> bool:
    """Return whether an address is one that only this computer reaches."""
    try:
        return host == "localhost" or ip_address(host).is_loopback
    except ValueError:
        return False


def warn_of_clear_text() -> None:
    """Warn on standard error that what is said can be read by others on the network."""
    print(
        "Warning: without encryption anybody on this network can read what is said, and take over a phone's"
        " key. Write secure = true under [serve] in deckcall.toml.",
        file=sys.stderr,
        flush=True,
    )


def own_names(host: str) -> tuple[str, ...]:
    """Return the names and addresses by which phones may reach a server that listens there."""
    name = socket.gethostname()
    here = (
        () if host not in EVERYWHERE else (own_address(), name, f"{name.partition('.')[0]}.local")
    )
    return tuple(dict.fromkeys(("localhost", "127.0.0.1", *here, *([host] * (not here)))))


def own_address() -> str:
    """Return the address that the network knows this computer by; nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # TEST-NET-1 of RFC 5737, never reached
            return str(probe.getsockname()[0])
        except OSError:
            return socket.gethostname()


def _reached(address: str) -> str:
    """Put this computer's own address for one that stands for all of them."""
    parts = urlsplit(address)
    if parts.hostname not in EVERYWHERE:
        return address
    return f"{parts.scheme}://{own_address()}:{parts.port}/"
