"""How likely each word of an automaton is where it may come, by the weights of the grammar.

The format gives alternatives weights, and holds those without to be alike likely; what may be left out
or said again is held to be said every second time. The automaton has joined states of the grammar, so its
shares are those that come nearest to the grammar's (the same mean counts of every word at every state).
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from heapq import heappop, heappush

from bot.speech.compact import Sentences
from bot.speech.jsgf_reader import WordGraph

_RARE = 1e-12
"""What is said more seldom is not followed further."""
_NEVER = -30.0


@dataclass(frozen=True, slots=True)
class Likely:
    """Natural logarithms of shares: of each word at each state of an automaton, and of ending there."""

    sentences: Sentences
    words: tuple[Mapping[str, float], ...]
    ends: Mapping[int, float]

    def of(self, text: str) -> float:
        """Return the log probability of a sentence; -30 or less for what is none."""
        state, total = self.sentences.start, 0.0
        for word in text.split():
            if word not in self.sentences.moves[state]:
                return total + _NEVER
            total += self.words[state][word]
            state = self.sentences.moves[state][word]
        return total + self.ends.get(state, _NEVER)


def likely(graph: WordGraph, sentences: Sentences) -> Likely:
    """Return the shares of an automaton that was made of a graph."""
    counts: list[dict[str, float]] = [dict.fromkeys(moves, 0.0) for moves in sentences.moves]
    ended = dict.fromkeys(sentences.ends, 0.0)
    number = {place: at for at, place in enumerate(_order(graph, sentences))}
    mass = {(graph.start, sentences.start): 1.0}
    todo = [(0, (graph.start, sentences.start))]

    def move(to: tuple[int, int], share: float) -> None:
        if to not in mass:
            heappush(todo, (number[to], to))
        mass[to] = mass.get(to, 0.0) + share

    while todo:  # whatever comes first, so that repetitions are through before what follows them
        _, place = heappop(todo)
        here = mass.pop(place)
        node, state = place
        if here < _RARE:
            continue
        if node == graph.end and state in ended:
            ended[state] += here
        arcs, shares = graph.arcs.get(node, ()), graph.arc_shares.get(node, ())
        skips, skipped = graph.empty.get(node, ()), graph.empty_shares.get(node, ())
        whole = sum(shares) + sum(skipped)
        for (word, to), share in zip(arcs, shares, strict=True):
            counts[state][word] += here * share / whole
            move((to, sentences.moves[state][word]), here * share / whole)
        for to, share in zip(skips, skipped, strict=True):
            move((to, state), here * share / whole)
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
    """Return the places that can be reached, each (but for repetitions) before those after it."""
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
