"""The answer to "why": what the record says for a proposal, what it says against it, what would change it."""

from typing import Final

from bot.advice.data import Exposure, Hold, InWater, Verdict
from bot.advice.rates import garwood
from bot.answers.advise import differences, held_back, in_water, verdict
from bot.answers.answer import Answer
from bot.answers.view import View
from bot.messages import Advice
from bot.replies.amounts import count, hours_words, percent, rate, sentence
from bot.trip.call import Call
from bot.trip.exposure import By
from bot.trip.tally import TallyRow, tally

MOST_ROWS: Final = 3
MOST_STRIKES: Final = 3
"""Strikes that are tried out when it is asked what would change a judgement."""


def asked_why(view: View, call: Call) -> Answer:
    """Give the reason of the next change (or of holding), counter-evidence, and the rates behind it."""
    del call
    found = verdict(view)
    if isinstance(found, Advice):
        lines = _for_and_against(view, found)
    else:
        lines = [sentence(found.reason)]
        said = view.advised.advice if view.advised is not None else None
        if said is not None and view.trip.is_fishing:
            lines.insert(0, f"Then: {said.lure} on the {said.position}. {sentence(said.reason)}")
            lines[1] = f"Now: {lines[1]}"
    spoken = lines[0]
    lines += rates(view, "size") + rates(view, "colour")
    turning = turning_point(view, found)
    lines += [turning] if turning else []
    return Answer("\n".join(lines), spoken)


def _for_and_against(view: View, advice: Advice) -> list[str]:
    lines = [
        f"{advice.lure} on the {advice.position}: better with {percent(advice.chance)},"
        f" {advice.gain_per_h:+.2f} strikes an hour."
    ]
    told = differences(view, advice)
    speaking_for = [one.sentence for one in told if one.push > 0] or [sentence(advice.reason)]
    against = [one.sentence for one in told if one.push <= 0]
    lines.append(f"For it: {' '.join(speaking_for)}")
    lines.append(f"Against it: {' '.join(against) or 'nothing in the record.'}")
    return lines


def turning_point(view: View, found: Verdict) -> str:
    """Say which strikes would change a judgement; empty where nothing can be weighed, or few would not."""
    if held_back(view) is not None:
        return ""
    out = in_water(view)
    if isinstance(found, Advice):
        out = tuple(one for one in out if one.position == found.position)
    for strikes in range(1, MOST_STRIKES + 1):
        for there in out:
            then = verdict(view, _struck(view, there, strikes))
            if _differs(found, then):
                what = count(strikes, "more strike")
                return (
                    f"{what[:1].upper()}{what[1:]} on {there.label} would change it: {_short(then)}"
                )
    return ""


def _struck(view: View, there: InWater, strikes: int) -> tuple[Exposure, ...]:
    hour = view.now.astimezone(view.tz).hour
    return (Exposure(there.position, there.kind, 0.0, strikes, there.lure, hour),)


def _differs(found: Verdict, then: Verdict) -> bool:
    if isinstance(found, Advice) and isinstance(then, Advice):
        return (found.position, found.lure) != (then.position, then.lure)
    return isinstance(found, Hold) != isinstance(then, Hold)


def _short(found: Verdict) -> str:
    if isinstance(found, Hold):
        return "then hold."
    return f"then {found.lure} on the {found.position}."


def rates(view: View, by: By) -> list[str]:
    """Give the strikes and hours behind a judgement, the best rates and the worst."""
    counted = tally((view.trip,), by, view.now, view.tz)
    rows = [row for row in counted.rows if row.hours > 0 and row.key != "unknown"]
    if len(rows) < 2:
        return []
    rows.sort(key=lambda row: -(row.strikes / row.hours))
    shown = rows if len(rows) <= MOST_ROWS else [*rows[: MOST_ROWS - 1], rows[-1]]
    return [f"By {by}: " + "; ".join(_row(row, by) for row in shown)]


def _row(row: TallyRow, by: By) -> str:
    key = f"{row.key} in" if by == "size" else row.key
    words = f"{key} {count(row.strikes, 'strike')} in {hours_words(row.hours)}"
    interval = garwood(row.strikes, row.hours)
    if interval is None or row.hours < 0.5:
        return words
    return f"{words} ({rate(interval.low * 10)} to {rate(interval.high * 10)} per 10 h)"
