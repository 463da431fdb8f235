"""How likely each word of an automaton is where it may come, by the weights of the grammar.

The format gives alternatives weights, and holds those without to be alike likely; what may be left out
or said again is held to be said every second time. The automaton has joined states of the grammar, so its
shares are those that come nearest to the grammar's (the same mean counts of every word at every state).
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from bot.speech.compact import Sentences
from bot.speech.jsgf_reader import WordGraph

_ROUNDS = 60
"""Repetitions are followed so often; what is left then is too rare to count."""
_RARE = 1e-9
_NEVER = -30.0


@dataclass(frozen=True, slots=True)
class Likely:
    """Natural logarithms of shares: of each word at each state of an automaton, and of ending there."""

    sentences: Sentences
    words: tuple[Mapping[str, float], ...]
    ends: Mapping[int, float]

    def of(self, text: str) -> float:
        """Give the log probability of a sentence; -30 or less for what is none."""
        state, total = self.sentences.start, 0.0
        for word in text.split():
            if word not in self.sentences.moves[state]:
                return total + _NEVER
            total += self.words[state][word]
            state = self.sentences.moves[state][word]
        return total + self.ends.get(state, _NEVER)


def likely(graph: WordGraph, sentences: Sentences) -> Likely:
    """Give the shares of an automaton that was made of a graph."""
    counts: list[dict[str, float]] = [dict.fromkeys(moves, 0.0) for moves in sentences.moves]
    ended = dict.fromkeys(sentences.ends, 0.0)
    waiting = {(graph.start, sentences.start): 1.0}
    order = _order(graph, sentences)
    for _ in range(_ROUNDS):
        for place in order:
            mass = waiting.pop(place, 0.0)
            if mass < _RARE * _RARE:
                continue
            node, state = place
            if node == graph.end and state in ended:
                ended[state] += mass
            whole = sum(graph.arc_shares.get(node, ())) + sum(graph.empty_shares.get(node, ()))
            for (word, to), share in zip(
                graph.arcs.get(node, ()), graph.arc_shares.get(node, ()), strict=True
            ):
                counts[state][word] += mass * share / whole
                after = (to, sentences.moves[state][word])
                waiting[after] = waiting.get(after, 0.0) + mass * share / whole
            for to, share in zip(
                graph.empty.get(node, ()), graph.empty_shares.get(node, ()), strict=True
            ):
                waiting[to, state] = waiting.get((to, state), 0.0) + mass * share / whole
        if sum(waiting.values()) < _RARE:
            break
    return _shares(sentences, counts, ended)


def _shares(
    sentences: Sentences, counts: list[dict[str, float]], ended: Mapping[int, float]
) -> Likely:
    words: list[dict[str, float]] = []
    ends: dict[int, float] = {}
    for state, count in enumerate(counts):
        total = sum(count.values()) + ended.get(state, 0.0) or 1.0
        words.append({word: _log(mass / total) for word, mass in count.items()})
        if state in ended:
            ends[state] = _log(ended[state] / total)
    return Likely(sentences, tuple(words), ends)


def _log(share: float) -> float:
    return max(_NEVER, math.log(share)) if share > 0 else _NEVER


def _order(graph: WordGraph, sentences: Sentences) -> list[tuple[int, int]]:
    """Give the places that can be reached, each (but for repetitions) before those after it."""
    first = (graph.start, sentences.start)
    seen, done = {first}, list[tuple[int, int]]()
    path = [(first, iter(_after(graph, sentences, first)))]
    while path:
        place, following = path[-1]
        for other in following:
            if other not in seen:
                seen.add(other)
                path.append((other, iter(_after(graph, sentences, other))))
                break
        else:
            done.append(place)
            path.pop()
    return done[::-1]


def _after(graph: WordGraph, sentences: Sentences, place: tuple[int, int]) -> list[tuple[int, int]]:
    node, state = place
    said = [(to, sentences.moves[state][word]) for word, to in graph.arcs.get(node, ())]
    return said + [(to, state) for to in graph.empty.get(node, ())]
