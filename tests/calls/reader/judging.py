"""How much of a corpus is read right, and how much of it is logged wrong."""

from collections.abc import Mapping, Sequence
from typing import Any

from bot.bench.corpus import same_calls
from bot.calls.language import Language
from bot.calls.understand import understand
from bot.transcript import typed_transcript
from bot.trip.acts import QUESTIONS


def shares(rows: Sequence[Mapping[str, Any]], read: Language) -> tuple[float, float]:
    """Return the shares of lines read right, and logged wrong without being asked about."""
    right = wrong = 0
    for row in rows:
        found = understand(typed_transcript(row["text"]), read)
        good = same_calls(row["calls"], [c.to_json() for c in found.calls])
        right += good
        logs = any(c.act not in QUESTIONS for c in found.calls)
        wrong += logs and not good and found.ask is None
    return right / len(rows), wrong / len(rows)
