"""The answer to "why": the record for and against a proposal, and what would change it."""

from datetime import timedelta
from typing import Final

from bot.advice.against import against
from bot.advice.choose import choice_of
from bot.advice.data import Hold, Verdict
from bot.advice.rates import chances, garwood
from bot.answers.advise import (
    Suppose,
    clumping,
    evaluate_change,
    held_back,
    in_water,
    prey,
    spare,
    speaking_for,
    taken_out,
    verdict,
)
from bot.answers.answer import Answer
from bot.answers.planning import explain_plan, on_offer
from bot.answers.proposal import change_words
from bot.answers.sticking import answer_sticking
from bot.answers.view import View
from bot.answers.why import fits, strongest, why_line, why_lure
from bot.messages import Advice
from bot.replies.amounts import count, hours_words, number, percent, rate, sentence
from bot.trip.call import Call
from bot.trip.exposure import By
from bot.trip.tally import TallyRow, tally

MOST_ROWS: Final = 3
MOST_STRIKES: Final = 3
"""Most supposed strikes that are tried when somebody asks what would change a judgement."""
QUIET: Final = (timedelta(minutes=30), timedelta(hours=1), timedelta(hours=2))
"""Supposed quiet times that are tried."""
BURSTS_FROM: Final = 1.2
"""Variance over mean from which bursts are mentioned."""


def asked_why(view: View, call: Call) -> Answer:
    """Return the reason of the next change (or of holding), counter-evidence, and the rates behind it."""
    if call.asks("sticking"):
        if call.position is not None:
            return answer_sticking(view, "position", call.position)
        named = [lure for lure in view.box if fits(call, lure)] if call.names_lure else []
        if len(named) == 1:
            return answer_sticking(view, "lure", named[0].name)
        return answer_sticking(view)
    if (offered := on_offer(view)) is not None:
        return explain_plan(view, call, offered)
    found = verdict(view)
    if (
        (call.position or call.names_lure)
        and held_back(view) is None
        and not _is_it(view, call, found)
    ):
        about = (
            why_lure(view, call, found)
            if call.names_lure
            else why_line(view, call.position or "", found)
        )
        return Answer("\n".join(about), about[0])
    if isinstance(found, Advice):
        lines = _for_and_against(view, found)
    else:
        lines = [sentence(found.reason)]
        said = view.last_advice.advice if view.last_advice is not None else None
        if said is not None and view.trip.is_fishing:
            lines.insert(0, f"Then: {said.lure} on the {said.position}. {sentence(said.reason)}")
            lines[1] = f"Now: {lines[1]}"
    spoken = lines[0]
    lines += rates(view, "size") + rates(view, "colour")
    lines += _bursts(view) + _raises(view) + _bait(view)
    turning = turning_point(view, found)
    if turning and call.asks("turning"):  # then that comes first
        return Answer("\n".join((turning, *lines)), turning)
    lines += [turning] if turning else []
    return Answer("\n".join(lines), spoken)


def _for_and_against(view: View, advice: Advice) -> list[str]:
    lines = [
        f"{change_words(view, advice)} on the {advice.position}: better with {chances(advice.chance)},"
        f" {advice.gain_per_h:+.2f} strikes an hour."
    ]
    told = [sentence(advice.reason), *(one.sentence for one in speaking_for(view, advice))]
    lines.append(f"For it: {' '.join(dict.fromkeys(told))}")
    lines.append(f"Against it: {' '.join(_against(view, advice))}")
    return lines


def _against(view: View, advice: Advice) -> list[str]:
    """Return the strongest facts against a proposal."""
    there, lure = taken_out(view, advice), view.lure(advice.lure)
    if there is None or lure is None:
        return [f"{chances(1.0 - advice.chance)} that it is no better."]
    found = evaluate_change(view)
    choice = choice_of(found.outlook, there, spare(lure), found.moment.now.hour)
    facts = against(found, choice)
    return [fact.words for fact in dict.fromkeys((*strongest(facts), facts[-1]))]


def _is_it(view: View, call: Call, found: Verdict) -> bool:
    """Return whether a question names only the proposed change."""
    if not isinstance(found, Advice) or call.position not in (None, found.position):
        return False
    lure = view.lure(found.lure)
    return not call.names_lure or (lure is not None and fits(call, lure))


def turning_point(view: View, found: Verdict) -> str:
    """Return the least that would change a judgement: strikes on one lure, or quiet time.

    Each is tried out on the whole record, as if it had happened; empty where nothing can be weighed.
    """
    if held_back(view) is not None:
        return ""
    parts = [part for part in (_by_strikes(view, found), _by_quiet(view, found)) if part]
    if parts:
        return f"What would change it: {'; or '.join(parts)}."
    return (
        f"Nothing soon would change it: not {MOST_STRIKES} strikes on one lure now,"
        f" and not {hours_words(QUIET[-1] / timedelta(hours=1))} without a strike."
    )


def _by_strikes(view: View, found: Verdict) -> str:
    out = in_water(view)
    if isinstance(found, Advice):  # the lure that would come out speaks first
        out = tuple(sorted(out, key=lambda one: one.position != found.position))
    for strikes in range(1, MOST_STRIKES + 1):
        for there in out:
            then = verdict(view, Suppose(there.position, strikes))
            if _differs(found, then):
                what = count(strikes, "more strike")
                return f"{what} on the {there.position} ({there.label}), then {_short(then)}"
    return ""


def _by_quiet(view: View, found: Verdict) -> str:
    for quiet in QUIET:
        then = verdict(view, Suppose(quiet=quiet))
        if _differs(found, then):
            hours = hours_words(quiet / timedelta(hours=1))
            return f"{hours} without a strike, then {_short(then)}"
    return ""


def _differs(found: Verdict, then: Verdict) -> bool:
    if isinstance(found, Advice) and isinstance(then, Advice):
        return (found.position, found.lure) != (then.position, then.lure)
    return isinstance(found, Hold) != isinstance(then, Hold)


def _short(found: Verdict) -> str:
    return "hold" if isinstance(found, Hold) else f"{found.lure} on the {found.position}"


def _bursts(view: View) -> list[str]:
    """Return the sentence about bursts of strikes and their effect on the figures, if there are any."""
    if held_back(view) is not None:
        return []
    clumped = clumping(view)
    if clumped < BURSTS_FROM:
        return []
    return [
        f"Strikes come in bursts (variance {clumped:.1f} times the mean),"
        f" so they count as {percent(1.0 / clumped)} of their number."
    ]


def _raises(view: View) -> list[str]:
    """Return how likely it is that what raises fish also makes them bite, by the boat's own record."""
    if held_back(view) is not None:
        return []
    outlook = evaluate_change(view).outlook
    if not outlook.layout.raises:
        return []
    return [
        f"What raises fish also makes them bite, by this record: {chances(outlook.raises_tell)}."
    ]


def _bait(view: View) -> list[str]:
    """Return the bait that was seen and how much it still counts."""
    return [
        f"Bait of {number(bait.size_in)} inches was seen and counts {percent(bait.weight)} by now:"
        " lures of its length are held better as far as the record knows no better."
        for bait in prey(view)[:1]
    ]


def rates(view: View, by: By) -> list[str]:
    """Return the strikes and hours behind a judgement, the best rates and the worst."""
    counted = tally((view.trip,), by, view.now, view.tz)
    rows = [row for row in counted.rows if row.hours > 0 and row.key != "unknown"]
    if len(rows) < 2:
        return []
    rows.sort(key=lambda row: -(row.strikes / row.hours))
    shown = rows if len(rows) <= MOST_ROWS else [*rows[: MOST_ROWS - 1], rows[-1]]
    return [f"By {by}: " + "; ".join(_row(row, by) for row in shown)]


def _row(row: TallyRow, by: By) -> str:
    key = f"{row.key}-inch" if by == "size" else row.key
    words = f"{key} {count(row.strikes, 'strike')} in {hours_words(row.hours)}"
    interval = garwood(row.strikes, row.hours)
    if interval is None or row.hours < 0.5:
        return words
    return f"{words} ({rate(interval.low * 10)} to {rate(interval.high * 10)} per 10 h)"
