"""Pictures that go with answers, drawn only where the crew can see them (`View.draws`)."""

from typing import TYPE_CHECKING

from bot.answers.view import View
from bot.messages import Picture

if TYPE_CHECKING:
    from bot.spread.plan import Plan


def spread_pictures(view: View) -> tuple[Picture, ...]:
    """Give the spread from above with its hours and strikes; none where nothing is laid out."""
    if not view.draws or not view.trip.spread:
        return ()
    from bot.pictures.shown import shown_trip
    from bot.pictures.spread_view import spread_picture

    lures = shown_trip(view.trip, view.boat, view.now)
    return (Picture(spread_picture(lures, speed_kn=view.trip.speed_kn), "The spread"),)


def plan_pictures(view: View, plan: "Plan") -> tuple[Picture, ...]:
    """Give a plan from above."""
    if not view.draws or not plan.positions:
        return ()
    from bot.pictures.shown import shown_plan
    from bot.pictures.spread_view import spread_picture

    lures = shown_plan(plan, view.boat)
    return (Picture(spread_picture(lures, speed_kn=plan.speed_kn, title="Plan"), "The plan"),)
