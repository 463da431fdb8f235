"""What is said to the crew beside the Desk's own answers, and how a reply becomes messages. Pure."""

from dataclasses import replace
from datetime import datetime
from typing import Final

from bot.messages import Button, Reply
from bot.transports.telegram.cut import cut
from bot.transports.telegram.store import Send

COMMANDS: Final = {
    "tally": ("tally", "strikes, hours and rates so far"),
    "spread": ("what's out", "what is in the water"),
    "next": ("what next", "the next change worth making"),
    "why": ("why", "the numbers behind it"),
    "undo": ("undo", "the last entry is void"),
    "me": ("me", "your id and this chat's, for the settings"),
    "help": ("help", "what can be called"),
}
"""The command menu: what a command says, and what the menu says of it."""
GUEST: Final = "Guests may ask, in typed words: tally, what's out, what next. Nothing was logged."
ME: Final = "me"
STALE: Final = "That was answered, or other calls came since. Call it out instead."
NO_RECORDING: Final = "Telegram no longer has that recording. Please call it again."
NO_REPORT: Final = "The report could not be made just now. Ask again: where is the report."
FAILURE_TEXT: Final = "That call makes me fail, so it is not logged. Please say it another way."


def sends_of(
    reply: Reply, chat: int, message: int, at: datetime, acknowledge: str = "reply"
) -> list[Send]:
    """Return what a reply puts into the outbox: nothing for an empty one, words to an emergency at once."""
    if not reply.text and not reply.pictures:
        return []
    urgent = any(call["act"] == "emergency" for call in reply.calls)
    more = reply.ask or reply.advice or reply.pictures or reply.report or urgent
    plain = reply.logged and not more
    if acknowledge == "reaction" and plain:
        return [Send(chat, reply.text, at, message, kind="reaction")]
    sends = [Send(chat, part, at, message, urgent=urgent) for part in cut(reply.text) if part]
    if sends and reply.buttons:
        sends[-1] = replace(sends[-1], buttons=_few(reply.buttons))
    sends += [
        Send(chat, picture.caption, at, message, picture=picture.data, kind="picture")
        for picture in reply.pictures
    ]
    return sends


def report_of(
    reply: Reply, chat: int, message: int, at: datetime, paper: bytes | None
) -> list[Send]:
    """Return what sends the report of a trip as a file, or says that it could not be made."""
    if paper is None:
        return [Send(chat, NO_REPORT, at, message)]
    name = f"report-{reply.report}.pdf"
    return [Send(chat, name, at, message, picture=paper, kind="file")]


def plain(text: str, bot_name: str) -> str | None:
    """Turn a command of the menu into what it says; empty where it is for another bot.

    None where `bot_name` would have to be known, and is not.
    """
    first, _, rest = text.partition(" ")
    if bot_name and first.casefold() == f"@{bot_name}".casefold():
        return rest.strip()
    if not text.startswith("/"):
        return text
    name, _, meant = first[1:].partition("@")
    if meant and not bot_name:
        return None
    if meant and meant.casefold() != bot_name.casefold():
        return ""
    if name == "start":
        return "help"
    known = COMMANDS.get(name.lower())
    return f"{known[0] if known else name} {rest}".strip()


def ids(user: int, chat: int) -> str:
    """Return the numbers that the settings want."""
    return f"Your id is {user}, this chat's is {chat}."


def too_large(max_bytes: int) -> str:
    """Return the sentence that a recording is too large."""
    return f"That recording is over {max_bytes / 1e6:g} MB. A call takes a few seconds."


def too_long(max_s: float) -> str:
    """Return that a recording is too long."""
    return f"Not logged: that recording is longer than {max_s:g} s. Say one call in one recording."


def _few(buttons: tuple[Button, ...]) -> tuple[Button, ...]:
    return buttons[:4]
