"""Pictures that go with answers: the spread and the plan from above, counted in this crew's waves."""

from typing import TYPE_CHECKING

from bot.advice.rates import rate_per_10h
from bot.answers.spacing import runs, wave_count
from bot.answers.view import View
from bot.messages import Advice, Picture
from bot.replies.amounts import number
from bot.spread.positions import in_order
from bot.spread.trays import laid_out, not_ready
from bot.tackle.crew_units import METRIC, CrewUnits
from bot.tackle.trays import Tray, TrayLure
from bot.trip.call import Call
from bot.trip.conditions import MONTHS
from bot.trip.exposure import horizon
from bot.trip.tally import tally

if TYPE_CHECKING:
    from bot.pictures.canvas import Form
    from bot.spread.plan import Plan
    from bot.trip.tally import Tally


def asks_picture(call: Call) -> bool:
    """Return whether a question asks for a picture in so many words."""
    return call.asks("picture")


def wants_picture(view: View, call: Call) -> bool:
    """Return whether a picture goes with an answer: where it can be shown, or was asked for."""
    return view.draws or call.asks("show")


def spread_pictures(view: View, form: "Form" = "png") -> tuple[Picture, ...]:
    """Return a drawing of the spread from above with hours and strikes; none where nothing is laid out."""
    if not view.trip.spread:
        return ()
    from bot.pictures.canvas import MEDIA_TYPES
    from bot.pictures.shown import shown_trip
    from bot.pictures.spread_view import spread_picture

    count = wave_count(view)
    speed_kn = view.trip.speed_kn or view.speed_kn
    runs_m = {one.lure.position: one.back_m for one in runs(view, speed_kn)}
    lures = shown_trip(
        view.trip, view.boat.in_units(view.units), view.now, count=count, runs_m=runs_m
    )
    called = view.trip.speed_kn is not None
    drawn = spread_picture(
        lures, speed_kn=speed_kn, count=count, called=called, stamp=stamp(view), form=form
    )
    return (Picture(drawn, "The spread", MEDIA_TYPES[form]),)


def stamp(view: View) -> str:
    """Return the text on every picture: the boat, and the time up to which the log is counted."""
    at = horizon(view.trip, view.now).astimezone(view.tz)
    when = f"{at.day} {MONTHS[at.month - 1]} {at.year}, {at:%H:%M}"
    return f"{view.boat.name}, {when}" if view.boat.name else when


def tally_pictures(
    view: View, found: "Tally", below: str, form: "Form" = "png"
) -> tuple[Picture, ...]:
    """Return a drawing of a tally: a day by the hour, else rates; none where nothing was counted.

    `below` says of which trips it is, and what is looked at.
    """
    from bot.pictures.canvas import MEDIA_TYPES
    from bot.pictures.shown import shown_hours, shown_rates
    from bot.pictures.tally_view import LEAST_H, day_picture, rates_picture

    shown = found if found.by != "none" else _by_hour(view)
    title = f"Strikes{_by_words(shown)}"
    if shown.by == "hour" and shown.also == "none":
        hours = shown_hours(shown)
        drawn = b""
        if hours:
            drawn = day_picture(hours, title=title, below=below, stamp=stamp(view), form=form)
    else:
        rates = shown_rates(shown)
        known = shown.total.hours >= LEAST_H
        overall = rate_per_10h(shown.total.strikes, shown.total.hours) if known else None
        drawn = b""
        if rates:
            many = sum(row.hours > 0 or row.strikes > 0 for row in shown.rows)
            if many > len(rates):
                below = f"{below or 'this trip'}, the {len(rates)} of {many} with most strikes"
            drawn = rates_picture(
                rates, title=title, below=below, stamp=stamp(view), overall=overall, form=form
            )
    return (Picture(drawn, title, MEDIA_TYPES[form]),) if drawn else ()


def conversion_pictures(
    view: View, found: "Tally", below: str, form: "Form" = "png"
) -> tuple[Picture, ...]:
    """Return a drawing of the shares of strikes hooked and of fish caught; none without a strike."""
    from bot.pictures.canvas import MEDIA_TYPES
    from bot.pictures.conversion_view import conversion_picture
    from bot.pictures.shown import shown_conversions

    rows = shown_conversions(found)
    if not rows:
        return ()
    title = f"Hooked and landed{_by_words(found)}"
    drawn = conversion_picture(rows, title=title, below=below, stamp=stamp(view), form=form)
    return (Picture(drawn, title, MEDIA_TYPES[form]),)


def _by_words(found: "Tally") -> str:
    things = " and ".join(by for by in (found.by, found.also) if by != "none")
    return f" by {things}" if things else ""


def _by_hour(view: View) -> "Tally":
    return tally((view.trip,), "hour", view.now, view.tz)


def advice_pictures(view: View, advice: Advice, form: "Form" = "png") -> tuple[Picture, ...]:
    """Return a drawing of a proposed change: its chance, and the rates of both lures."""
    from bot.pictures.advice_view import advice_picture
    from bot.pictures.canvas import MEDIA_TYPES
    from bot.pictures.shown import shown_contrast

    out = next((x for x in view.trip.in_water.values() if x.position == advice.position), None)
    rates = shown_contrast(view.trip, view.now, view.tz, out, view.lure(advice.lure))
    drawn = advice_picture(
        lure=advice.lure,
        position=advice.position,
        chance=advice.chance,
        gain_per_h=advice.gain_per_h,
        reason=advice.reason,
        out="" if out is None else out.label,
        rates=rates,
        stamp=stamp(view),
        form=form,
    )
    return (Picture(drawn, "The next change", MEDIA_TYPES[form]),)


def terms_of(tray: Tray, units: CrewUnits = METRIC) -> str:
    """Return the tackle and speed of a tray in words; empty where nothing was said."""
    word = tray.tackle
    tackle = f"{word} tackle" if isinstance(word, str) else units.line(word) if word else ""
    speed = f"{number(tray.speed_kn)} kn" if tray.speed_kn else ""
    return ", ".join(part for part in (tackle, speed) if part)


def plan_pictures(view: View, plan: "Plan", form: "Form" = "png") -> tuple[Picture, ...]:
    """Return a drawing of a plan from above; none where it is empty."""
    if not plan.positions:
        return ()
    from bot.pictures.canvas import MEDIA_TYPES
    from bot.pictures.shown import shown_plan
    from bot.pictures.spread_view import spread_picture

    lures, count = shown_plan(plan, view.boat.in_units(view.units)), wave_count(view)
    drawn = spread_picture(
        lures, speed_kn=plan.speed_kn, count=count, title="Plan", stamp=stamp(view), form=form
    )
    return (Picture(drawn, "The plan", MEDIA_TYPES[form]),)


def tray_pictures(view: View, tray: Tray, form: "Form" = "png") -> tuple[Picture, ...]:
    """Return a drawing of a tray, or the card for its lid; none where it is empty."""
    if not tray.lures:
        return ()
    from bot.pictures.canvas import MEDIA_TYPES
    from bot.pictures.tray_view import ShownInTray, tray_picture
    from bot.spread.unmet import hooks_and_leader

    laid, left = laid_out(tray, view.box, view.boat, view.weights)
    due = {one.label: why.split(",")[0] for one, why in not_ready(tray, view.readiness)}

    def shown(one: TrayLure) -> ShownInTray:
        lure = view.lure(one.lure)
        rig = hooks_and_leader(lure, view.units) if lure is not None else ""
        return ShownInTray(
            one.position or "", one.label, one.size_in, one.colours, one.head, rig,
            due.get(one.label, ""),
        )  # fmt: skip

    order = {position: place for place, position in enumerate(in_order(view.boat.positions))}
    rows = sorted(laid, key=lambda one: order.get(one.position or "", len(order)))
    title = tray.title.capitalize()
    made = f"As of {view.now.astimezone(view.tz):%d %B %Y, %H:%M}. A tick: ready when drawn."
    drawn = tray_picture(
        title, terms_of(tray, view.units), [shown(one) for one in (*rows, *left)],
        [shown(one) for one in tray.spares], foot=made, form=form,
    )  # fmt: skip
    return (Picture(drawn, title, MEDIA_TYPES[form]),)
