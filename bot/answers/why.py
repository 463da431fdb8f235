"""Answers to why this line, or why not that lure: what was weighed, and what speaks against it."""

from collections.abc import Callable, Sequence
from typing import Final

from bot.advice.against import Fact, against
from bot.advice.choose import Choice, least_chance, left_alone, weigh
from bot.advice.data import InWater, Spare, Verdict
from bot.advice.follow import ALIKE_FROM, Reason, leader, like
from bot.advice.next_change import Evaluation
from bot.advice.rates import chances
from bot.advice.reason import grounds
from bot.answers.advise import evaluate_change, in_water, may_run, spare, trolling_kn, why_not_there
from bot.answers.set_aside import set_aside, why_aside
from bot.answers.view import View
from bot.messages import Advice
from bot.replies.amounts import clock, count, sentence
from bot.tackle.box import SIZE_STEP_IN, same_name
from bot.tackle.items import Lure
from bot.trip.call import Call
from bot.trip.lures import label

MOST_NAMED: Final = 3
MOST_AGAINST: Final = 2
"""Most facts against a change that are given, the strongest first."""


def why_line(view: View, position: str, found: Verdict) -> list[str]:
    """Return what was weighed for another line than the proposed one."""
    there = next((one for one in in_water(view) if one.position == position), None)
    if there is None:
        return [f"Nothing is logged on the {position}."]
    weighed = evaluate_change(view)
    kept = left_alone(weighed.moment, weighed.outlook).get(position)
    if kept is not None:
        return [f"{sentence(position).rstrip('.')}: {_stays(view, there, kept)}"]
    best = _best(view, weighed, lambda where, _: where == position)
    if best is None:
        return [f"Nothing that is ready may run on the {position} now."]
    return _beside(view, weighed, best, found)


def why_lure(view: View, call: Call, found: Verdict) -> list[str]:
    """Return what was weighed for named lures, on the named line if there is one."""
    named = [lure for lure in view.box if fits(call, lure)]
    if not named:
        return [f"No {label(call)} is in the box."]
    names = {lure.name for lure in named}
    out = [one for one in in_water(view) if one.lure in names]
    aside = set_aside(view)
    ready = [lure for lure in named if lure in view.ready and lure.name not in aside]
    if not ready and any(lure in view.ready for lure in named):
        return [why_aside(view, lure.name) for lure in named if lure in view.ready][:MOST_NAMED]
    if not ready:
        if out:
            return [f"{one.words} is out already, on the {one.position}." for one in out]
        return [_not_ready(view, lure) for lure in named[:MOST_NAMED]]
    weighed = evaluate_change(view)
    best = _best(
        view,
        weighed,
        lambda where, one: one.name in names and call.position in (None, where),
    )
    if best is None:
        return _nowhere(view, ready, call.position, weighed)
    return _beside(view, weighed, best, found)


def strongest(facts: Sequence[Fact]) -> Sequence[Fact]:
    """Return the strongest facts against a change, or else its chance."""
    return facts[:-1][:MOST_AGAINST] or facts[-1:]


def fits(call: Call, lure: Lure) -> bool:
    """Return whether a lure fits a description."""
    return (
        (call.lure is None or same_name(lure.name, call.lure))
        and (call.size_in is None or abs(lure.size_in - call.size_in) < SIZE_STEP_IN)
        and (call.head is None or lure.head == call.head)
        and set(call.colours) <= set(lure.colours)
    )


def _best(view: View, weighed: Evaluation, asked: Callable[[str, Spare], bool]) -> Choice | None:
    """Return the best of the changes that are asked about."""
    may = may_run(view)
    choices = weigh(
        weighed.outlook, weighed.moment, lambda where, one: asked(where, one) and may(where, one)
    )
    return max(choices, key=lambda one: (one.value, one.chance), default=None)


def _beside(view: View, weighed: Evaluation, best: Choice, found: Verdict) -> list[str]:
    """Return the chance of a change beside the one that is proposed instead."""
    change = f"{best.spare.words} on the {best.there.position} for {best.there.words}"
    lines = [
        f"{change}: better with {chances(best.chance)}, {best.gain_per_h:+.2f} strikes an hour."
    ]
    if isinstance(found, Advice):
        lines.append(
            f"Proposed instead: {found.lure} on the {found.position}, better with"
            f" {chances(found.chance)}, {found.gain_per_h:+.2f} strikes an hour."
        )
        lines += _why_instead(view, weighed, best, found)
    elif best.chance < least_chance(weighed.moment.wishes):
        least = chances(least_chance(weighed.moment.wishes))
        lines.append(f"Nothing is proposed that is better with less than {least}.")
    else:
        lines.append("What it would win is less than what the change costs.")
    told = grounds(
        weighed.outlook, weighed.today, weighed.earlier, best.there.kind, best.spare.kind
    )
    lines += [f"For it: {one.sentence}" for one in told[:1]]
    facts = against(weighed, best)
    lines.append(f"Against it: {' '.join(fact.words for fact in strongest(facts))}")
    return lines


def _why_instead(view: View, weighed: Evaluation, asked: Choice, found: Advice) -> list[str]:
    """Return why the proposal comes before a change that has the better figures; nothing where it has not."""
    if asked.chance <= found.chance or asked.gain_per_h <= found.gain_per_h:
        return []
    said = (found.position, found.lure)
    for one in weighed.moment.previous:
        if not (one.made or one.anew) and (one.position, one.put_in) == said:
            until = (
                "stands until something happens, or for an hour" if one.stands else "is hardly less"
            )
            return [f"It was proposed at {clock(one.at, view.tz)} and {until}."]
    first, lure = leader(weighed.moment.spread), view.lure(found.lure)
    if first is not None and lure is not None and like(spare(lure).kind, first.kind) >= ALIKE_FROM:
        return [f"It repeats {first.words}, which has {count(first.strikes, 'strike')}."]
    return ["That change would cost more than it wins over the rest of the day."]


def _stays(view: View, there: InWater, kept: Reason) -> str:
    match kept:
        case "fish on":
            return "a fish is on it."
        case "just bitten":
            at = "" if there.struck_at is None else f" at {clock(there.struck_at, view.tz)}"
            return f"{there.words} was bitten{at}, so it stays where it is."
        case "just raised":
            at = "" if there.raised_at is None else f" at {clock(there.raised_at, view.tz)}"
            return f"a fish came up behind {there.words}{at}, so it stays where it is."
        case "has the strikes":
            strikes = count(there.strikes, "strike")
            return f"{there.words} has all of the strikes ({strikes}), so it stays where it is."
        case "works best":
            strikes = count(there.strikes, "strike")
            return f"{there.words} works best of what is out ({strikes}), so it stays."
        case "just out":
            return f"{there.words} has only just gone out; let it fish first."


def _not_ready(view: View, lure: Lure) -> str:
    stands = view.readiness[lure.name]
    reason = f" ({stands.reason})" if stands.reason else ""
    return f"{spare(lure).words} is not ready: {stands.state}{reason}."


def _nowhere(
    view: View, ready: Sequence[Lure], position: str | None, weighed: Evaluation
) -> list[str]:
    """Return why none of these lures may go out anywhere."""
    kept = left_alone(weighed.moment, weighed.outlook)
    there = next((one for one in weighed.moment.spread if one.position == position), None)
    if there is not None and there.position in kept:
        stays = _stays(view, there, kept[there.position])
        return [f"{sentence(there.position).rstrip('.')}: {stays}"]
    speed_kn = trolling_kn(view)
    lines = []
    for lure in ready[:MOST_NAMED]:
        places = [
            there
            for there in weighed.moment.spread
            if position in (None, there.position) and there.position not in kept
        ]
        reasons = [why_not_there(view, one.position, spare(lure), speed_kn) for one in places]
        why = next((reason for reason in reasons if reason), "")
        lines.append(sentence(why or f"{spare(lure).words}: no line is free for it now"))
    return list(dict.fromkeys(lines))
