"""Pictures that go with answers: the spread and the plan from above, counted in this crew's waves."""

from typing import TYPE_CHECKING, Final

from bot.answers.spacing import USUAL_KN, runs, wave_count
from bot.answers.view import View
from bot.messages import Picture

if TYPE_CHECKING:
    from bot.pictures.canvas import Form
    from bot.spread.plan import Plan

_SHOW: Final = frozenset(
    {"picture", "pictures", "drawing", "draw", "sketch", "image", "diagram", "chart", "show"}
)
"""Words that ask for a picture on whatever screen."""


def wants_picture(view: View) -> bool:
    """Say whether a picture goes with the answer: where it can be seen, and where one was asked for."""
    return view.draws or not _SHOW.isdisjoint(view.heard.casefold().split())


def spread_pictures(view: View, form: "Form" = "png") -> tuple[Picture, ...]:
    """Draw the spread from above with its hours and strikes; none where nothing is laid out."""
    if not view.trip.spread:
        return ()
    from bot.pictures.canvas import MEDIA_TYPES
    from bot.pictures.shown import shown_trip
    from bot.pictures.spread_view import spread_picture

    count = wave_count(view)
    runs_m = {one.lure.position: one.back_m for one in runs(view, view.trip.speed_kn or USUAL_KN)}
    lures = shown_trip(view.trip, view.boat, view.now, count=count, runs_m=runs_m)
    drawn = spread_picture(lures, speed_kn=view.trip.speed_kn, count=count, form=form)
    return (Picture(drawn, "The spread", MEDIA_TYPES[form]),)


def plan_pictures(view: View, plan: "Plan", form: "Form" = "png") -> tuple[Picture, ...]:
    """Draw a plan from above; none where it is empty."""
    if not plan.positions:
        return ()
    from bot.pictures.canvas import MEDIA_TYPES
    from bot.pictures.shown import shown_plan
    from bot.pictures.spread_view import spread_picture

    lures, count = shown_plan(plan, view.boat), wave_count(view)
    drawn = spread_picture(lures, speed_kn=plan.speed_kn, count=count, title="Plan", form=form)
    return (Picture(drawn, "The plan", MEDIA_TYPES[form]),)
