"""Which lines a plan leaves as they are, because what was wished for is out there already. Pure."""

from dataclasses import replace

from bot.answers.set_aside import is_of
from bot.answers.view import View
from bot.spread.positions import in_order
from bot.tackle.items import Lure
from bot.tackle.trays import named_tray
from bot.trip.meant import SpreadWish


def with_what_is_out(view: View, wish: SpreadWish) -> SpreadWish:
    """Return a wish for the lures of a tray, or for slow runners, that keeps those that are out already."""
    wish = on_their_lines(view, wish)
    if wish.to_do == "filled" or not (wish.slow or wish.from_tray):
        return wish
    tray = named_tray(view.trays, wish.from_tray)
    names = {one.lure for one in tray.lures} if tray is not None else set()
    kept = {
        there.position
        for there in view.trip.spread.values()
        if (lure := view.lure(there.lure)) is not None
        and view.readiness[lure.name].state == "in water"
        and (lure.name in names or not wish.from_tray)
        and (is_slow(view, lure) or not wish.slow)
        and not any(is_of(lure, name) for name in wish.without)
    }
    near_first = (position for position in in_order(view.boat.positions) if position in kept)
    return replace(wish, keep=tuple(dict.fromkeys((*wish.keep, *near_first))))


def on_their_lines(view: View, wish: SpreadWish) -> SpreadWish:
    """Return a wish to keep lures as one to keep their lines; a lure that is not out stays a name."""
    lines = {there.lure: there.position for there in view.trip.spread.values() if there.lure}
    return replace(wish, keep=tuple(dict.fromkeys(lines.get(one, one) for one in wish.keep)))


def is_slow(view: View, lure: Lure) -> bool:
    """Return whether a lure runs below the usual speed of the boat only."""
    return lure.speed_range_kn[1] < view.boat.usual_kn
