"""Why fish do not stick, in words: strikes hooked, fish landed, by what, and what to check first."""

from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta
from typing import Final

from bot.advice.rates import wilson
from bot.advice.sticking import STEPS, Amiss, Bite, Of, Step, amiss, rows
from bot.answers.answer import Answer
from bot.answers.view import View
from bot.replies.amounts import count, sentence
from bot.tackle.cautions import CAUTIONS
from bot.trip.fish import Fish
from bot.trip.state import Trip

OPEN_FOR: Final = timedelta(minutes=5)
"""Silence after which a strike counts as not hooked."""
FEW: Final = 4
"""Fewest tries of a row that is shown."""
_BY: Final[tuple[Of, ...]] = ("lure", "hooks", "position", "angler", "drag")
MOST_TRIPS: Final = 60
FIRST: Final[Mapping[tuple[Step, Of], str]] = {
    ("hook-up", "all"): "the points of all hooks, then the strike drags with a scale, then the speed",
    ("hook-up", "lure"): "its points, then how its hooks are set, then how it runs",
    ("hook-up", "hooks"): "their points and their gauge for the line class, then how they are set",
    ("hook-up", "position"): "its strike drag with a scale, its clip, then the points there",
    ("hook-up", "angler"): "whether that rod is left in its holder at the strike as the others are",
    ("hook-up", "drag"): "that drag with a scale, against what the hooks need",
    ("landed", "all"): "the drags with a scale, then crimps, knots and leaders, then hooks that opened",
    ("landed", "lure"): "its hooks (bent or opened), then its crimps and leader",
    ("landed", "hooks"): "whether they opened: their gauge for the line class, and the drag",
    ("landed", "position"): "its drag with a scale, then its line, knots and leader",
    ("landed", "angler"): "slack line and the drag during the fight, together",
    ("landed", "drag"): "that drag with a scale: too little lets hooks fall out, too much tears",
}  # fmt: skip
"""What to check first: common practice, no source."""
WORDS: Final[Mapping[Step, str]] = {"hook-up": "came tight", "landed": "were landed"}
"""Step -> words for a bite that passed it."""


def asked_sticking(view: View) -> Answer:
    """Answer why fish do not stick: how many did, by what, and what to check first."""
    bites = bites_of(view)
    now = [bite for bite in bites if bite.age_days == 0.0]
    if not now:
        text = "No strike on this trip yet."
        return Answer(text, text)
    lines = [share_line(now, "Today", step) for step in STEPS]
    before = [bite for bite in bites if bite.age_days > 0.0]
    lines += [share_line(before, "Earlier trips", step) for step in STEPS] if before else []
    found = amiss(bites)
    told = [amiss_line(one) for one in found[:2]]
    if not told:
        told = [
            "Nothing is below the boat's own by more than luck. Common practice all the same:"
            f" {FIRST['hook-up', 'all']}."
        ]
    lines = [line for line in lines if line] + told
    lines += [line for step in STEPS for of in _BY if (line := _by(bites, of, step))]
    lines.append(CAUTIONS["hooks"])
    if any(one.step == "landed" or one.of in ("all", "position", "drag") for one in found):
        lines.append(CAUTIONS["drag"])
    return Answer("\n".join(lines), told[0])


def sticking_lines(before: View, after: View) -> list[str]:
    """Return once what has become worse than luck explains."""
    known = {(one.step, one.of, one.key) for one in amiss(bites_of(before))}
    new = [one for one in amiss(bites_of(after)) if (one.step, one.of, one.key) not in known]
    return [amiss_line(new[0])] if new and not known else []


def amiss_line(one: Amiss) -> str:
    """Write what is worse, its figures beside the boat's own, and what to check first."""
    what = {
        "all": "today", "lure": f"on {one.key}", "position": f"on the {one.key}",
        "angler": f"with {one.key} on the rod", "hooks": f"on {one.key}",
        "drag": f"at {one.key} of drag",
    }  # fmt: skip
    tries = "strikes" if one.step == "hook-up" else "fish on"
    own = f"; otherwise {one.own_passed} of {one.own_tries}" if one.own_tries else ""
    first = FIRST[one.step, one.of]
    return sentence(
        f"{one.passed} of {one.tries} {tries} {WORDS[one.step]} {what[one.of]}{own}:"
        f" more than luck. Look first at {first}"
    )


def bites_of(view: View) -> tuple[Bite, ...]:
    """Return the decided strikes of this trip and the latest ones before it."""
    found = [
        bite
        for trip in view.past.trips[-MOST_TRIPS:]
        for bite in _bites(view, trip, max(1.0, _age_days(trip, view.now)))
    ]
    return (*found, *_bites(view, view.trip, 0.0))


def _age_days(trip: Trip, now: datetime) -> float:
    return (now - (trip.last_at or now)).total_seconds() / 86_400


def _bites(view: View, trip: Trip, age_days: float) -> Iterator[Bite]:
    for fish in trip.fish:
        at = fish.bite_at
        if not fish.is_strike or at is None:
            continue
        if not (fish.was_on or fish.is_over or view.now - at >= OPEN_FOR):
            continue
        landed = None if not fish.was_on or not fish.ends else fish.caught > 0
        yield Bite(
            fish.was_on,
            landed,
            fish.lure,
            _hooks(view, fish),
            fish.position,
            fish.angler,
            _drag(view, trip, fish, at),
            age_days,
            max(1, sum(end.count for end in fish.ends)),
            fish.caught if landed is not None else None,
        )


def _hooks(view: View, fish: Fish) -> str | None:
    lure = view.lure(fish.lure)
    if lure is None or (lure.hooks is None and lure.hook_gauge is None):
        return None
    many = "" if lure.hooks is None else f"{lure.hooks} "
    gauge = "" if lure.hook_gauge is None else f"{lure.hook_gauge} "
    return f"{many}{gauge}hook{'s' * (lure.hooks != 1)}"


def _drag(view: View, trip: Trip, fish: Fish, at: datetime) -> str | None:
    """Return the drag of its line as read last before the bite, or of all lines."""
    read = [
        one for one in trip.drags if one.at <= at and one.position in (None, fish.position)
    ]  # in order of time
    return view.units.weight(read[-1].drag_kg) if read else None


def share_line(bites: list[Bite], head: str, step: Step) -> str:
    """Write how many passed a step, with Wilson's interval; empty where none came to it.

    Strikes are counted to the hook-up, and fish from there on, as a tally counts them.
    """
    tried = [bite for bite in bites if bite.outcome(step) is not None]
    if not tried:
        return ""
    landed = step == "landed"
    tries = sum(bite.ended if landed else 1 for bite in tried)
    passed = sum(_landed(bite) if landed else bite.hooked for bite in tried)
    interval = wilson(passed, tries)
    of = f"{tries} fish on" if landed else count(tries, "strike")
    sure = (
        f" ({round(100 * interval.low)} to {round(100 * interval.high)} %)"
        if interval is not None and tries >= FEW
        else ", too few to say"
    )
    return f"{head}: {passed} of {of} {WORDS[step]}{sure}."


def _landed(bite: Bite) -> int:
    return int(bool(bite.landed)) if bite.caught is None else bite.caught


def _by(bites: tuple[Bite, ...], of: Of, step: Step) -> str:
    found = [row for row in rows(bites, of, step) if row[2] >= FEW]
    if len(found) < 2:
        return ""
    shown = found[:2] + found[-1:] if len(found) > 3 else found
    head = f"By {of}" if step == "hook-up" else f"Landed by {of}"
    return f"{head}: " + "; ".join(f"{key} {some} of {many}" for key, some, many in shown)
