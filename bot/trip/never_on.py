"""What a miss says of a fish that was called hooked up: it never stuck, so it was a strike. Pure."""

from dataclasses import replace
from datetime import datetime

from bot.trip.acts import STRIKE, TABLE
from bot.trip.call import Call
from bot.trip.fill import fish_meant
from bot.trip.progress import Progress


def take_back_hookup(so_far: Progress, call: Call, at: datetime) -> None:
    """Take back the hook-up of a fish that never stuck, as is said now; a strike is left of it."""
    then = so_far.now.trip
    if then.last_at is not None and at < then.last_at:
        then = so_far.now.until(at)
    fish = fish_meant(call, then, at)
    if fish is None or not fish.is_on or fish.leader_at or fish.ends or fish.count > 1:
        return
    own = [e for e in so_far.now.stood if e.id in fish.entries]
    hooked = [e for e in own if TABLE[e.call.act].stage == "on"]
    so_far.taken_back.extend(e.id for e in hooked)
    if hooked and fish.struck_at is None:
        so_far.stand_for(hooked[0], replace(hooked[0], call=replace(hooked[0].call, act=STRIKE)))
        hooked = hooked[1:]
    if hooked:
        so_far.void(tuple(e.id for e in hooked))
