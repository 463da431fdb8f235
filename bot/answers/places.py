"""The way to where something was logged, where the boat's position is known."""

from collections.abc import Collection
from typing import Final

from bot.answers.view import View
from bot.replies.amounts import clock, number, span_words
from bot.trip.acts import TABLE
from bot.trip.call import Call
from bot.trip.entry import Entry
from bot.water.bearing import METRES_A_NM, Leg, leg

NEAR_NM: Final = 0.1
"""Distance below which metres are given; a shared position is good to some ten metres at best."""
UNKNOWN_HERE: Final = "Where the boat is now is not known: share a (live) position in the chat."
UNKNOWN_THERE: Final = "No place was known when that was logged."


def way_words(found: Leg) -> str:
    """Write a way: `1.2 nm, 245° true`; bearings in three figures (common practice, no source)."""
    if found.distance_nm < NEAR_NM:
        away = f"{found.distance_nm * METRES_A_NM:.0f} m"
    else:
        away = f"{number(found.distance_nm, 0 if found.distance_nm >= 10 else 1)} nm"
    return f"{away}, {round(found.bearing_deg) % 360:03d}° true"


def from_here(view: View, call: Call, entries: Collection[str]) -> str:
    """Return the distance and bearing of an event; empty where nobody asked or it is unknown."""
    there = place_of(view, entries)
    if there is not None and view.here is not None:
        return f"{way_words(leg(view.here, there))} from here."
    if not call.asks("way"):
        return ""
    return UNKNOWN_THERE if there is None else UNKNOWN_HERE


def place_of(view: View, entries: Collection[str]) -> tuple[float, float] | None:
    """Return where an event was logged; None where that is not known."""
    return next((e.place for e in view.stood if e.id in entries and e.place is not None), None)


def last_mark(view: View, call: Call) -> str:
    """Return when the last spot was marked, and the way to it."""
    marks: list[Entry] = [entry for entry in view.stood if TABLE[entry.call.act].form == "mark"]
    if not marks:
        return "No spot is marked on this trip. Say: mark."
    mark = marks[-1]
    words = f": {mark.call.text}" if mark.call.text else ""
    ago = span_words(view.now - mark.at)
    said = f"Last mark {clock(mark.at, view.tz)}, {ago} ago{words}."
    return f"{said} {from_here(view, call, {mark.id})}".strip()
