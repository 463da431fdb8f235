"""The day in four lines, the answer to the end of a trip: catch, places, lures to make ready, report."""

from collections import Counter
from collections.abc import Iterable
from typing import Final

from bot.answers.fish_talk import caught_fish, fish_words, report_line
from bot.answers.open_questions import left_open
from bot.answers.view import View
from bot.replies.amounts import count, first_few, hours_words, join_parts, sentence
from bot.spread.readiness import lures_to_rework
from bot.trip.fish import Fish
from bot.trip.lures import LureSlots
from bot.trip.tally import tally

MOST_NAMED: Final = 6
"""Most fish that are named, the latest; those before them are counted."""
_NOTHING_TO_DO: Final = ("ready", "in water", "lost")


def day_lines(view: View) -> list[str]:
    """Return the lines that have something to say; none where nothing was fished."""
    total = tally((view.trip,), "position", view.now, view.tz).total
    if not total.strikes and not total.raises and not total.hours:
        return []
    came = [
        count(total.strikes, "strike"),
        count(total.hookups, "hook-up"),
        f"{total.caught} caught",
    ]
    came += [f"{total.lost} lost"] if total.lost else []
    hours = f" in {hours_words(total.hours)} of lures in the water" if total.hours else ""
    first = sentence(f"{join_parts(came)}{hours}")
    lines = [
        f"{first} {_caught(view.trip.fish)}".strip(),
        _where(view.trip.fish),
        _to_make_ready(view),
        _not_answered(view),
    ]
    return [*(line for line in lines if line), report_line(view)]


def _caught(fish: Iterable[Fish]) -> str:
    ends = list(caught_fish(fish))
    if not ends:
        return ""
    told = [fish_words(one, end) for one, end in ends[-MOST_NAMED:]]
    more = sum(end.count for _, end in ends[:-MOST_NAMED])
    return sentence("; ".join([*([f"{more} before these"] if more else []), *told]))


def _where(fish: Iterable[Fish]) -> str:
    """Return the position and the colour with most strikes, where they had at least two."""
    struck = [one for one in fish if one.is_strike]
    if len(struck) < 2:
        return ""
    said = []
    for keys in (
        Counter(one.line or one.position for one in struck if one.position),
        Counter(one.colours[0] for one in struck if one.colours),
    ):
        top = keys.most_common(2)
        if top and (len(top) == 1 or top[0][1] > top[1][1]):
            said.append(f"{top[0][0]} {top[0][1]} of {len(struck)}")
    return sentence(f"Most strikes: {'; '.join(said)}") if said else ""


def _to_make_ready(view: View) -> str:
    due = [
        name
        for name in lures_to_rework(view.readiness)
        if view.readiness[name].state not in _NOTHING_TO_DO and _was_out(view, name)
    ]
    return sentence(f"To make ready: {', '.join(due)}") if due else ""


def _was_out(view: View, name: str) -> bool:
    used: tuple[LureSlots, ...] = (*view.trip.stints, *view.trip.rigging)
    return any(one.lure == name for one in used)


def _not_answered(view: View) -> str:
    """Return what nobody answered on this trip, and is therefore not in the log."""
    asked = left_open(view)
    return sentence(f"Not answered, not logged: {first_few(asked, MOST_NAMED)}") if asked else ""
