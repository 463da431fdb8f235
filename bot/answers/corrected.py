"""The line of an entry that was put right, with what it said before. Pure."""

from bot.answers.answer import Change
from bot.replies.amounts import clock
from bot.trip.decision import ResolvedAct
from bot.trip.entry import Entry
from bot.trip.lures import is_known, label
from bot.trip.meant import TroubleOver
from bot.trip.said_units import units_of, weight


def corrected_line(words: str, one: ResolvedAct, change: Change) -> str:
    """Return the line of a corrected entry, with what it said before."""
    if one.call.meaning(TroubleOver) is not None:
        told = f"{one.call.what or 'emergency'} {clock(one.at, change.after.tz)}"
        return f'Over: {told}. It stays in the log; "false alarm" takes it back.'
    old = next((entry for entry in change.before.stood if entry.id == one.replaces), None)
    was = _was(old, one, change) if old is not None else []
    tail = f" (was {', '.join(was)})" if was else ""
    return f"Corrected: {lower(words)}{tail}"


def lower(text: str) -> str:
    """Return a sentence with a small letter first, to go on with."""
    return text[:1].lower() + text[1:]


def _was(old: Entry, one: ResolvedAct, change: Change) -> list[str]:
    """Return what stands otherwise now."""
    call, new = old.call, one.call
    was = []
    if call.position != new.position and call.position:
        was.append(call.position)
    if label(call) != label(new) and is_known(call) and call.position == new.position:
        was.append(label(call))
    if call.species != new.species and call.species:
        was.append(call.species)
    if call.weight_kg != new.weight_kg and call.weight_kg is not None:
        was.append(weight(call.weight_kg, units_of(call).weight))
    if call.angler and new.angler and call.angler != new.angler:
        was.append(call.angler)
    if old.at != one.at:
        was.append(clock(old.at, change.after.tz))
    return was
