"""Tell whether "he's back in the boat" is about somebody who fell in, and not about a fish. Pure."""

from datetime import datetime, timedelta
from typing import Final

from bot.trip.acts import TABLE
from bot.trip.call import Call
from bot.trip.state import Trip

RECOVERED_WITHIN: Final = timedelta(minutes=30)
"""How long "in the boat" means the man who was overboard, unless a fish is named."""


def is_the_man(trip: Trip, call: Call, at: datetime) -> bool:
    """Return whether "he's back in the boat" is about somebody who fell in, and not about a fish."""
    fell = next((one for one in reversed(trip.trouble) if one.what == "man overboard"), None)
    said = call.said().keys() - {"ago_min", "clock", "side"}
    return (
        TABLE[call.act].stage == "caught"
        and not said
        and fell is not None
        and timedelta() <= at - fell.at <= RECOVERED_WITHIN
    )
