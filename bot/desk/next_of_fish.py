"""Whether calls are what comes next, so that a less sure reading is taken without a question. Pure."""

from datetime import datetime, timedelta
from typing import Final

from bot.trip.acts import ANGLER, BITES, ENDINGS, TABLE, UNDO
from bot.trip.call import Call
from bot.trip.entry import Entry
from bot.trip.meant import EachOfTwo
from bot.trip.state import Trip
from bot.trip.together import BOTH

JUST_BITTEN: Final = timedelta(minutes=3)
"""How long a bite can be taken back without naming it."""

Calls = tuple[Call, ...]


def comes_next(calls: Calls, trip: Trip, last: Entry | None, at: datetime) -> bool:
    """Return whether a single call is what a fish does next: tight after its bite, at the leader or over.

    Of several it is the one whose line is named. That it was missed is said soon after it was hooked; later
    in a fight a gaff may have missed.
    """
    if len(calls) != 1 or last is None or at < last.at:
        return False
    stage, line = TABLE[calls[0].act].stage, calls[0].position
    if stage == "on":
        bitten = TABLE[last.call.act].stage == "struck" and at - last.at <= JUST_BITTEN
        return (bitten and line is None) or _has_just_bitten(trip, line, at)
    if stage == "missed":
        return TABLE[last.call.act].stage == "on" and at - last.at <= JUST_BITTEN
    there = [fish for fish in trip.fish_on if line is None or fish.position == line]
    return stage in ("leader", "caught", "lost") and 1 in (len(trip.fish_on), len(there))


def _has_just_bitten(trip: Trip, line: str | None, at: datetime) -> bool:
    """Return whether a fish bit on a line just now that has not been on yet."""
    waits = [fish for fish in trip.fish if line and fish.position == line and not fish.is_over]
    bitten = [fish.struck_at for fish in waits if fish.struck_at and not fish.was_on]
    return any(timedelta() <= at - struck <= JUST_BITTEN for struck in bitten)


def has_rods(calls: Calls, trip: Trip) -> bool:
    """Return whether somebody is named for each rod, and every rod that is named has a fish now."""
    there = {fish.position for fish in trip.fish if not fish.is_over and fish.was_struck}
    one = len(there) == 1 and len(calls) == 1
    return bool(there and calls) and all(
        call.act == ANGLER
        and call.angler is not None
        and (call.position in there or (one and call.position is None))
        for call in calls
    )


def ends_both(calls: Calls, trip: Trip) -> bool:
    """Return whether "both off" is said while just two are on."""
    both = len(calls) == 1 and calls[0].meaning(EachOfTwo) is not None
    return both and calls[0].act in ENDINGS and len(trip.fish_on) == BOTH


def no_bite(calls: Calls, last: Entry | None, at: datetime) -> bool:
    """Return whether a bite called just now is taken back: "no, that was just weed"."""
    if last is None or last.call.act not in BITES or not timedelta() <= at - last.at <= JUST_BITTEN:
        return False
    return [call.act for call in calls] == [UNDO]
