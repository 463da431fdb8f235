"""What a line leaves out of advice and plans, as calls: a note that is kept, then the next best. Pure."""

from dataclasses import replace
from datetime import timedelta
from typing import Final

from bot.answers.set_aside import lures_of
from bot.answers.view import View
from bot.calls.understand import Understanding
from bot.desk.offers import has_open_plan
from bot.desk.since import is_fresh
from bot.trip.acts import ASK_NEXT, CONTROL, NOTE, PLAN, QUESTIONS
from bot.trip.call import Call
from bot.trip.entry import Entry
from bot.trip.meant import Asks, LeavesOut, meaning

ANSWERS_FOR: Final = timedelta(minutes=30)
"""How long "not the hat" is an answer to the change that was proposed, where nothing was logged since."""


def leaving_out(found: Understanding, before: View) -> tuple[Call, ...]:
    """Return the note that a line makes of what is left out, and the question for the next best."""
    said = meaning(found.meant, LeavesOut)
    if said is None:
        return ()
    plain = said.of_it or said.back
    if not plain and any(call.act not in QUESTIONS | CONTROL for call in found.calls):
        return ()
    names = lures_of(before, said.what)
    if not plain:
        names -= {there.lure for there in before.trip.in_water.values() if there.lure}
    if not names or (said.of_offer and not _answers(before, names)):
        return ()
    kept = tuple(lure.name for lure in before.box if lure.name in names)
    note = Call(
        NOTE, text=found.text, meant=(replace(said, what=kept, of_it=False, of_offer=False),)
    )
    if has_open_plan(before.asked, before.now) and is_fresh(before):
        return (note,) if said.back else (note, Call(PLAN, meant=(Asks(("changed", "other")),)))
    return (note, Call(ASK_NEXT)) if before.trip.is_fishing and not before.trip.fish_on else (note,)


def _answers(before: View, names: frozenset[str]) -> bool:
    """Return whether a lure of these was proposed just now, and nothing logged since."""
    advised = before.last_advice
    if advised is None or advised.advice.lure not in names or before.now - advised.at > ANSWERS_FOR:
        return False
    return not any(isinstance(r, Entry) and r.id > advised.id for r in before.records)
