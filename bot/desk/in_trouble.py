"""What a line means while there is trouble: a false alarm, that it is over, the way back to somebody. Pure.

Outside trouble the same words are talk, or about lures: "how far back", "he's back aboard".
"""

from dataclasses import replace
from datetime import datetime
from typing import Final

from bot.answers.emergency import open_trouble
from bot.answers.view import View
from bot.calls.language import Language
from bot.calls.meant.reader import Line
from bot.calls.understand import Understanding
from bot.desk.taken_back import of_false_alarm
from bot.replies.amounts import clock
from bot.trip.acts import ASK_LAST, QUESTIONS, TABLE
from bot.trip.call import Call
from bot.trip.corrections import FALSE_ALARM, correction
from bot.trip.meant import TroubleOver

SURELY: Final = 0.95
"""Confidence of these very words while there is trouble; common practice, no source."""
OVERBOARD: Final = "man overboard"
_TROUBLE: Final = next(iter(FALSE_ALARM))


def while_in_trouble(
    found: Understanding, words: Language, before: View, at: datetime
) -> Understanding:
    """Return what was understood, as it is meant where trouble was called and is not over."""
    line = words.reader.line(found.text)
    trouble = open_trouble(replace(before, now=at))
    if trouble is None or line.has("false_alarm"):
        return of_false_alarm(found, words, before.stood, at)
    if trouble.what == OVERBOARD and line.has("where_back") and _may_ask_back(found):
        return _meant(found, Call(ASK_LAST))
    over = line.has("trouble_over", "said") and not line.has("trouble_over", "denied")
    if over and (calls := _over(found, line, before)):
        return _meant(found, *calls)
    return of_false_alarm(found, words, before.stood, at)


def _may_ask_back(found: Understanding) -> bool:
    """Return whether nothing is called in a line besides a question."""
    return all(call.act in QUESTIONS for call in found.calls)


def _over(found: Understanding, line: Line, before: View) -> tuple[Call, ...]:
    """Return the corrections by which all trouble is over, or the kind that is named; else none.

    Beside it a line calls nothing but the trouble that is over, or what may be about the man: "in the boat".
    """
    kinds = {sign.name for sign in line.of("over_kind")}
    ended = kinds & {one.what for one in before.trip.open_trouble}
    if kinds and not ended:
        return ()
    for call in found.calls:
        row = TABLE[call.act]
        if not (
            call.what in ended
            if row.form == "trouble"
            else row.stage == "caught" and not call.said()
        ):
            return ()
    return tuple(
        correction(of_act=_TROUBLE, of_clock=clock(one.at, before.tz), meant=(TroubleOver(),))
        for one in before.trip.open_trouble
        if not ended or one.what in ended
    )


def _meant(found: Understanding, *calls: Call) -> Understanding:
    return replace(
        found, calls=calls, confidence=max(found.confidence, SURELY), ask=None, options=(), ways=(),
        meant=(),
    )  # fmt: skip
