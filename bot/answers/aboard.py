"""Answers about the crew and the log: who is on which rod, who is next, whether it was logged. Pure.

And what the log cannot know, with where to look.
"""

from typing import Final

from bot.answers.answer import Answer
from bot.answers.fish_talk import answer_who_fought, on_words
from bot.answers.open_questions import waiting_lines
from bot.answers.view import View
from bot.replies.amounts import clock, sentence, span_words
from bot.replies.logged import short
from bot.trip.call import Call

RULES: Final = (
    "Limits, sizes and seasons are not known here: the fisheries authority of these waters has them."
    ' "What did we catch" counts what is aboard.'
)
WILL: Final = (
    'What fish will do is not known here. "What works" says what they did,'
    ' "sunset" when the light changes.'
)


def answer_not_known(what: str) -> Answer:
    """Answer that something is not known here, and where to look: `rules`, or what fish `will` do."""
    text = RULES if what == "rules" else WILL
    return Answer(text, text.split(".")[0] + ".")


def on_rods(view: View, call: Call) -> Answer:
    """Answer who is on which rod: every fish that is on, else the last one."""
    on = [one for one in view.trip.fish if one.is_on]
    if not on:
        last = answer_who_fought(view, call)
        text = f"No fish is on. {last.text}" if any(f.was_on for f in view.trip.fish) else last.text
        return Answer(text, text)
    text = "\n".join(on_words(view, one, is_angler_asked=True) for one in on)
    return Answer(text, text)


def next_up(view: View) -> Answer:
    """Answer who takes the next rod, as somebody said since the last fish was hooked."""
    hooked = max((f.hooked_at for f in view.trip.fish if f.hooked_at is not None), default=None)
    turns = [one for one in view.trip.turns if one.position is None and one.line is None]
    last = turns[-1] if turns else None
    if last is None or not last.angler or (hooked is not None and hooked >= last.at):
        text = 'Nobody was named for the next rod. Say: "next up is" and a name.'
    else:
        text = f"{last.angler}, as said at {clock(last.at, view.tz)}."
    return Answer(text, text)


def answer_last_logged(view: View) -> Answer:
    """Answer what was logged last, and what waits for an answer and is not logged."""
    lines = [f"{line}." for line in waiting_lines(view)]
    if view.stood:
        last = max(view.stood, key=lambda entry: entry.id)
        who = f", by {last.crew}" if last.crew else ""
        ago = span_words(view.now - last.at)
        lines.insert(
            0,
            sentence(f"Last logged: {short(last.call)}, {clock(last.at, view.tz)}, {ago} ago{who}"),
        )
    else:
        lines.insert(0, "The log holds no entry of this trip yet.")
    return Answer("\n".join(lines), lines[0])
