"""Any lure of a colour that goes out, "a red one on the shotgun": which of those that are ready. Pure.

Where one is ready it is that one; of several the colour is logged as it was said, and which it was is asked.
"""

from typing import Final

from bot.answers.answer import NO, Change, Offer
from bot.answers.set_aside import set_aside
from bot.answers.view import View
from bot.answers.which_fish import CHOICES, choice_buttons
from bot.messages import Button
from bot.replies.amounts import joined_or
from bot.tackle.box import find
from bot.tackle.items import Lure
from bot.trip.acts import SET, SWAP
from bot.trip.call import Call
from bot.trip.corrections import correction
from bot.trip.lures import full_label, lure_slots
from bot.trip.meant import AnyOne

LAYING_ACTS: Final = (SET, SWAP)
"""Acts that put a lure on a line."""


def with_the_only_ones(calls: tuple[Call, ...], view: View) -> tuple[Call, ...]:
    """Return calls with the lures of which only one is ready; one of which none is stays as it was said."""
    return tuple(_the_only_one(call, view) for call in calls)


def which_of_them(change: Change) -> tuple[Offer, tuple[Button, ...]] | None:
    """Return the question which of several lures went out by their colour; None where that is clear."""
    for one in change.decision.entries:
        call = one.call
        if one.implied or one.replaces or call.meaning(AnyOne) is None or call.lure:
            continue
        fits = _ready(call, change.before)
        if len(fits) < 2 or call.position is None or change.late:
            continue
        shown = fits[: len(CHOICES)]
        names = joined_or([full_label(lure_slots(lure)) for lure in shown])
        more = "" if len(shown) == len(fits) else " If it is another, say its name."
        options = tuple(
            (correction(of_act=call.act, of_position=call.position, lure=lure.name),)
            for lure in shown
        )
        asked = f"Which {' and '.join(call.colours)} one is it: {names}?{more}"
        return Offer(asked, options), (*choice_buttons(options), NO)
    return None


def _the_only_one(call: Call, view: View) -> Call:
    if call.act not in LAYING_ACTS or call.meaning(AnyOne) is None:
        return call
    fits = _ready(call, view)
    boxed = find(view.box, colours=call.colours)
    if len(fits) > 1 or (not fits and all(view.line_of(lure.name) for lure in boxed)):
        return call  # which it is stays open: those aboard that are known are out
    rest = tuple(one for one in call.meant if not isinstance(one, AnyOne))
    return call.with_slots(lure=fits[0].name if fits else None, meant=rest)


def _ready(call: Call, view: View) -> list[Lure]:
    """Return the lures that have the colours said and may go out, those that have no others first."""
    aside = set_aside(view)
    said = {*call.colours}
    fits = [lure for lure in view.ready if lure.name not in aside and said <= {*lure.colours}]
    return sorted(fits, key=lambda lure: len(lure.colours))
