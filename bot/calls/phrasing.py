"""A call in words, as short as it can be read back: "strike, long rigger, purple 8".

For questions and read-back; the longer wording of replies lives in `replies`. Pure.
"""

from collections.abc import Sequence
from typing import Final

from bot.trip.call import Call

_ACTS: Final = {
    "trip_start": "trip start", "trip_end": "trip end", "lines_in": "lines in",
    "lines_out": "lines out", "set": "set", "clear": "clear", "swap": "swap", "raise": "raised",
    "strike": "strike", "hookup": "hooked up", "miss": "missed", "pulled_hook": "pulled hook",
    "break_off": "broken off", "boat": "boated", "release": "released", "sighting": "sighting",
    "mark": "mark", "speed": "speed", "water": "water", "ready": "ready", "rework": "rework",
    "note": "note", "plan": "plan a spread", "ask_tally": "tally", "ask_spread": "the spread",
    "ask_next": "next change", "ask_why": "why", "ask_last": "the last one",
    "ask_ready": "what is ready", "ask_sun": "sun times", "undo": "undo", "amend": "correction",
    "yes": "yes", "no": "no", "help": "help",
}  # fmt: skip


def number(value: float) -> str:
    """Write a number without a needless point."""
    return f"{value:g}"


def lure_words(call: Call, old: bool = False) -> str:
    """Say the lure of a call: "purple black 8", or an empty string."""
    name = call.old_lure if old else call.lure
    colours = call.old_colours if old else call.colours
    size = call.old_size_in if old else call.size_in
    if name and not colours and size is None:
        return name
    parts = [*([call.head] if call.head and not old else []), *colours]
    parts += [number(size)] if size is not None else []
    return " ".join(parts)


def in_words(call: Call) -> str:
    """Say one call."""
    parts = [_ACTS[call.act]]
    place = " ".join(p for p in (call.side, call.position) if p)
    parts += [place] if place else []
    count = f"{call.count} " if call.count else ""
    parts += [f"{count}{call.species}"] if call.species else [count.strip()] if count else []
    old, new = lure_words(call, old=True), lure_words(call)
    parts += [f"{old} for {new}" if old and new else old or new] if old or new else []
    parts += _measures(call)
    parts += [p for p in (call.what, call.about, call.text) if p]
    if call.tackle is not None:
        tackle = call.tackle
        parts.append(tackle if isinstance(tackle, str) else f"{number(tackle)} kg class")
    return ", ".join(parts)


def _measures(call: Call) -> list[str]:
    said = [
        (call.length_cm, "cm"), (call.weight_kg, "kg"), (call.speed_kn, "kn"),
        (call.water_c, "°C"), (call.depth_m, "m deep"),
    ]  # fmt: skip
    parts = [f"{number(value)} {unit}" for value, unit in said if value is not None]
    if call.tagged:
        parts.append(f"tag {call.tag}" if call.tag else "tagged")
    if call.ago_min is not None:
        parts.append(f"{number(call.ago_min)} min ago")
    if call.clock is not None:
        parts.append(f"at {call.clock}")
    return parts


def all_in_words(calls: Sequence[Call]) -> str:
    """Say the calls of one breath."""
    return "; ".join(in_words(c) for c in calls)


def question(options: Sequence[Sequence[Call]]) -> str:
    """Put the one or two likeliest readings as a question."""
    first = all_in_words(options[0])
    if len(options) == 1 or not options[1]:
        return f"Did you say: {first}?"
    return f"First: {first}, or second: {all_in_words(options[1])}?"
