"""What follows from a fish, for the reply: the tally, the next change, cautions. Pure."""

from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Final

from bot.advice.data import Hold, Verdict
from bot.answers.advise import swap_call, verdict
from bot.answers.answer import WHY, Change, Offer
from bot.answers.fish_care import care_lines
from bot.answers.proposal import advice_line, spoken_advice, still_line
from bot.answers.tallies import tally_line
from bot.messages import Advice, Button
from bot.trip.acts import FISH_ACTS
from bot.trip.entry import Entry
from bot.trip.fish import Fish
from bot.trip.state import Trip

LONG_REASON: Final = 60
"""Most letters of a reason to hold that can be read at a glance."""
LONG_OVER: Final = timedelta(hours=6)
SAID_LATELY: Final = timedelta(minutes=30)
"""How long a proposal that stands is not written out again."""


@dataclass(frozen=True, slots=True)
class FishFollowUp:
    """What follows from a fish: the tally, the next change, cautions."""

    lines: tuple[str, ...]
    spoken: str
    advice: Advice | None
    buttons: tuple[Button, ...]


def of_fish(change: Change, offer: Offer | None) -> FishFollowUp:
    """Return what follows from the last fish of a message; no change is proposed beside an offer."""
    about = fish_entry(change)
    if about is None:
        return FishFollowUp((), "", None, ())
    fish = _fish_of(change.after.trip, about)
    counts = fish is None or fish.is_catch
    lines = [tally_line(change.after, fish, about.call.act)] if counts else []
    advice: Advice | None = None
    aloud = ""
    if offer is None and counts and not _is_long_over(change):
        found = verdict(change.after)
        advice = found if isinstance(found, Advice) else None
        words = _advice_words(change, found)
        lines.append(words)
        if advice is not None and words != still_line(change.after, advice):
            aloud = spoken_advice(change.after, found)
    lines += [
        *(_sticking(change) if counts else ()),
        *care_lines(change.before, change.after, _fish_entries(change)),
    ]
    buttons = (_done(change, advice), WHY) if advice else ()
    return FishFollowUp(tuple(lines), aloud, advice, buttons)


def _is_long_over(change: Change) -> bool:
    """Return whether a trip is put right long after its last entry, so that it wants no advice."""
    last = change.after.trip.last_at
    return change.late or (last is not None and change.said_at - last > LONG_OVER)


def _sticking(change: Change) -> list[str]:
    from bot.answers.sticking import sticking_lines  # late: a question does without it

    return sticking_lines(change.before, change.after)


def fish_entry(change: Change) -> Entry | None:
    """Return the last entry of a fish that a message made; of a call that was made before, none."""
    again = {one.replaces for one in change.decision.entries if one.first is not None}
    new = [one for one in _fish_entries(change) if not one.replaces or one.replaces not in again]
    return new[-1] if new else None


def _fish_entries(change: Change) -> list[Entry]:
    return [r for r in change.records if isinstance(r, Entry) and r.call.act in FISH_ACTS]


def _fish_of(trip: Trip, entry: Entry) -> Fish | None:
    return next((fish for fish in trip.fish if entry.id in fish.entries), None)


def _advice_words(change: Change, found: Verdict) -> str:
    """Write the next change in full once, and in short while it stays the same."""
    if isinstance(found, Hold):
        if change.before.trip.fish_on and change.after.trip.fish_on:
            return ""  # said when it came on
        short = found if found.until else replace(found, reason=_first_clause(found.reason))
        return advice_line(change.after, short)
    last = change.before.last_advice
    if last is None or change.said_at - last.at > SAID_LATELY:
        return advice_line(change.after, found)
    if (last.advice.position, last.advice.lure) != (found.position, found.lure):
        return advice_line(change.after, found)
    return still_line(change.after, found)


def _first_clause(reason: str) -> str:
    """Return a long reason cut to its first clause; `why` gives the rest."""
    if len(reason) <= LONG_REASON:
        return reason
    return reason.split(": ")[-1].split(", ")[0]


def _done(change: Change, advice: Advice) -> Button:
    call = swap_call(advice, change.after)
    return Button("Done", f"swap {advice.position} to {call.lure}")
