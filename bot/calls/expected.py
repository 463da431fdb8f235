"""Answers that are expected: after "Which position?" a short line that sounds like a position is one.

Ears write common words for the deck's ("sure corner", "log rigor"), and such a line alone says nothing else.
Pure.
"""

from dataclasses import replace
from typing import Final

from bot.calls.language import Language
from bot.calls.sounds import distance
from bot.transcript import Transcript

MOST_WORDS: Final = 4
"""A longer line says more than a position."""
NEAR: Final = 0.22
"""Largest distance in sound from a position, for each sound of the longer; larger accepts more."""
CLEAR: Final = 0.08
"""How much further away every other position must be; smaller accepts a line between two."""
_LETTERS: Final = 6
"""Shorter forms are abbreviations, which nobody speaks."""


def as_position(text: str, words: Language) -> str | None:
    """Return the one position that a line sounds like; None where there is none, or more than one."""
    if not 1 <= len(text.split()) <= MOST_WORDS:
        return None
    said = words.repairer.codes_of(text.casefold())
    far = sorted((_apart(said, forms, words), name) for name, forms in _forms(words).items())
    if not far or far[0][0] > NEAR or (len(far) > 1 and far[1][0] - far[0][0] < CLEAR):
        return None
    return far[0][1]


def with_positions(transcript: Transcript, words: Language) -> Transcript:
    """Return a transcript with each line that sounds like a position replaced by its name."""
    lines = tuple(
        replace(one, text=as_position(one.text, words) or one.text)
        for one in transcript.alternatives
    )
    first = {line.text: line for line in reversed(lines)}
    kept = tuple(line for line in lines if first[line.text] is line)
    places = {line.text: float(place) for place, line in enumerate(kept)}
    moved = {
        name: places[lines[int(at)].text]
        for name, at in transcript.signals.items()
        if name.endswith("_first") and int(at) < len(lines)
    }
    return replace(transcript, alternatives=kept, signals=transcript.signals | moved)


def _forms(words: Language) -> dict[str, tuple[str, ...]]:
    table = words.grammar.words["position"]
    return {name: tuple(f for f in forms if len(f) >= _LETTERS) for name, forms in table.items()}


def _apart(said: list[str], forms: tuple[str, ...], words: Language) -> float:
    return min(
        (
            distance(ours, theirs) / max(len(ours), len(theirs), 1)
            for form in forms
            for theirs in words.repairer.codes_of(form)
            for ours in said
        ),
        default=9.0,
    )
