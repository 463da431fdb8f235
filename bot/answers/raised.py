"""Whether raises are worth anything: how many of them became strikes, and whether what raises also bites."""

from bot.advice.rates import chances
from bot.answers.advise import evaluate_change, in_water
from bot.answers.answer import Answer
from bot.answers.view import View
from bot.replies.amounts import count, sentence
from bot.trip.fish import Fish


def raises_worth(view: View) -> Answer:
    """Answer by this trip, by the trips before it, and by what is believed of raises."""
    before = [fish for trip in view.past.trips for fish in trip.fish]
    lines = [_turned("today", view.trip.fish)]
    lines += [_turned("on earlier trips", before)] if before else []
    outlook = evaluate_change(view).outlook if in_water(view) else None
    if outlook is not None and outlook.layout.raises:
        lines.append(
            f"What raises fish also makes them bite, by this record: {chances(outlook.raises_tell)}."
        )
    return Answer("\n".join(lines), lines[0])


def _turned(when: str, fish: "tuple[Fish, ...] | list[Fish]") -> str:
    raised = [one for one in fish if one.raised_at is not None]
    if not raised:
        return sentence(f"no fish raised {when}")
    struck = sum(one.is_strike for one in raised)
    return sentence(
        f"{count(len(raised), 'fish')} raised {when}, {struck} of them struck afterwards"
    )
