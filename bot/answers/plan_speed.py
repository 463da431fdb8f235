"""The speed that a plan is for, and where that comes from: asked for, called, or the boat's usual one."""

from datetime import datetime

from bot.answers.answer import Answer
from bot.answers.planning import build_plan, latest_plan
from bot.answers.view import View
from bot.answers.wanted import NOTHING, PlanInput, plan_input
from bot.replies.amounts import clock, number, sentence
from bot.spread.rules import runs_at
from bot.tackle.items import TROLLING_KN
from bot.tackle.trays import named_tray
from bot.trip.entry import Asked
from bot.trip.meant import SpreadWish


def planned_speed(view: View) -> Answer:
    """Answer for which speed the latest plan is, and why for that one."""
    offered = latest_plan(view)
    if offered is None or offered.about is None:
        now = _called(view, view.now) or _usual(view)
        return _told(f"No plan has been made; one would be for {number(now[0])} kn, {now[1]}")
    about = offered.about
    found = plan_input(view, about)
    wish = about.meaning(SpreadWish) or NOTHING
    if about.speed_kn is not None:
        tray = named_tray(view.trays, about.tray or "")
        of_tray = tray is not None and tray.speed_kn == about.speed_kn
        why = f"which is that of {tray.words}" if tray and of_tray else "as it was asked for"
        return _told(_for(about.speed_kn, why))
    called = _called(view, offered.at)
    if wish.slow:
        known = _of_its_lures(view, found, offered)
        return _told(_for(known, "at which most of the slow runners run"))
    if called is not None:
        return _told(_for(*called))
    speed_kn, why = _usual(view)
    lures = [lure for call in offered.options[0] if (lure := view.lure(call.lure)) is not None]
    if any(runs_at(lure, speed_kn) for lure in lures):
        return _told(_for(speed_kn, why))
    known = _of_its_lures(view, found, offered)
    return _told(_for(known, f"as none of its lures runs at {number(speed_kn)}, {why}"))


def _for(speed_kn: float, why: str) -> str:
    return f"The plan is for {number(speed_kn)} kn, {why}"


def _of_its_lures(view: View, found: PlanInput, offered: Asked) -> float:
    """Return the speed of a plan of the lures that were offered."""
    lures = tuple((x.lure, x.position or "") for x in offered.options[0] if x.lure)
    boxed = tuple(lure for name, _ in lures if (lure := view.lure(name)) is not None)
    again = PlanInput(found.call, found.wish, boxed, found.boat, found.speed_kn, must=lures)
    return build_plan(view, again).speed_kn


def _called(view: View, by: datetime) -> tuple[float, str] | None:
    """Return the speed that was called last up to a time, and when; None where the boat's own counts."""
    low_kn, high_kn = TROLLING_KN
    said = [(one.speed_kn, one.at) for one in view.trip.readings if one.at <= by]
    speed_kn, at = next(((kn, at) for kn, at in reversed(said) if kn is not None), (None, by))
    if speed_kn is None or not low_kn <= speed_kn <= high_kn:
        return None
    return speed_kn, f"as called at {clock(at, view.tz)}"


def _usual(view: View) -> tuple[float, str]:
    return view.boat.usual_kn, "the boat's usual speed"


def _told(text: str) -> Answer:
    return Answer(sentence(text), sentence(text))
