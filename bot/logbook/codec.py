"""Records, replies and transcripts to text that is stored, and back.

A kind is a fixed string and a version, never a class path: what is stored outlives the code. What a
newer program wrote and this one does not know is a finding, not an error. Only here may `Any` live.
"""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from typing import Any, Final

from bot.findings import Finding
from bot.messages import Advice, Button, Reply
from bot.stamps import MEASURED_FIELDS, NO_STAMP, Stamp
from bot.transcript import Transcript, shown_name, without_controls
from bot.trip.call import from_json
from bot.trip.entry import Advised, Asked, Entry, Record, Restored, Voided

VERSION: Final = 2
"""2: an entry holds what its words mean; see `old_words` for those that do not."""
ENTRY, VOIDED, RESTORED, ASKED, ADVISED = "entry", "voided", "restored", "asked", "advised"

_TIME: Final = "%Y-%m-%dT%H:%M:%SZ"


@dataclass(frozen=True, slots=True)
class Row:
    """A record as it stands in its table."""

    id: str
    message: str
    trip: str
    at: str
    kind: str
    version: int
    crew: str
    source: str
    text: str
    body: str


def encode(record: Record, trip: str) -> Row:
    """Return the row of a record; `trip` is for records that are not entries."""
    crew = source = text = ""
    match record:
        case Entry():
            kind, trip = ENTRY, record.trip
            crew, source, text = record.crew, record.source, record.text
            body: dict[str, Any] = {"call": record.call.to_log()}
            if record.inferred:
                body["inferred"] = record.inferred
            if record.replaces is not None:
                body["replaces"] = record.replaces
            if record.place is not None:
                body["latitude"], body["longitude"] = record.place
            if record.stamp != NO_STAMP:
                body["stamp"] = {k: v for k, v in asdict(record.stamp).items() if v is not None}
        case Voided():
            kind, body = VOIDED, {"entries": record.entries}
        case Restored():
            kind, body = RESTORED, {"entries": record.entries}
        case Asked():
            kind, crew, text = ASKED, record.crew, record.text
            options = [[call.to_log() for call in option] for option in record.options]
            body = {"question": record.question, "options": options}
            body |= {"closes": record.closes} if record.closes else {}
            body |= {"sure": round(record.sure, 4)} if record.sure else {}
            if record.about is not None:
                body["about"] = record.about.to_log()
        case Advised():
            kind, body = ADVISED, {"advice": asdict(record.advice)}
    return Row(
        record.id, record.message, trip, to_text(record.at), kind, VERSION, crew, source, text,
        to_json(body),
    )  # fmt: skip


def decode(row: Row) -> Record | Finding:
    """Return the record of a row, or a finding where a newer program wrote it."""
    if row.version <= VERSION:
        try:
            found = _decoded(row, json.loads(row.body))
        except (KeyError, TypeError, ValueError, AttributeError) as problem:
            return _unreadable(f"({row.kind}: {type(problem).__name__})")
        if found is not None:
            return found
    return _unreadable(f"of kind {row.kind!r}, version {row.version}")


def _decoded(row: Row, body: Mapping[str, Any]) -> Record | None:
    at = from_text(row.at)
    if row.kind == ENTRY:
        return Entry(
            row.id, row.trip, at, from_json(_shown(body["call"])), shown_name(row.crew), row.source,
            without_controls(row.text),
            row.message, body.get("replaces"), tuple(body.get("inferred", ())),
            body.get("latitude"), body.get("longitude"), _stamp(body.get("stamp", {})),
        )  # fmt: skip
    if row.kind == VOIDED:
        return Voided(row.id, tuple(body["entries"]), at, row.message)
    if row.kind == RESTORED:
        return Restored(row.id, tuple(body["entries"]), at, row.message)
    if row.kind == ASKED:
        options = tuple(tuple(from_json(call) for call in option) for option in body["options"])
        about = from_json(body["about"]) if "about" in body else None
        return Asked(
            row.id, body["question"], options, at, row.text, row.crew, row.message,
            body.get("closes", ""), about, body.get("sure", 0.0),
        )  # fmt: skip
    if row.kind == ADVISED:
        return Advised(row.id, Advice(**body["advice"]), at, row.message)
    return None


def _shown(call: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return the slots of a call, their texts as they may be shown, whatever was once kept."""
    if all(not isinstance(value, str) or value.isprintable() for value in call.values()):
        return call
    return {
        key: without_controls(value) if isinstance(value, str) else value
        for key, value in call.items()
    }


def _stamp(said: Mapping[str, Any]) -> Stamp:
    """Return a stamp with what this program knows of it."""
    if not said:
        return NO_STAMP
    values = {name: said.get(name) for name in MEASURED_FIELDS}
    return Stamp(said.get("place_from"), **values)


def encode_reply(reply: Reply) -> str:
    """Return a reply as text, without its pictures."""
    return to_json(
        {
            "text": reply.text,
            "spoken": reply.spoken,
            "calls": reply.calls,
            "advice": None if reply.advice is None else asdict(reply.advice),
            "confidence": reply.confidence,
            "ask": reply.ask,
            "logged": reply.logged,
            "heard": reply.heard,
            "buttons": [asdict(button) for button in reply.buttons],
            "report": reply.report,
        }
    )


def decode_reply(text: str) -> Reply:
    """Read a reply back."""
    data = json.loads(text)
    return Reply(
        text=data["text"],
        spoken=data["spoken"],
        calls=tuple(data["calls"]),
        advice=None if data["advice"] is None else Advice(**data["advice"]),
        confidence=data["confidence"],
        ask=data["ask"],
        logged=tuple(data["logged"]),
        heard=data["heard"],
        buttons=tuple(Button(**button) for button in data["buttons"]),
        report=data.get("report", ""),  # older replies had none
    )


def encode_transcript(transcript: Transcript | None) -> str:
    """Return what was heard as text."""
    return "null" if transcript is None else to_json(asdict(transcript))


def to_text(at: datetime) -> str:
    """Write a time: ISO 8601, UTC, whole seconds."""
    return at.astimezone(UTC).strftime(_TIME)


def from_text(text: str) -> datetime:
    """Read a time that `to_text` wrote."""
    return datetime.fromisoformat(text).astimezone(UTC)


def to_json(value: Any) -> str:
    """Write JSON as it is stored: short, and readable in any language."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def _unreadable(why: str) -> Finding:
    return Finding(
        "caution",
        f"The log holds something {why} that this program cannot read; a newer one wrote it.",
        "the log",
        code="unreadable-record",
    )
