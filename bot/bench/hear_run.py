"""Plays items to an engine, parses what it heard as the desk does, and says what would become of it."""

import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Protocol

import numpy as np

from bot.bench.hear_data import Item, sound
from bot.calls.language import Language
from bot.calls.understand import understand
from bot.calls.weigh import Hints
from bot.desk.settle import Doubt, Remark, settle
from bot.errors import AudioError
from bot.speech.audio import Pcm
from bot.transcript import Transcript, typed_transcript
from bot.trip.acts import QUESTIONS
from bot.trip.call import Call

_AT = datetime(2026, 1, 1, tzinfo=UTC)
_BITES = frozenset({"strike", "hookup", "raise"})
_POSITIONS = ("short corner", "long corner", "short rigger", "long rigger", "shotgun")
_COLOURS = (
    "black",
    "blue",
    "purple",
    "pink",
    "green",
    "orange",
    "red",
    "silver",
    "white",
    "yellow",
)
_NO_LOG = QUESTIONS | {"yes", "no", "help"}


class Listener(Protocol):
    """What the bench needs of an engine."""

    def transcribe(self, pcm: Pcm) -> Transcript:
        """Hear one recording."""
        ...


@dataclass(frozen=True, slots=True)
class Result:
    """What became of one recording."""

    item: Item
    heard: Transcript
    outcome: str
    """`logged`, `answered` (a question, yes or no), `asked` or `refused`."""
    right: bool
    """The calls taken first are those that were said; for talk: none was taken."""
    took_s: float
    known: tuple[str, bool] | None = None
    """Outcome and rightness where the log knows what is in the water; None for calls without a lure."""


def play(items: Iterable[Item], engine: Listener, words: Language) -> Iterator[Result]:
    """Play items one after the other."""
    for item in items:
        try:
            pcm = sound(item)
        except AudioError:
            continue
        started = time.perf_counter()
        heard = engine.transcribe(pcm)
        calls, outcome = calls_taken(heard, words)
        took_s = time.perf_counter() - started
        meant = understand(typed_transcript(item.said), words).calls if item.kind == "call" else ()
        known = None
        if water := in_water(meant, item.seed):
            with_state = calls_taken(heard, words, water)
            known = with_state[1], with_state[0] == meant
        yield Result(item, heard, outcome, calls == meant, took_s, known)


def in_water(meant: tuple[Call, ...], seed: int) -> Hints | None:
    """Return a spread with the lure that a bite was called on where it was called, others elsewhere."""
    bites = [c for c in meant if c.act in _BITES and c.position and (c.colours or c.size_in)]
    if len(meant) != 1 or not bites:
        return None
    call, rng = bites[0], np.random.default_rng(seed)
    spread: dict[str, tuple[tuple[str, ...], float | None, str | None]] = {}
    for position in _POSITIONS:
        colours = tuple(map(str, rng.choice(_COLOURS, 2, replace=False)))
        spread[position] = (colours, float(rng.integers(6, 13)), None)
    colours, size_in, _ = spread.get(call.position or "", ((), None, None))
    spread[call.position or ""] = (call.colours or colours, call.size_in or size_in, None)
    return Hints(spread)


def calls_taken(
    heard: Transcript, words: Language, hints: Hints | None = None
) -> tuple[tuple[Call, ...], str]:
    """Return the calls that were understood, and what the desk would do with them."""
    if not heard.best.strip():
        return (), "refused"
    meant = understand(heard, words, hints)
    settled = settle(meant, None, None, _AT, heard.signals.get("accept", 1.0))
    if isinstance(settled, Doubt):
        return meant.calls, "asked"
    if isinstance(settled, Remark) and not (meant.calls and settled.text):
        return (), "refused"
    only_questions = all(call.act in _NO_LOG for call in meant.calls)
    return meant.calls, "answered" if only_questions else "logged"
