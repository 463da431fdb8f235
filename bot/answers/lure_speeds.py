"""Questions about the speeds of lures: which are slow runners, what runs at five knots, the speed of one.

Answers from the box; a lure without speeds there is said to have none.
"""

from collections.abc import Iterable, Sequence
from typing import Final

from bot.answers.answer import Answer
from bot.answers.at_sea import is_slow
from bot.answers.view import View
from bot.replies.amounts import count, number, sentence
from bot.spread.rules import range_words, runs_at
from bot.tackle.items import Lure

MOST: Final = 10
"""Most lures that are named in one line."""


def slow_runners(view: View) -> Answer:
    """Return the lures that run below the boat's usual speed only, the fastest first."""
    usual = view.boat.usual_kn
    slow = [lure for lure in view.box if is_slow(view, lure)]
    if not slow:
        text = f"No lure of the box runs only below {number(usual)} knots."
        return _told([text, *_without_speeds(view)])
    slow.sort(key=lambda lure: (-lure.speed_range_kn[1], lure.name))
    return _told([
        f"Slow runners, below {number(usual)} knots ({len(slow)}): {_each(view, slow)}",
        *_without_speeds(view),
    ])  # fmt: skip


def runs_it_at(speed_kn: float | None, lures: Sequence[Lure]) -> Answer | None:
    """Return whether lures run at a speed; None where either is not known."""
    if speed_kn is None or not lures:
        return None
    said = [(runs_at(x, speed_kn), x) for x in lures[:MOST]]
    return _told(
        [
            f"yes, {_of(x)}" if fits else f"no, {_of(x)}, not at {number(speed_kn)}"
            for fits, x in said
        ]
    )


def running_at(view: View, at_kn: float | None) -> Answer | None:
    """Return which lures run at a speed, and which do not; None where no speed is said."""
    if at_kn is None:
        return None
    aboard = [x for x in view.box if _is_set(x) and view.readiness[x.name].state != "lost"]
    fits = [x for x in aboard if runs_at(x, at_kn)]
    rest = [x for x in aboard if x not in fits]
    head = f"at {number(at_kn)} knots"
    lines = [
        f"{head} run {_each(view, fits)}"
        if fits
        else f"{head} runs none whose speeds are in the box"
    ]
    lines += [f"not: {_each(view, rest)}"] if rest else []
    return _told([*lines, *_without_speeds(view)])


def out_of_speed(view: View) -> Answer:
    """Return the lures out that do not run at the present speed."""
    at_kn = view.speed_kn
    out = [(there, view.lure(there.lure)) for there in view.trip.spread.values()]
    wrong = [
        f"{there.position} {_of(x)}" for there, x in out if x is not None and not runs_at(x, at_kn)
    ]
    if not wrong:
        return _told([f"all that is out and has speeds in the box runs at {number(at_kn)} knots"])
    return _told([f"not at {number(at_kn)} knots: {'; '.join(wrong)}"])


def speed_of(lures: Sequence[Lure]) -> Answer | None:
    """Return the speeds of lures; None where none is named."""
    return _told([_of(lure) for lure in lures[:MOST]]) if lures else None


def _of(lure: Lure) -> str:
    if not _is_set(lure):
        return f"{lure.name} has no speeds in the box, so it counts as running at any"
    return f"{lure.name} runs {range_words(*lure.speed_range_kn)}"


def _is_set(lure: Lure) -> bool:
    return lure.speed_range_kn != (0.0, float("inf"))


def _each(view: View, lures: Sequence[Lure]) -> str:
    out = {there.lure for there in view.trip.spread.values()}
    ready = {lure.name for lure in view.ready}
    words = []
    for lure in lures[:MOST]:
        state = "" if lure.name in ready else ", out" if lure.name in out else ", not ready"
        words.append(
            f"{lure.name} ({range_words(*lure.speed_range_kn).removeprefix('at ')}{state})"
        )
    more = f" and {len(lures) - MOST} more" if len(lures) > MOST else ""
    return "; ".join(words) + more


def _without_speeds(view: View) -> list[str]:
    bare = sum(not _is_set(lure) for lure in view.box)
    return [f"{count(bare, 'lure')} without speeds in the box"] if bare else []


def _told(lines: Iterable[str]) -> Answer:
    written = [sentence(line) for line in lines]
    return Answer("\n".join(written), written[0])
