"""The lines that the phones are told, as values: a call with its answer, or what is said unasked."""

from collections.abc import Sequence
from typing import Any

from bot.messages import Message, Reply
from bot.transports.pressing import lasts
from bot.transports.web.devices import Device
from bot.transports.web.wire import now


def line_of(
    number: int,
    message: Message,
    device: Device,
    said: str,
    reply: Reply,
    pictures: Sequence[dict[str, str]],
) -> dict[str, Any]:
    """Return the line of a message and its answer."""
    return {
        "id": number,
        "ref": message.ref,
        "who": device.name,
        "at": message.at.isoformat(),
        "said": reply.heard or said if message.sound is not None else said,
        "text": reply.text,
        "spoken": reply.spoken,
        "report": reply.report,
        "pictures": list(pictures),
        "buttons": [
            {"label": b.label, "say": b.say, "about": b.about, "stands": lasts(b.say)}
            for b in reply.buttons
        ],
        "device": device.id,
        "editable": message.sound is None and bool(reply.logged),
        "edited": message.edited_at is not None,
    }


def unasked_line(number: int, text: str) -> dict[str, Any]:
    """Return the line of what is said without a call."""
    return {
        "id": number,
        "ref": f"unasked:{number}",
        "who": "deckcall",
        "at": now().isoformat(),
        "said": "",
        "text": text,
        "spoken": text,
        "report": "",
        "pictures": [],
        "buttons": [],
        "device": None,
        "editable": False,
        "edited": False,
    }
