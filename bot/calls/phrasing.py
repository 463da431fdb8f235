"""A call in words, as short as it can be read back: "strike, long rigger, purple 8".

For questions and read-back; the longer wording of replies lives in `replies`. Pure.
"""

from collections.abc import Sequence

from bot.trip.acts import TABLE
from bot.trip.call import Call
from bot.trip.meant import SpreadWish
from bot.trip.said_units import measures


def lure_words(call: Call, old: bool = False) -> str:
    """Return the lure of a call: "purple black 8", or an empty string."""
    name = call.old_lure if old else call.lure
    colours = call.old_colours if old else call.colours
    size = call.old_size_in if old else call.size_in
    if name and not colours and size is None:
        return name
    parts = [*([call.head] if call.head and not old else []), *colours]
    parts += [figure(size)] if size is not None else []
    return " ".join(parts)


def in_words(call: Call) -> str:
    """Return one call in words, its measures in the units in which they were said."""
    row = TABLE[call.act]
    parts = [row.asked or row.label]
    place = " ".join(p for p in (call.side, call.position) if p)
    parts += [place] if place else []
    seen = " ".join(p for p in (str(call.count or ""), call.species or call.what) if p)
    parts += [seen] if seen else []
    old, new = lure_words(call, old=True), lure_words(call)
    parts += [f"{old} for {new}" if old and new else old or new] if old or new else []
    parts += [*measures(call), *_when(call)]
    parts += [
        p for p in (call.species and call.what, call.angler, call.tray, call.about, call.text) if p
    ]
    wish = call.meaning(SpreadWish)
    if wish is not None and wish.without:
        parts[-1] += f" without {' or '.join(wish.without)}"
    if call.tackle is not None:
        tackle = call.tackle
        parts.append(tackle if isinstance(tackle, str) else f"{figure(tackle)} kg class")
    return ", ".join(parts)


def _when(call: Call) -> list[str]:
    parts = [f"{figure(call.ago_min)} min ago"] if call.ago_min is not None else []
    return [*parts, f"at {call.clock}"] if call.clock is not None else parts


def all_in_words(calls: Sequence[Call]) -> str:
    """Return the calls of one breath in words."""
    return "; ".join(in_words(c) for c in calls)


def question(options: Sequence[Sequence[Call]]) -> str:
    """Return the question that offers the one or two likeliest readings."""
    first = all_in_words(options[0])
    if len(options) == 1 or not options[1]:
        return f"Did you say: {first}?"
    return f"First: {first}, or second: {all_in_words(options[1])}?"


def figure(value: float) -> str:
    """Write a number without a needless point."""
    return f"{value:g}"
