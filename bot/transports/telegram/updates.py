"""Telegram's JSON to plain values; pure, and the only module that knows the field names of updates.

`read` gives None for what concerns no crew (joins, polls, channel posts) and raises Unreadable for
what is no update at all.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

JsonObject = Mapping[str, Any]


class Unreadable(ValueError):
    """An update that has not the shape that the Bot API promises."""


@dataclass(frozen=True, slots=True)
class Attachment:
    """A file that may be a recording; nothing of it has been fetched."""

    file_id: str
    bytes: int
    """As announced; 0 where nothing was said."""
    media_type: str
    name: str
    seconds: float = 0.0
    """As announced; 0 where nothing was said."""


@dataclass(frozen=True, slots=True)
class PlaceMessage:
    """A position that somebody shared."""

    latitude_deg: float
    longitude_deg: float


@dataclass(frozen=True, slots=True)
class PersonMessage:
    """A message of a person: words, a recording or a place."""

    chat: int
    message: int
    user: int
    name: str
    at: datetime
    """When it was sent, by Telegram's clock; not when it arrived."""
    private: bool
    text: str | None = None
    file: Attachment | None = None
    place: PlaceMessage | None = None
    edited_at: datetime | None = None
    more: str = ""
    """What tells the speaker from others of the same first name: last name, else user name."""
    thread: int | None = None
    """The topic of a forum that it was said in."""

    @property
    def ref(self) -> str:
        """Name the message; message ids alone collide between chats."""
        return f"telegram:{self.chat}:{self.message}"


@dataclass(frozen=True, slots=True)
class ButtonPress:
    """A button under one of the bot's own messages."""

    query: str
    chat: int
    message: int
    """The message that the button stands under."""
    user: int
    name: str
    private: bool
    data: str
    more: str = ""
    thread: int | None = None
    """The topic of a forum that the message stands in."""


@dataclass(frozen=True, slots=True)
class GroupMove:
    """A group that has been given another id."""

    chat: int
    to: int


Update = PersonMessage | ButtonPress | GroupMove


def update_id(raw: object) -> int:
    """Return the number of a raw update; raises Unreadable where it has none."""
    number = raw.get("update_id") if isinstance(raw, Mapping) else None
    if not isinstance(number, int) or isinstance(number, bool):
        raise Unreadable("no update_id")
    return number


def chat_of(raw: JsonObject) -> int | None:
    """Return the chat of an update, readable or not; None where it is not clear."""
    for body in raw.values():
        holder = body.get("message", body) if isinstance(body, Mapping) else None
        chat = holder.get("chat") if isinstance(holder, Mapping) else None
        number = chat.get("id") if isinstance(chat, Mapping) else None
        if isinstance(number, int):
            return number
    return None


def read(raw: JsonObject) -> Update | None:
    """Read one update; None where it is nothing for the crew."""
    try:
        if "callback_query" in raw:
            return _pressed(raw["callback_query"])
        if "message" in raw:
            return _message(raw["message"])
        if "edited_message" in raw:
            return _message(raw["edited_message"])
    except (KeyError, TypeError, ValueError, AttributeError, OverflowError, OSError) as exc:
        raise Unreadable(f"{type(exc).__name__}: {exc}") from exc
    return None


def _pressed(query: JsonObject) -> ButtonPress | None:
    if "message" not in query or "data" not in query:
        return None
    chat, user = query["message"]["chat"], query["from"]
    return ButtonPress(
        str(query["id"]),
        int(chat["id"]),
        int(query["message"]["message_id"]),
        int(user["id"]),
        _name(user),
        chat["type"] == "private",
        str(query["data"]),
        _more(user),
        _thread(query["message"]),
    )


def _message(message: JsonObject) -> PersonMessage | GroupMove | None:
    chat = message["chat"]
    if "migrate_to_chat_id" in message:
        return GroupMove(int(chat["id"]), int(message["migrate_to_chat_id"]))
    if "forward_origin" in message or message.get("is_automatic_forward"):
        return None  # said elsewhere, or here before
    user = message.get("from") or {}
    if (message.get("sender_chat") or {}).get("id") == chat["id"]:
        user = message["sender_chat"]  # an admin who speaks as the group
    if not user or user.get("is_bot", False):
        return None
    file = _attachment(message)
    text = message.get("text") or (message.get("caption") if _is_picture(message) else None)
    return PersonMessage(
        int(chat["id"]),
        int(message["message_id"]),
        int(user["id"]),
        _name(user),
        _time(message["date"]),
        chat["type"] == "private",
        str(text) if text is not None else None,
        file,
        _place(message.get("location")),
        _time(message["edit_date"]) if "edit_date" in message else None,
        _more(user),
        _thread(message),
    )


def _thread(message: JsonObject) -> int | None:
    """Return the topic of a forum; in other groups the same number only tells what was replied to."""
    return int(message["message_thread_id"]) if message.get("is_topic_message") else None


def _is_picture(message: JsonObject) -> bool:
    """Return whether the words under a file are the call: those under a recording are not."""
    document = message.get("document") or {}
    sent_as_file = str(document.get("mime_type") or "").startswith(("image/", "video/"))
    return "photo" in message or "video" in message or sent_as_file


def _attachment(message: JsonObject) -> Attachment | None:
    if found := message.get("video_note"):  # a round video: what is heard of it is the call
        return Attachment(
            str(found["file_id"]), int(found.get("file_size") or 0), "audio/mp4", "round video",
            float(found.get("duration") or 0),
        )  # fmt: skip
    for kind in ("voice", "audio", "document"):
        if found := message.get(kind):
            return Attachment(
                str(found["file_id"]),
                int(found.get("file_size") or 0),
                str(found.get("mime_type") or ("audio/ogg" if kind == "voice" else "")),
                str(found.get("file_name") or f"{kind}"),
                float(found.get("duration") or 0),
            )
    return None


def _place(location: JsonObject | None) -> PlaceMessage | None:
    if location is None:
        return None
    latitude, longitude = float(location["latitude"]), float(location["longitude"])
    if not (-90 <= latitude <= 90 and -180 <= longitude <= 180):
        raise ValueError("a place off the globe")
    return PlaceMessage(latitude, longitude)


def _name(user: JsonObject) -> str:
    """Return the name that the crew knows: first name, else user name, title or number."""
    found = (_clean(user.get(key)) for key in ("first_name", "username", "title"))
    return next((name for name in found if name), str(user["id"]))


def _more(user: JsonObject) -> str:
    return _clean(user.get("last_name")) or _clean(user.get("username"))


def _clean(said: object) -> str:
    """Return a name in one line; commas stand between names in the log, so none holds one."""
    words = " ".join(str(said or "").replace(",", " ").split())
    return "".join(letter for letter in words if letter.isprintable())[:40]


def _time(seconds: object) -> datetime:
    if not isinstance(seconds, int) or isinstance(seconds, bool):
        raise TypeError("a date that is no whole number")
    return datetime.fromtimestamp(seconds, UTC)
