"""Views of small trips, for the tests of the answers."""

from collections.abc import Sequence
from datetime import UTC, tzinfo
from typing import Any

from bot.answers.planning import build_plan
from bot.answers.view import View
from bot.answers.wanted import plan_input
from bot.spread.plan import Plan
from bot.tackle.items import Boat, Lure
from bot.trip.acts import PLAN
from bot.trip.call import Call
from bot.trip.entry import Record
from bot.trip.memory import Now
from tests.builders import at

BOX = (
    Lure("Garden Gate", 12, ("black", "purple"), ready=True),
    Lure("Milk Jug", 10, ("blue", "white"), ready=True),
    Lure("Tea Cosy", 8, ("green", "yellow"), ready=True),
    Lure("Tin Whistle", 6, ("silver", "blue"), ready=True),
)


def view(
    records: Sequence[Record] = (),
    clock: str = "12:00",
    box: Sequence[Lure] = (),
    tz: tzinfo = UTC,
    **values: Any,
) -> View:
    """Return the view at a time of the day after records."""
    now = Now.after(records)
    held: dict[str, Any] = {"boat": Boat(), "box": tuple(box), "tz": tz} | values
    return View(now.trip, at(clock), tuple(records), now.stood, **held)


def make_plan(seen: View, tackle: str | float | None = None, speed_kn: float | None = None) -> Plan:
    """Return the spread to start with."""
    return build_plan(seen, plan_input(seen, Call(PLAN, tackle=tackle, speed_kn=speed_kn)))
