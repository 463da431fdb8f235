"""Lines that the ears wrote, by how they sound and by how likely they are as words of a deck. Pure."""

from collections.abc import Collection
from dataclasses import dataclass, replace
from math import log
from typing import Final

from bot.calls.language import Language
from bot.transcript import Alternative, Transcript

WEIGHT: Final = 0.2
"""How much the mean log probability of the words adds to that of the sound; larger writes more calls and
fewer names. Chosen with the weights of `calls/heard`, on the same recordings."""
USUAL: Final = -3.3
"""Mean log probability of the words of a usual line: one like it is as sure as its sound alone."""
LEAST: Final = -2.5
"""A line is no less sure than this."""
_FIRSTS: Final = ("deck_first", "plain_first")
"""Signals that hold the place of each ear's own first line."""


@dataclass(frozen=True, slots=True)
class LineLikelihood:
    """How sure a line is."""

    sound: float
    """Mean log probability of its tokens, by the ear."""
    sure: float
    """The same with its words weighed."""
    unknown: int
    """Number of words that the model of words has not, and that are not the boat's own."""


def line_likelihood(
    line: Alternative, words: Language, crew: Collection[str] = ()
) -> LineLikelihood:
    """Return how sure a line is; `crew` are names in small letters. Without a model of words as it sounds."""
    sound = max(LEAST, log(max(line.score, 1e-9)))
    model = words.word_model() if words.word_model is not None else None
    if model is None:
        return LineLikelihood(sound, sound, 0)
    own = words.own_words.union(crew)
    found = model.likelihood(line.text.lower().split(), words.word_classes, own)
    return LineLikelihood(sound, sound + WEIGHT * (found.mean - USUAL), found.unknown)


def in_likely_order(transcript: Transcript, words: Language) -> Transcript:
    """Return a transcript with its lines by how they sound and what words they are, likeliest first."""
    lines = transcript.alternatives
    sure = [line_likelihood(line, words).sure for line in lines]
    order = sorted(range(len(lines)), key=lambda at: -sure[at])
    places = {
        name: float(order.index(int(transcript.signals[name])))
        for name in _FIRSTS
        if int(transcript.signals.get(name, len(lines))) < len(lines)
    }
    return replace(
        transcript,
        alternatives=tuple(lines[at] for at in order),
        signals=transcript.signals | places,
    )
