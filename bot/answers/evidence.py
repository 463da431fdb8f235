"""The answer to "why": what the record says for the last proposal, and what it says against it."""

from bot.advice.data import Hold
from bot.advice.rates import garwood
from bot.answers.advise import verdict
from bot.answers.answer import Answer
from bot.answers.view import View
from bot.replies.amounts import count, hours_words, percent, rate, sentence
from bot.trip.call import Call
from bot.trip.exposure import By
from bot.trip.tally import TallyRow, tally

MOST_ROWS = 4


def asked_why(view: View, call: Call) -> Answer:
    """Give the reason of the last proposal (or of holding) and the rates behind it."""
    del call
    found = verdict(view)
    said = view.advised.advice if view.advised is not None else None
    lines: list[str] = []
    if not isinstance(found, Hold):
        lines.append(
            f"{found.lure} on the {found.position}: {sentence(found.reason)}"
            f" Better with {percent(found.chance)}."
        )
    elif said is not None and view.trip.is_fishing:
        lines.append(f"{said.lure} on the {said.position}: {sentence(said.reason)}")
        lines.append(f"Now: {sentence(found.reason)}")
    else:
        lines.append(sentence(found.reason))
    lines += rates(view, "size") + rates(view, "colour")
    return Answer("\n".join(lines), lines[0])


def rates(view: View, by: By) -> list[str]:
    """Give the strikes and hours behind a judgement, most hours first."""
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
