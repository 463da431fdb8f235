"""Plays items to an engine, parses what it heard as the desk does, and says what would become of it."""

import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Protocol

from bot.answers.settle import Doubt, Remark, settle
from bot.bench.hear_data import Item, sound
from bot.calls.understand import Language, understand
from bot.errors import AudioError
from bot.speech.audio import Pcm
from bot.transcript import Transcript, typed
from bot.trip.call import QUESTIONS, Call

_AT = datetime(2026, 1, 1, tzinfo=UTC)
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


def play(items: Iterable[Item], engine: Listener, words: Language) -> Iterator[Result]:
    """Play items one after the other."""
    for item in items:
        try:
            pcm = sound(item)
        except AudioError:
            continue
        started = time.perf_counter()
        heard = engine.transcribe(pcm)
        calls, outcome = taken(heard, words)
        took_s = time.perf_counter() - started
        meant = understand(typed(item.said), words).calls if item.kind == "call" else ()
        yield Result(item, heard, outcome, calls == meant, took_s)


def taken(heard: Transcript, words: Language) -> tuple[tuple[Call, ...], str]:
    """Give the calls that were understood, and what the desk would do with them."""
    if not heard.best.strip():
        return (), "refused"
    meant = understand(heard, words)
    settled = settle(meant, None, None, _AT, heard.signals.get("accept", 1.0))
    if isinstance(settled, Doubt):
        return meant.calls, "asked"
    if isinstance(settled, Remark) and not meant.calls:
        return (), "refused"
    only_questions = all(call.act in _NO_LOG for call in meant.calls)
    return meant.calls, "answered" if only_questions else "logged"
