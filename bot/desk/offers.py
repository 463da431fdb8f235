"""Which plan is on offer: the last one shown, on this trip or on the way to it. Pure."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Final

from bot.answers.view import View
from bot.calls.understand import Understanding
from bot.trip.acts import AMEND, CLEAR, PLAN, SET, SWAP, TRAY
from bot.trip.call import Call
from bot.trip.entry import Advised, Asked, Entry
from bot.trip.meant import Asks, ChangesPlan, SetsPlan, SpreadWish, meaning

PLAN_STANDS: Final = timedelta(hours=2)
"""How long "set it" means the plan that was offered last, where nothing was asked since."""


def is_plan(asked: Asked) -> bool:
    """Return whether a spread was offered, to go out or into a tray."""
    calls = [call for option in asked.options for call in option]
    lures = any(c.lure for c in calls if c.act in (SET, TRAY))
    return lures and not asked.text and all(c.act in (SET, CLEAR, TRAY) for c in calls)


def has_open_plan(asked: Asked | None, at: datetime) -> bool:
    """Return whether the last question offers a plan that can still be taken up."""
    if asked is None or not is_plan(asked):
        return False
    return timedelta() <= at - asked.at <= PLAN_STANDS


def questions_now(found: Understanding, before: View) -> tuple[Asked, ...]:
    """Return the questions that a line can answer, the latest first, without plans that are out of date.

    A plan whose lures were taken back is on offer again for those who say "set it".
    """
    asked = tuple(before.questions) or ((before.asked,) if before.asked else ())
    if meaning(found.meant, SetsPlan) is not None:
        asked = _with_what_was_taken_back(asked, before)
    last = before.last_advice.id if _makes_a_change(found) and before.last_advice else ""
    return tuple(
        one for one in asked if not is_plan(one) or not (one.id < last or _is_past(one, before))
    )


def _makes_a_change(found: Understanding) -> bool:
    """Return whether a line says yes to what was proposed last, be it a plan or a change."""
    return [c.act for c in found.calls] == ["yes"] and meaning(found.meant, SetsPlan) is None


def changed_plan(found: Understanding) -> Call | None:
    """Return the request for a plan with lures on the lines that a line names; None for any other line."""
    change = meaning(found.meant, ChangesPlan)
    calls = found.calls or next((one.calls for one in found.options), ())
    if change is not None and change.alone:
        told = all(call.act == AMEND for call in calls)
        wish = SpreadWish(without=change.without)
        return Call(PLAN, meant=(Asks(("other",)), wish)) if told else None
    if change is not None and change.lures:
        return _with_and_without(change, calls)
    lures = tuple(_words_of(call) for call in calls)
    fits = (call.act in (SET, SWAP, AMEND) and call.position for call in calls)
    if change is None or not calls or not all(fits) or not all(lures):
        return None
    named = {*lures, *(name for call in calls for name in (*call.colours, call.head))}
    wish = SpreadWish(
        without=tuple(one for one in change.without if one not in named),
        lures=lures,
        lures_at=tuple(call.position or "" for call in calls),
    )
    return Call(PLAN, meant=(Asks(("changed", "other")), wish))


def _with_and_without(change: ChangesPlan, calls: Sequence[Call]) -> Call:
    """Return the request for a plan with some lures and without others: "the pear way back, no moon"."""
    lines = {call.position for call in calls if call.position}
    at = change.lures_at
    if len(change.lures) == len(lines) == 1:
        at = tuple(line for line in lines if line)
    wish = SpreadWish(without=change.without, lures=change.lures, lures_at=at)
    return Call(PLAN, meant=(Asks(("changed", "other")), wish))


def _words_of(call: Call) -> str:
    """Return the name of a lure, or its colours and size as a wish has them; empty where it has neither."""
    if call.lure or not call.colours or call.size_in is None:
        return call.lure or ""
    return " ".join((*call.colours, f"{call.size_in:g}"))


def _is_past(plan: Asked, before: View) -> bool:
    """Return whether a plan is of a trip that is over, or a fish is on and more was logged since."""
    trip = before.trip
    later = [r for r in before.records if isinstance(r, Entry | Advised) and r.id > plan.id]
    if later and (trip.fish_on or trip.ended is not None):
        return True
    if plan.id >= trip.made_first or not before.past.trips:
        return False
    last_at = before.past.trips[-1].last_at
    return last_at is not None and plan.at <= last_at


def _with_what_was_taken_back(asked: Sequence[Asked], before: View) -> tuple[Asked, ...]:
    plans = {one.id for one in asked if is_plan(one)}
    made = {r.message for r in before.records if isinstance(r, Entry)}
    gone = made - {entry.message for entry in before.stood}
    return tuple(one for one in asked if not (one.closes in plans and one.message in gone))
