"""Why fish do not stick, in words: strikes hooked, fish landed, by what, and what to check first."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Final

from bot.advice.rates import wilson
from bot.advice.sticking import STEPS, Amiss, Bite, Of, Step, amiss, rows
from bot.answers.answer import Answer
from bot.answers.view import View
from bot.replies.amounts import count, sentence
from bot.spread.rules import findings
from bot.tackle.cautions import CAUTIONS
from bot.tackle.checks import Rig
from bot.trip.fish import Fish
from bot.trip.state import Trip

OPEN_FOR: Final = timedelta(minutes=5)
"""Silence after which a strike counts as not hooked."""
FEW: Final = 4
"""Fewest tries of a row that is shown."""
_BY: Final[tuple[Of, ...]] = ("lure", "hooks", "position", "angler", "drag")
MOST_ROWS: Final = 3
"""Most rows that are shown of one thing: those with most tries, the poorest first."""
MOST_TRIPS: Final = 60
NONE_YET: Final = "No strike on this trip yet."
OF_HOOKS: Final = frozenset({"hooks-too-heavy", "hooks-too-light", "drag-setting"})
"""Findings that may be why fish do not stick."""
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


def answer_sticking(view: View, of: Of = "all", key: str = "") -> Answer:
    """Answer why fish do not stick: how many did, today and before, by what, and what to check first.

    With `of` and `key` it is asked of one line or one lure.
    """
    bites = bites_of(view)
    if key:
        return _of_one(view, bites, of, key)
    now, before = _apart(bites)
    lines = [share_line(now, "Today", step) for step in STEPS] if now else [NONE_YET]
    lines += [share_line(before, "Earlier trips", step) for step in STEPS]
    found = amiss(bites)
    told = [amiss_line(one) for one in found[:2]]
    if not told and bites:
        told = [
            f"Nothing is below the boat's own by more than luck{_poorest(now)}."
            f" Common practice all the same: {FIRST['hook-up', 'all']}."
        ]
    lines = [line for line in lines if line] + told
    for part, when in ((now, "Today by"), (before, "Earlier by")):
        lines += [line for step in STEPS for of in _BY if (line := _by(part, of, step, when))]
    if not bites:
        return Answer(NONE_YET, NONE_YET)
    lines.append(CAUTIONS["hooks"])
    if any(one.step == "landed" or one.of in ("all", "position", "drag") for one in found):
        lines.append(CAUTIONS["drag"])
    return Answer("\n".join(lines), (told or lines)[0])


def _of_one(view: View, bites: Sequence[Bite], of: Of, key: str) -> Answer:
    """Return the same of one line or one lure, beside the others."""
    name = f"The {key}" if of == "position" else key
    mine = [bite for bite in bites if getattr(bite, of) == key]
    now, before = _apart(mine)
    rest, _ = _apart([bite for bite in bites if getattr(bite, of) != key])
    lines = [f"No strike on {_lower(name)} on this trip yet."] if not now else []
    lines += [share_line(now, f"{name} today", step) for step in STEPS]
    lines += [share_line(rest, "All others today", step) for step in STEPS] if now else []
    lines += [share_line(before, f"{name} on earlier trips", step) for step in STEPS]
    told = [amiss_line(one) for one in amiss(bites) if (one.of, one.key) == (of, key)][:1]
    if not told:
        told = [
            f"It is not below the boat's own by more than luck. Look first at {FIRST['hook-up', of]}."
        ]
    also: Of = "lure" if of == "position" else "position"
    lines += [*told, *_rigged(view, of, key)]
    lines += [
        line
        for part, when in ((now, "Today by"), (before, "Earlier by"))
        if (line := _by(part, also, "hook-up", when, 1))
    ]
    lines.append(CAUTIONS["hooks"])
    return Answer("\n".join(line for line in lines if line), told[0])


def _rigged(view: View, of: Of, key: str) -> list[str]:
    """Return the rod of the line with its strike drag, and what speaks against the hooks that it tows."""
    there = next((x for x in view.trip.spread.values() if key in (x.position, x.lure)), None)
    position = key if of == "position" else there.position if there is not None else None
    outfit = view.boat.outfit(position) if position else None
    lure = view.lure(there.lure) if there is not None else None
    if outfit is None:
        return []
    drag = view.units.weight(outfit.drag_kg)
    rod = f"Its rod: {view.units.line(outfit.line_class_kg)}, strike drag {drag}."
    if lure is None:
        return [rod]
    about = (f for f in findings(Rig(lure, outfit, view.speed_kn)) if f.code in OF_HOOKS)
    return [rod, *(sentence(finding.text) for finding in about)]


def _apart(bites: Sequence[Bite]) -> tuple[list[Bite], list[Bite]]:
    """Return the strikes of today and those before."""
    return [b for b in bites if b.age_days == 0.0], [b for b in bites if b.age_days > 0.0]


def _poorest(now: Sequence[Bite]) -> str:
    """Return the line on which least came tight today, where it was tried often and the others did better."""
    found = rows(now, "position", "hook-up")
    if len(found) < 2 or found[0][2] < FEW:
        return ""
    place, passed, tries = found[0]
    others = [row[1:] for row in found[1:]]
    rest, of = (sum(part) for part in zip(*others, strict=True))
    if passed * of >= rest * tries:
        return ""
    return f"; poorest today is the {place}, {passed} of {tries}, other lines {rest} of {of}"


def _lower(name: str) -> str:
    return name[:1].lower() + name[1:] if name.startswith("The ") else name


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


def share_line(bites: Sequence[Bite], head: str, step: Step) -> str:
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


def _by(bites: Sequence[Bite], of: Of, step: Step, when: str, fewest: int = 2) -> str:
    """Write how many passed a step by one thing; nothing where no row has enough tries."""
    found = rows(bites, of, step)
    if len(found) < fewest or all(row[2] < FEW for row in found):
        return ""
    often = sorted(found, key=lambda row: -row[2])[:MOST_ROWS]
    shown = [row for row in found if row in often]
    head = f"{when} {'line' if of == 'position' else of}" + (
        "" if step == "hook-up" else ", landed"
    )
    return f"{head}: " + "; ".join(f"{key} {some} of {many}" for key, some, many in shown)
