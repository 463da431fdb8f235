"""Lures that are called one after another, written in one line: laid, or made ready. Pure."""

from collections.abc import Sequence
from itertools import groupby
from typing import Final

from bot.replies.amounts import first_few, sentence
from bot.trip.acts import READY, SET
from bot.trip.decision import Resolved
from bot.trip.lures import is_known, label

MOST_NAMED: Final = 12
"""Most lures that are named; more are counted."""


def rows(told: Sequence[Resolved]) -> list[tuple[Resolved, ...]]:
    """Return what is told in the rows in which it is written: lures of one act together, all else alone."""
    found: list[tuple[Resolved, ...]] = []
    for key, group in groupby(told, key=_kind):
        row = tuple(group)
        found += [row] if key else [(one,) for one in row]
    return found


def _kind(one: Resolved) -> str:
    if one.replaces:
        return ""
    if one.call.act == READY:
        return READY if is_known(one.call) else ""
    return SET if one.call.act == SET else ""


def row_words(row: Sequence[Resolved]) -> str:
    """Write several lures of one act in a line: `Set: short corner Church Hat; shotgun Rusty Nail.`"""
    if row[0].call.act == READY:
        return sentence(f"Ready: {first_few([label(one.call) for one in row], MOST_NAMED)}")
    words = (f"{one.call.position or ''} {label(one.call)}".strip() for one in row)
    return sentence(f"Set: {'; '.join(words)}")
