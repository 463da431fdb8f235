"""What is likely to be said now: weights of acts for the ear, by the state of the trip.

A weight is how often an act is said against another one, of those that are about as common at any time;
common practice, no source. Nothing is ruled out: a weight turns the scales only where the sound leaves
two calls nearly alike. Pure.
"""

from collections.abc import Mapping
from enum import StrEnum
from typing import Final

from bot.trip.state import Trip


class Moment(StrEnum):
    """A state of the trip in which other things are said than in the others."""

    ANY = "any"
    """Not known: every act is alike likely."""
    ASHORE = "ashore"
    LINES_UP = "lines up"
    FISHING = "fishing"
    FISH_ON = "fish on"


_BITES: Final = ("strike", "hookup", "raise", "miss")
_ENDS: Final = ("pulled_hook", "break_off", "boat", "release")
_RIGGING: Final = ("ready", "rework", "plan", "ask_ready")

WEIGHTS: Final[Mapping[Moment, Mapping[str, float]]] = {
    Moment.ANY: {},
    Moment.ASHORE: {
        **dict.fromkeys((*_BITES, *_ENDS), 0.2),
        **dict.fromkeys(_RIGGING, 4.0),
        **dict.fromkeys(("trip_start", "lines_in", "set"), 3.0),
        **dict.fromkeys(("lines_out", "trip_end", "clear", "swap"), 0.3),
    },
    Moment.LINES_UP: {
        **dict.fromkeys(_BITES, 0.3),
        **dict.fromkeys(("lines_in", "set"), 4.0),
        **dict.fromkeys((*_RIGGING, "trip_end", "sighting", "mark"), 2.0),
        **dict.fromkeys(("lines_out", "clear"), 0.3),
    },
    Moment.FISHING: {
        **dict.fromkeys(_BITES, 4.0),
        **dict.fromkeys(("swap", "set", "clear", "ask_next", "sighting"), 2.0),
        **dict.fromkeys(("trip_start", "lines_in"), 0.2),
    },
    Moment.FISH_ON: {
        **dict.fromkeys(_ENDS, 4.0),
        **dict.fromkeys(("miss", "clear", "lines_out"), 2.0),
        **dict.fromkeys(("trip_start", "trip_end", "lines_in", *_RIGGING), 0.2),
    },
}
"""Acts that are not named weigh 1."""


def moment_of(trip: Trip) -> Moment:
    """Return which moment it is."""
    if trip.fish_on:
        return Moment.FISH_ON
    if trip.is_fishing:
        return Moment.FISHING
    return Moment.LINES_UP if trip.is_open else Moment.ASHORE
