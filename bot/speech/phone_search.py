"""The sentence of a grammar that fits the phones of a recording best, and how well its neighbours fit.

Works on the shares of phones of `phones.py` and the automaton of `compact.py`: a Viterbi search over
every way to say every word, all at once in numpy; then the sums over all alignments (CTC, Graves and
others 2006) for the sentences near the best one, so that the second best is known too.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import islice, pairwise, product

import numpy as np
import numpy.typing as npt

from bot.speech.compact import Sentences
from bot.speech.likely import Likely
from bot.speech.phones import PHONES, Floats

Wholes = npt.NDArray[np.int64]
Ways = Callable[[str], Sequence[Sequence[str]]]
"""Word -> its pronunciations, each a sequence of phones."""

FLOOR = 0.003
"""Added to every share: larger forgives the network more. Measured: 0.001 to 0.01 are alike."""
BLANK_WEIGHT = 0.1
"""Weight of "no phone" against the phones; smaller hears longer sentences, larger shorter ones."""
SURE_BLANK = 0.97
"""Frames with more than this of no phone, after another such, tell nothing and are left out."""
GRAMMAR = 0.5
"""How much the grammar's own log probability counts against the phones'."""
MOST_NEAR = 240
"""Sentences near one that are looked at."""
_MOST_WAYS = 6
"""Ways to say one sentence that are summed."""
_SAID_IN_ALL_WAYS = 16
"""Sentences of which more than one way is looked at."""
_NEVER = np.float32(-1e9)
_NO_CHANCE = np.float32(-1e30)


@dataclass(frozen=True, slots=True, eq=False)
class Chart:
    """Every word of an automaton at every place, spelt in phones; words that end alike lie together."""

    sentences: Sentences
    ways: Ways
    words: tuple[str, ...]
    labels: Wholes
    first: Wholes
    last: Wholes
    source: Wholes
    repeated: Wholes
    """Places in `labels` with the same phone as before: between them must be no phone."""
    targets: Wholes
    groups: Wholes
    """First word of each target."""
    group_of: Wholes
    chances: Floats
    """What each word adds to a score where it comes, by how likely it is there."""
    end_chances: Floats
    """What ending at each state adds."""


def spell_out(sentences: Sentences, ways: Ways, shares: Likely | None = None) -> Chart:
    """Spell an automaton out; words without a usable pronunciation are left out."""
    number = {phone: at for at, phone in enumerate(PHONES)}
    rows = [
        (to, state, word, [number[phone] for phone in way])
        for state, moves in enumerate(sentences.moves)
        for word, to in moves.items()
        for way in ways(word)
        if way and all(phone in number for phone in way)
    ]
    rows.sort(key=lambda row: row[0])
    lengths = np.array([len(row[3]) for row in rows])
    last = np.cumsum(lengths) - 1
    first = last - lengths + 1
    labels = np.concatenate([row[3] for row in rows])
    again = np.flatnonzero(labels[1:] == labels[:-1]) + 1
    targets, groups = np.unique([row[0] for row in rows], return_index=True)
    end_chances = np.full(len(sentences.moves), _NEVER)
    for state in sentences.ends:
        end_chances[state] = GRAMMAR * shares.ends[state] if shares else 0.0
    chances = [GRAMMAR * shares.words[row[1]][row[2]] if shares else 0.0 for row in rows]
    return Chart(
        sentences,
        ways,
        tuple(row[2] for row in rows),
        labels,
        first,
        last,
        np.array([row[1] for row in rows]),
        again,
        targets,
        groups,
        np.repeat(np.arange(len(groups)), np.diff(np.append(groups, len(rows)))),
        np.array(chances, np.float32),
        end_chances,
    )


def log_scores(shares: Floats) -> Floats:
    """Return the log scores that are searched, without the frames that tell nothing."""
    silent = shares[:, -1] > SURE_BLANK
    kept = ~(silent & np.concatenate(([False], silent[:-1])))
    weights = np.ones(shares.shape[1], np.float32)
    weights[-1] = BLANK_WEIGHT
    return np.asarray(np.log(shares[kept] * weights + FLOOR), np.float32)


def best_sentence(chart: Chart, scores: Floats) -> str:
    """Return the complete sentence that fits best; an empty string where none does."""
    size, states = len(chart.labels) + 1, len(chart.sentences.moves)
    # Node i stands at i + 1: the phone itself, then no phone after it; each with its way back.
    phone, rest = np.full(size, _NEVER), np.full(size, _NEVER)
    phone_from, rest_from = np.zeros(size, np.int32), np.zeros(size, np.int32)
    at, at_from = np.full(states, _NEVER), np.zeros(states, np.int32)
    at[chart.sentences.start] = 0
    waited = np.float32(0)
    came: list[npt.NDArray[np.int32]] = [np.array([-1], np.int32)]
    ended: list[Wholes] = [np.array([-1])]
    spelt = scores[:, chart.labels]
    for frame, none in enumerate(scores[:, -1]):
        into, into_from = phone[:-1].copy(), phone_from[:-1].copy()
        into[chart.repeated] = _NEVER
        np.copyto(into_from, rest_from[:-1], where=rest[:-1] > into)
        np.maximum(into, rest[:-1], out=into)
        into[chart.first] = at[chart.source] + chart.chances
        into_from[chart.first] = at_from[chart.source]
        np.copyto(rest_from, phone_from, where=phone > rest)
        np.maximum(rest, phone, out=rest)
        rest += none
        np.copyto(phone_from[1:], into_from, where=into > phone[1:])
        np.maximum(phone[1:], into, out=phone[1:])
        phone[1:] += spelt[frame]
        waited += none
        ends, ends_from = phone[chart.last + 1], phone_from[chart.last + 1]
        np.copyto(ends_from, rest_from[chart.last + 1], where=rest[chart.last + 1] > ends)
        np.maximum(ends, rest[chart.last + 1], out=ends)
        tops = np.maximum.reduceat(ends, chart.groups)
        hits = np.flatnonzero(ends == tops[chart.group_of])[::-1]
        words = np.empty(len(tops), np.int64)
        words[chart.group_of[hits]] = hits
        at.fill(_NEVER)
        at[chart.targets] = tops
        at_from[chart.targets] = 1 + frame * len(tops) + np.arange(len(tops))
        came.append(ends_from[words])
        ended.append(words)
        if waited > at[chart.sentences.start]:
            at[chart.sentences.start], at_from[chart.sentences.start] = waited, 0
    return _traced(chart, at, at_from, np.concatenate(came), np.concatenate(ended))


def _traced(
    chart: Chart,
    at: Floats,
    at_from: npt.NDArray[np.int32],
    came: npt.NDArray[np.int32],
    ended: Wholes,
) -> str:
    """Follow the best end back to the start."""
    record = int(at_from[int(np.argmax(at + chart.end_chances))])
    words: list[str] = []
    while record > 0:
        words.append(chart.words[ended[record]])
        record = int(came[record])
    return " ".join(reversed(words))


def neighbours(sentences: Sentences, text: str, most: int = MOST_NEAR) -> list[str]:
    """Return a sentence and those that differ from it in one place, by one word before those by two."""
    words, moves = text.split(), sentences.moves
    states = [sentences.start]
    for word in words:
        if word not in moves[states[-1]]:
            return [text]
        states.append(moves[states[-1]][word])
    found: dict[str, None] = {text: None}
    for here, state in enumerate(states[:-1]):
        for word, to in moves[state].items():
            found |= dict.fromkeys(_put(words, states, here, (word,), to))
        if here and state in sentences.ends:
            found[" ".join(words[:here])] = None
    longer = (word for word, to in moves[states[-1]].items() if to in sentences.ends)
    found |= {f"{text} {word}": None for word in longer}
    for here, state in enumerate(states[:-1]):
        for word, between in moves[state].items():
            if len(found) >= most:
                return list(found)[:most]
            for more, to in moves[between].items():
                found |= dict.fromkeys(_put(words, states, here, (word, more), to))
    return list(found)[:most]


def _put(
    words: Sequence[str], states: Sequence[int], here: int, new: tuple[str, ...], end: int
) -> list[str]:
    """Return the sentences with new words in the place of none, one or two, where the rest still follows."""
    return [
        " ".join((*words[:here], *new, *words[here + gone :]))
        for gone in (0, 1, 2)
        if here + gone < len(states) and states[here + gone] == end
    ]


def likelihoods(chart: Chart, texts: Sequence[str], scores: Floats) -> list[float]:
    """Return the log likelihood of each text, over all alignments; the likeliest in all their ways to say."""
    found = _in_ways(chart, texts, scores, 1)
    likeliest = sorted(range(len(texts)), key=lambda which: -found[which])[:_SAID_IN_ALL_WAYS]
    fuller = _in_ways(chart, [texts[which] for which in likeliest], scores, _MOST_WAYS)
    for which, one in zip(likeliest, fuller, strict=True):
        found[which] = one
    return found


def _in_ways(chart: Chart, texts: Sequence[str], scores: Floats, most: int) -> list[float]:
    number = {phone: at for at, phone in enumerate(PHONES)}
    rows: list[tuple[int, list[int]]] = []
    for which, text in enumerate(texts):
        said = islice(product(*(chart.ways(word) for word in text.split())), most)
        rows += [(which, [number[p] for way in ways for p in way if p in number]) for ways in said]
    found = [float(_NO_CHANCE)] * len(texts)
    for (which, _), one in zip(rows, sum_alignments([row for _, row in rows], scores), strict=True):
        found[which] = float(np.logaddexp(found[which], one))
    return found


def sum_alignments(chains: Sequence[Sequence[int]], scores: Floats) -> Floats:
    """Sum over all alignments of each chain of phones (the forward pass of CTC), side by side."""
    lengths = np.array([len(chain) for chain in chains], np.int64)
    width = 2 * int(lengths.max(initial=0)) + 1
    labels = np.full((len(chains), width), scores.shape[1] - 1)
    barred = np.full(
        (len(chains), width), _NO_CHANCE, np.float32
    )  # where no phone may be jumped over
    barred[:, 1:2] = 0.0  # the first may come at once
    for row, chain in enumerate(chains):
        labels[row, 1 : 2 * len(chain) : 2] = chain
        for place, (one, other) in enumerate(pairwise(chain)):
            if one != other:
                barred[row, 2 * place + 3] = 0.0
    sums = np.full((len(chains), width + 2), _NO_CHANCE)
    sums[:, 1] = 0.0  # before the first frame
    for frame in scores:
        stay, step = sums[:, 2:], sums[:, 1:-1]
        jump = sums[:, :-2] + barred
        top = np.maximum(np.maximum(stay, step), jump)
        total = np.exp(stay - top) + np.exp(step - top) + np.exp(jump - top)
        sums[:, 2:] = top + np.log(total) + frame[labels]
        sums[:, :2] = _NO_CHANCE
    rows = np.arange(len(chains))
    return np.asarray(np.logaddexp(sums[rows, 2 * lengths + 2], sums[rows, 2 * lengths + 1]))


def free_score(scores: Floats) -> float:
    """Return the log score of the best row of phones whatsoever."""
    return float(scores.max(axis=1).sum())


def free_phones(scores: Floats) -> int:
    """Count the phones of the best row of phones whatsoever."""
    best = scores.argmax(axis=1)
    fresh = np.concatenate(([True], best[1:] != best[:-1]))
    return int(np.sum(fresh & (best != scores.shape[1] - 1)))


def phone_count(chart: Chart, text: str) -> int:
    """Count the phones of a text, each word in its first pronunciation."""
    return sum(len(next(iter(chart.ways(word)), ())) for word in text.split())


def word_fits(chart: Chart, text: str, scores: Floats) -> list[float]:
    """Return the mean log score of each word's phones where they fit best, in its likeliest way."""
    words = text.split()
    number = {phone: at for at, phone in enumerate(PHONES)}
    options = list(islice(product(*(chart.ways(word) for word in words)), _MOST_WAYS))
    chains = [[number[p] for way in ways for p in way if p in number] for ways in options]
    likeliest = int(np.argmax(sum_alignments(chains, scores)))
    tops = _tops(chains[likeliest], scores)
    fits, at = [], 0
    for way in options[likeliest]:
        fits.append(float(np.mean(tops[at : at + len(way)])) if way else 0.0)
        at += len(way)
    return fits


def _tops(chain: Sequence[int], scores: Floats) -> list[float]:
    """Lay a chain of phones over the frames the best way; give each phone's best score there."""
    width = 2 * len(chain) + 1
    labels = np.full(width, scores.shape[1] - 1)
    labels[1::2] = chain
    jumps = np.zeros(width, bool)
    jumps[3::2] = labels[3::2] != labels[1:-2:2]
    best = np.full(width, _NO_CHANCE)
    best[:2] = scores[0, labels[:2]]
    back = np.zeros((len(scores), width), np.int8)
    for frame in range(1, len(scores)):
        step = np.concatenate(([_NO_CHANCE], best[:-1]))
        jump = np.where(jumps, np.concatenate(([_NO_CHANCE] * 2, best[:-2])), _NO_CHANCE)
        ways = np.stack((best, step, jump))
        back[frame] = ways.argmax(axis=0)
        best = ways.max(axis=0) + scores[frame, labels]
    place = width - 1 if best[-1] >= best[-2] else width - 2
    tops = [-10.0] * len(chain)
    for frame in range(len(scores) - 1, -1, -1):
        if place % 2:
            tops[place // 2] = max(tops[place // 2], float(scores[frame, labels[place]]))
        place -= int(back[frame, place])
    return tops
