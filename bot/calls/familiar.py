"""How usual a line is for its speaker, as a gain in its score.

A line that this speaker has said before gains; of others those of usual pairs of words stand before the rest,
less so by what others aboard have said. Where no line is a call, a wording of the speaker's that sounds like
one is weighed as well, and so is a name of the crew where a word sounds like it. Pure.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import exp
from typing import Final

from bot.calls.language import Language
from bot.calls.sounds import distance
from bot.calls.usual import SHORTEST_NAME, Usual
from bot.transcript import Alternative, Transcript

GAIN: Final = 0.2
"""What a line that its speaker often says gains in mean log probability a token; larger trusts habit more."""
PAIRS_GAIN: Final = 0.05
"""How far usual pairs of words set other lines apart: enough to choose, never enough to be sure."""
NAME_NEAR: Final = 0.25
"""Largest distance in sound between a word and a name of the crew, for each sound of the longer."""
NAME_GAIN: Final = 0.06
"""What a line gains when such a name replaces the word."""
WORDING_NEAR: Final = 0.2
"""Largest distance in sound between a line and a usual wording, for each sound of the longer."""
MOST_LINES: Final = 3
"""Number of the ear's lines in which names and wordings are looked for."""


def raise_usual(transcript: Transcript, usual: Usual, words: Language) -> Transcript:
    """Return a transcript with usual lines made likelier, and with the names that may be meant."""
    if not (usual.own or usual.others or usual.names):
        return transcript
    found = transcript.alternatives
    named = [
        Alternative(text, line.score * exp(NAME_GAIN))
        for line in found[:MOST_LINES]
        for text in _named(line.text, usual.names, words)
    ]
    lines = {line.text: line for line in (*named[::-1], *found[::-1])}
    kept = [lines[line.text] for line in found]
    kept += [line for line in named if line.text not in {one.text for one in found}]
    most = max((usual.gain(line.text) for line in kept), default=0.0)
    return replace(transcript, alternatives=tuple(_weighed(line, usual, most) for line in kept))


def with_wordings(transcript: Transcript, usual: Usual, words: Language) -> Transcript:
    """Return a transcript with usual wordings that its first lines sound like; the nearer, the likelier."""
    heard = [(line, _codes(line.text, words)) for line in transcript.alternatives[:MOST_LINES]]
    there = {line.text for line in transcript.alternatives}
    more: dict[str, float] = {}
    for wording in usual.wordings:
        codes = _codes(wording, words)
        for line, said in heard:
            apart = _apart(said, codes)
            if apart <= WORDING_NEAR and wording not in there:
                score = line.score * exp(-apart)
                more[wording] = max(more.get(wording, 0.0), score)
    added = tuple(Alternative(text, score) for text, score in more.items())
    return replace(transcript, alternatives=transcript.alternatives + added)


def _weighed(line: Alternative, usual: Usual, most: float) -> Alternative:
    """Return a line made likelier where its speaker says it, less likely where other lines are more usual."""
    gain = usual.gain(line.text)
    more = GAIN * gain if usual.knows(line.text) else PAIRS_GAIN * (gain - most)
    return replace(line, score=min(1.0, line.score * exp(more)))


def _named(text: str, names: Sequence[str], words: Language) -> Iterable[str]:
    """Yield a line with each word that sounds like a name of the crew, and is none, written as that name."""
    said = text.split()
    for at, word in enumerate(said):
        low = word.casefold()
        if len(low) < SHORTEST_NAME or low in names or low in words.grammar.vocabulary:
            continue
        codes = _codes(low, words)
        for name in names:
            if _apart(codes, _codes(name, words)) <= NAME_NEAR:
                yield " ".join((*said[:at], name, *said[at + 1 :]))


def _codes(text: str, words: Language) -> list[str]:
    return [code for code in words.repairer.codes_of(text.casefold()) if code]


def _apart(ours: Sequence[str], theirs: Sequence[str]) -> float:
    return min((distance(a, b) / max(len(a), len(b)) for a in ours for b in theirs), default=9.0)
