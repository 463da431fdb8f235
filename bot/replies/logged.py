"""What was logged, as one line for each entry: act, place, lure, and how long it was in the water. Pure."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta, tzinfo
from typing import Final

from bot.replies.amounts import clock, count, joined, number, sentence, span_words
from bot.trip.call import Call
from bot.trip.lures import is_known, label
from bot.trip.state import InWater, Trip

LATE: Final = timedelta(seconds=30)
"""An entry that happened longer before it was said shows its time."""


@dataclass(frozen=True, slots=True)
class Logged:
    """One act as it went into the log, with what was true around it."""

    call: Call
    """Complete: with what follows from the log."""
    at: datetime
    said_at: datetime
    tz: tzinfo = UTC
    before: Trip = field(default_factory=Trip)
    after: Trip = field(default_factory=Trip)
    hours: float | None = None
    """Lure-hours of the lure that was there; None where they would mislead."""
    there: InWater | None = None
    """The lure that was on that line before."""
    fought: timedelta | None = None
    """How long the fish was on, where this ended it."""


def logged_line(one: Logged) -> str:
    """Give the line that says what was logged."""
    text = _LINES[one.call.act](one)
    if one.said_at - one.at > LATE and one.call.act not in _TIMED:
        first, dot, rest = text.partition(". ")
        text = f"{first.rstrip('.')}, at {clock(one.at, one.tz)}.{' ' if dot else ''}{rest}"
    return text


def spoken_line(call: Call) -> str:
    """Say one entry aloud, in a breath."""
    if call.act == "speed" and call.speed_kn is not None:
        return f"Speed {number(call.speed_kn)} knots."
    what = _ALOUD.get(call.act, _words(call.act))
    parts = [what]
    if call.act in ("boat", "release"):
        parts += [_fish(call)] if call.species or call.count else []
    elif call.act == "sighting":
        parts.append(_seen(call))
    parts.append(_place(call))
    parts += [label(call).removesuffix(" in")] if call.act in _LAID and is_known(call) else []
    return sentence(joined(parts))


def short(call: Call) -> str:
    """Name an entry in as few words as tell it from others: `strike, long rigger`."""
    about = _place(call) or call.species or call.what or call.text or ""
    if call.act in ("ready", "rework") and is_known(call):
        about = label(call)
    if call.act in ("boat", "release") and call.species:
        about = call.species
    return joined((_words(call.act), about))


def list_words(calls: Iterable[Call]) -> str:
    """Name several entries, one after the other."""
    return "; ".join(short(call) for call in calls)


def _trip_start(one: Logged) -> str:
    return f"Trip started, {clock(one.at, one.tz)}."


def _trip_end(one: Logged) -> str:
    started = one.after.started or one.after.first_at
    return f"Trip ended, {clock(one.at, one.tz)}{_after(started, one.at)}."


def _lines_in(one: Logged) -> str:
    out = "; ".join(
        f"{lure.line or lure.position} {lure.label}" for lure in one.after.spread.values()
    )
    return f"Lines in, {clock(one.at, one.tz)}. " + (
        sentence(out) if out else "No lure logged yet."
    )


def _lines_out(one: Logged) -> str:
    return f"Lines out, {clock(one.at, one.tz)}{_after(one.before.fishing_since, one.at)}."


def _after(since: datetime | None, at: datetime) -> str:
    return f", after {span_words(at - since)}" if since is not None and since < at else ""


def _set(one: Logged) -> str:
    return sentence(f"Set, {_where(one.call)}: {_lure(one.call)}")


def _clear(one: Logged) -> str:
    if one.there is None:
        return f"Cleared, {_where(one.call)}."
    fished = f", {_time_of(one)} in the water" if one.hours else ""
    return f"Cleared, {_where(one.call)}: {one.there.label}{fished}."


def _swap(one: Logged) -> str:
    out = ""
    if one.there is not None and is_known(one.there):
        out = f" for {one.there.label}" + (f" ({_time_of(one)})" if one.hours else "")
    return sentence(f"Swap, {_where(one.call)}: {_lure(one.call)}{out}")


def _bite(one: Logged) -> str:
    call = one.call
    fish = _fish(call) if call.species or call.count else ""
    text = sentence(
        joined((_words(call.act), _place(call), label(call) if is_known(call) else "", fish))
    )
    if one.hours is not None and one.before.is_fishing:
        text += f" {sentence(_time_of(one))[:-1]} in the water."
    if not call.position:
        text += " Which position?"
    return text + _also_on(one)


def _ending(one: Logged) -> str:
    call = one.call
    parts = [_words(call.act), _fish(call) if call.species or call.count else ""]
    parts += [f"{number(call.weight_kg)} kg"] if call.weight_kg is not None else []
    parts += [f"{number(call.length_cm)} cm"] if call.length_cm is not None else []
    parts += [f"tag {call.tag}" if call.tag else "tagged"] if call.tagged else []
    parts.append(_place(call))
    took = f" On for {span_words(one.fought)}." if one.fought else ""
    gone = one.after.lost[len(one.before.lost) :] if call.act == "break_off" else ()
    lost = "".join(f" Lost: {lure.label}." for lure in gone)
    return sentence(joined(parts)) + took + lost + _also_on(one)


def _sighting(one: Logged) -> str:
    return f"Seen: {_seen(one.call)}."


def _mark(one: Logged) -> str:
    text = f": {one.call.text}" if one.call.text else ""
    return f"Marked, {clock(one.at, one.tz)}{text}."


def _speed(one: Logged) -> str:
    speed = one.call.speed_kn
    return "Speed noted." if speed is None else f"Speed {number(speed)} kn."


def _water(one: Logged) -> str:
    call = one.call
    parts = [f"{number(call.water_c)} °C"] if call.water_c is not None else []
    parts += [f"{number(call.depth_m)} m deep"] if call.depth_m is not None else []
    return f"Water: {joined([*parts, call.what or '']) or 'noted'}."


def _ready(one: Logged) -> str:
    return sentence(f"Ready: {_lure(one.call)}")


def _rework(one: Logged) -> str:
    call = one.call
    if (call.text or "").casefold() == "lost":
        there = next((x for x in one.after.spread.values() if x.lure and x.lure == call.lure), None)
        still = f" It is still logged on the {there.line or there.position}." if there else ""
        return sentence(f"Lost: {_lure(call)}") + still
    return sentence(f"To rework: {joined((_lure(call), call.text or ''))}")


def _note(one: Logged) -> str:
    return sentence(f"Noted: {one.call.text}") if one.call.text else "Noted."


def _where(call: Call) -> str:
    return _place(call) or "which position?"


def _place(call: Call) -> str:
    return " ".join(word for word in (call.side, call.position) if word and call.position)


def _lure(call: Call) -> str:
    return label(call) if is_known(call) else "which lure?"


def _fish(call: Call) -> str:
    return f"{call.count} {call.species or 'fish'}" if call.count else call.species or "fish"


def _seen(call: Call) -> str:
    count_ = f"{call.count} " if call.count else ""
    return joined((call.what or "", f"{count_}{call.species or ''}".strip()))


def _time_of(one: Logged) -> str:
    return span_words(timedelta(hours=one.hours or 0.0))


def _also_on(one: Logged) -> str:
    """Say how many fish are on, where it is more than one: nobody keeps count then."""
    on = sum(fish.count - sum(end.count for end in fish.ends) for fish in one.after.fish_on)
    return f" {count(on, 'fish')} on now." if on > 1 else ""


def _words(act: str) -> str:
    return _WORDS.get(act, act.replace("_", " "))


_TIMED: Final = frozenset({"trip_start", "trip_end", "lines_in", "lines_out", "mark"})
_LAID: Final = frozenset({"set", "swap", "raise", "strike", "hookup", "ready", "rework"})

_WORDS: Final[Mapping[str, str]] = {
    "raise": "raised", "hookup": "hooked up", "miss": "missed", "break_off": "broken off",
    "boat": "boated", "release": "released", "sighting": "seen", "rework": "to rework",
}  # fmt: skip
_ALOUD: Final[Mapping[str, str]] = {
    "trip_start": "trip started", "trip_end": "trip ended", "clear": "cleared", "note": "noted",
    "mark": "marked",
}  # fmt: skip

_LINES: Final[Mapping[str, Callable[[Logged], str]]] = {
    "trip_start": _trip_start, "trip_end": _trip_end, "lines_in": _lines_in,
    "lines_out": _lines_out, "set": _set, "clear": _clear, "swap": _swap, "raise": _bite,
    "strike": _bite, "hookup": _bite, "miss": _ending, "pulled_hook": _ending,
    "break_off": _ending, "boat": _ending, "release": _ending, "sighting": _sighting,
    "mark": _mark, "speed": _speed, "water": _water, "ready": _ready, "rework": _rework,
    "note": _note,
}  # fmt: skip
