"""What becomes of strikes: hooked and landed by lure, hooks, position, angler and drag, in words."""

from collections.abc import Mapping, Sequence
from typing import Final

from bot.advice.rates import wilson
from bot.advice.sticking import STEPS, Bite, Of, Step, amiss, rows
from bot.answers.answer import Answer
from bot.answers.sticking import FEW, WORDS, amiss_line, bites_of, share_line
from bot.answers.view import View
from bot.replies.amounts import count
from bot.trip.call import Call
from bot.trip.exposure import By

_BY: Final[Mapping[By, Of]] = {
    "lure": "lure",
    "position": "position",
    "angler": "angler",
    "crew": "angler",
}
_ASKED: Final[Mapping[str, Of]] = {"by_drag": "drag", "by_hooks": "hooks", "by_angler": "angler"}
"""By what else it may be asked: names of the table `asks` of grammar/meanings.toml."""
_ALL: Final[tuple[Of, ...]] = ("lure", "hooks", "position", "angler", "drag")
MOST_ROWS: Final = 8


def asked_conversion(view: View, call: Call, by: By) -> Answer | None:
    """Return what became of strikes by one thing, or by each; None where the tally counts by another."""
    of = next((of for asked, of in _ASKED.items() if call.asks(asked)), _BY.get(by))
    if of is None and by != "none":
        return None
    bites = bites_of(view)
    if not bites:
        return None
    today = [bite for bite in bites if bite.age_days == 0.0]
    before = [bite for bite in bites if bite.age_days > 0.0]
    lines = [share_line(part, head, step) for part, head in ((today, "Today"), (before, "Earlier trips"))
             for step in STEPS]  # fmt: skip
    told = [amiss_line(one) for one in amiss(bites) if of in (None, one.of)][:2]
    shown = [line for one in ((of,) if of else _ALL) for line in _lines(bites, one, every=bool(of))]
    luck = told or ["Nothing of it is below the boat's own by more than luck."]
    text = "\n".join([line for line in lines if line] + shown + luck)
    return Answer(text, next(line for line in [*lines, *luck] if line))


def _lines(bites: Sequence[Bite], of: Of, *, every: bool) -> list[str]:
    """Return a line for each key of one thing, or all in one line where each thing is told."""
    found = {
        step: {key: (some, many) for key, some, many in rows(bites, of, step)} for step in STEPS
    }
    keys = [key for key, _, _ in rows(bites, of, "hook-up")]
    if not keys:
        return [f"No {of} is known of any strike."] if every else []
    if every:
        unknown = sum(bite.outcome("hook-up") is not None for bite in bites) - sum(
            many for _, many in found["hook-up"].values()
        )
        more = [f"and {len(keys) - MOST_ROWS} more"] if len(keys) > MOST_ROWS else []
        more += [f"Without a known {of}: {count(unknown, 'strike')}."] if unknown else []
        return [*(_line(key, found) for key in keys[:MOST_ROWS]), *more]
    if len(keys) < 2:
        return []
    poorest = "; ".join(_short(key, found) for key in keys[:2])
    return [f"By {of}, poorest first: {poorest}{'; …' if len(keys) > 2 else '.'}"]


_Found = Mapping[Step, Mapping[str, tuple[int, int]]]


def _line(key: str, found: _Found) -> str:
    parts = [
        f"{some} of {many} {WORDS[step]}{_sure(some, many)}"
        for step in STEPS
        for some, many in [found[step].get(key, (0, 0))]
        if many
    ]
    return f"{key}: {'; '.join(parts)}"


def _short(key: str, found: _Found) -> str:
    some, many = found["hook-up"][key]
    return f"{key} {some} of {many} tight"


def _sure(some: int, many: int) -> str:
    interval = wilson(some, many)
    if interval is None or many < FEW:
        return ""
    return f" ({round(100 * interval.low)} to {round(100 * interval.high)} %)"
