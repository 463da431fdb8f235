"""Misheard and misspelt words to the words that were meant, each with its cost.

A recogniser writes common words for the trade's ("long trigger", "hook dup", "fat homes"): spans of one
to three words are compared by sound with every word and short phrase of the language; typed words also
by spelling. Nothing is replaced: repairs are added to the lattice, and the whole line decides. Pure.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final, NamedTuple

from rapidfuzz import process
from rapidfuzz.distance import OSA

from bot.calls.nearest import Bank
from bot.calls.sounds import phone_letters
from bot.calls.tokens import Token

ALIKE_COST: Final = 0.22
"""Cost of a word that sounds the same; larger believes the recogniser more."""
KNOWN_COST: Final = 0.05
"""Cost of a common slip of several words: few people say "fat homes" and mean it."""
DIGIT_COST: Final = 0.15
"""Cost of a number that sounds like a small word; it counts only where a number may stand."""
SOUND_COST: Final = 3.0
"""Cost of a word that sounds altogether different; one that differs in part costs that part."""
PLAIN_WORD_COST: Final = 0.15
"""Extra cost where the word heard is plain English and no known slip."""
SPELLING_COST: Final = 0.45
"""Cost of the first wrong letter of a typed word."""
SPLIT_COST: Final = 0.06
"""Cost of joining words or splitting one."""
LIMIT: Final = 1.15
"""Highest cost of a repair that is tried."""
FURTHEST: Final = (LIMIT - ALIKE_COST) / SOUND_COST
"""Largest distance in sound, for each sound."""
LONGEST_WORD: Final = 30
"""Most letters of a word that is repaired."""
SPAN: Final = 3
MOST_REPAIRS: Final = 5
"""Most repairs kept for each span."""
NEAREST: Final = 40
"""Most words compared sound by sound with each span."""
CACHE_SPANS: Final = 20_000
"""Number of spans whose repairs are cached."""
REAL_WORD_COST: Final = 0.12
"""Extra cost where the word heard is itself a word of the language."""


class Repair(NamedTuple):
    """Words that may have been meant in place of a span of the words heard."""

    start: int
    end: int
    words: tuple[str, ...]
    cost: float


@dataclass
class Repairer:
    """Knows how every word of the language sounds; its cache changes no answer."""

    vocabulary: frozenset[str]
    pronunciations: Mapping[str, tuple[str, ...]]
    phrases: Sequence[str] = ()
    """Short phrases that a recogniser may run together, as "hook up" to "hiccup"."""
    known: Mapping[str, Sequence[str]] = field(default_factory=dict)
    """Heard -> what is meant by it: slips that are common in the trade."""
    sounds: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Pronunciations of the trade's own words."""

    sound_out: Callable[[str], str] | None = None
    """Return likely phones for a word that has no pronunciation."""
    lists: Mapping[str, frozenset[str]] = field(default_factory=dict)
    """Words that are looked for by themselves; see `Grammar.lists`."""

    def __post_init__(self) -> None:
        """Sound out every word and phrase once."""
        self._word_codes: dict[str, tuple[str, ...]] = {}
        self._targets: list[str] = []
        self._codes: list[str] = []
        for target in sorted({w for w in self.vocabulary if len(w) > 1 and w.isalpha()}):
            self._add(target)
        for target in self.phrases:
            self._add(target)
        self._letters = sorted(w for w in self.vocabulary if len(w) >= 3 and w.isalpha())
        self._bank = Bank(self._codes)
        self._cache: dict[str, _Meant] = {}

    def repairs(self, tokens: Sequence[Token], sure: frozenset[int] = frozenset()) -> list[Repair]:
        """Return what may have been meant by every span of a line without a `sure` word."""
        found: list[Repair] = list(one_as_position(tokens, self.lists))
        spans = list(_spans(tokens))
        doubtful = [sure.isdisjoint(range(start, end)) for start, end, _ in spans]
        meant = self._candidates(
            [h for (_, _, h), open_ in zip(spans, doubtful, strict=True) if open_]
        )
        for (start, end, heard), open_ in zip(spans, doubtful, strict=True):
            if open_:
                found += [Repair(start, end, words, cost) for words, cost in meant[heard]]
            else:
                cost = KNOWN_COST if " " in heard else ALIKE_COST + SPLIT_COST
                slips = self.known.get(heard, ())
                found += [
                    Repair(start, end, tuple(s.split()), cost)
                    for s in slips
                    if " " in heard or s in self.lists["asking"] or s in self.lists["small_numbers"]
                ]
        return found

    def common_slips(
        self, tokens: Sequence[Token], sure: frozenset[int] = frozenset()
    ) -> list[Repair]:
        """Return what may have been meant by slips that are common in the trade, and by no others."""
        return [
            Repair(start, end, tuple(meant.split()), self._slip_cost(heard, meant))
            for start, end, heard in _spans(tokens)
            if heard in self.known
            if " " in heard or sure.isdisjoint(range(start, end))
            for meant in self.known[heard]
        ]

    def slips(self, tokens: Sequence[Token]) -> bool:
        """Return whether a line has a slip in it that is common in the trade."""
        return any(heard in self.known for _, _, heard in _spans(tokens))

    def _add(self, target: str) -> None:
        for code in self.codes_of(target):
            if len(code) >= 2:
                self._targets.append(target)
                self._codes.append(code)

    def codes_of(self, text: str) -> list[str]:
        """Return the coded ways in which words may sound; none where that is not known."""
        codes = [""]
        for word in text.split():
            said = self._word_codes.get(word)
            if said is None:
                said = self._word_codes[word] = self._coded(word)
            if not said:
                return []
            codes = [c + more for c in codes for more in said][:4]
        return codes

    def _coded(self, word: str) -> tuple[str, ...]:
        """Return the coded ways to say a word; none where they are not known."""
        if len(word) > LONGEST_WORD:
            return ()
        said = self._said(word)
        if not said and word[-1:] == "s" and (stem := self._said(word[:-1])):
            said = tuple(f"{phones} Z" for phones in stem)
        if not said and self.sound_out is not None and word.isalpha() and len(word) > 2:
            said = (self.sound_out(word),)
        return tuple(phone_letters(p) for p in said[:3])

    def _said(self, word: str) -> tuple[str, ...]:
        return self.sounds.get(word) or self.pronunciations.get(word) or ()

    def _candidates(self, heard: Sequence[str]) -> dict[str, "_Meant"]:
        """Return what may have been meant by each of the spans heard."""
        if len(self._cache) > CACHE_SPANS:
            self._cache.clear()
            self._word_codes.clear()
        fresh = [h for h in dict.fromkeys(heard) if h not in self._cache]
        near = self._by_sound([h for h in fresh if not any(c.isdigit() for c in h)])
        for each in fresh:
            self._cache[each] = self._found(each, near.get(each, {}))
        return {each: self._cache[each] for each in heard}

    def _slip_cost(self, heard: str, meant: str) -> float:
        if " " in heard:
            return KNOWN_COST
        return DIGIT_COST if meant in self.lists["small_numbers"] else ALIKE_COST + SPLIT_COST

    def _found(self, heard: str, near: Mapping[str, float]) -> "_Meant":
        best: dict[str, float] = {}
        for target in self.known.get(heard, ()):
            best[target] = self._slip_cost(heard, target)
        for target, cost in near.items():
            best[target] = min(cost, best.get(target, 9.0))
        if " " not in heard and not any(c.isdigit() for c in heard):
            self._by_spelling(heard, best)
        best.pop(heard, None)
        real = REAL_WORD_COST if heard in self.vocabulary and heard not in self.known else 0.0
        ranked = sorted((cost + real, target) for target, cost in best.items())
        return tuple((tuple(t.split()), c) for c, t in ranked[:MOST_REPAIRS] if c <= LIMIT)

    def _by_sound(self, heard: Sequence[str]) -> dict[str, dict[str, float]]:
        """Return the words that sound like each span, with their cost."""
        asked = [(h, code) for h in heard for code in self.codes_of(h) if len(code) >= 2]
        codes = [code for _, code in asked]
        best: dict[str, dict[str, float]] = {}
        for (span, code), near in zip(
            asked,
            self._bank.near(codes, [_differing(c) for c in codes], NEAREST, FURTHEST),
            strict=True,
        ):
            plain = PLAIN_WORD_COST if " " not in span and span in self.pronunciations else 0.0
            costs = best.setdefault(span, {})
            for index, apart in near:
                length = max(len(code), len(self._codes[index]))
                target = self._targets[index]
                cost = self._cost(span, target, apart, length) + plain
                if cost <= LIMIT and cost < costs.get(target, 9.0):
                    costs[target] = cost
        return best

    def _cost(self, heard: str, target: str, apart: float, length: int) -> float:
        split = SPLIT_COST * abs(heard.count(" ") - target.count(" "))
        return ALIKE_COST + SOUND_COST * apart / max(length, 3) + split

    def _by_spelling(self, heard: str, best: dict[str, float]) -> None:
        if not 3 <= len(heard) <= LONGEST_WORD or heard in self.pronunciations:
            return  # a word of the language is seldom a slip of the thumb
        cutoff = 1 if len(heard) <= 5 else 2
        near = process.extract(
            heard, self._letters, scorer=OSA.distance, score_cutoff=cutoff, limit=12
        )
        for target, wrong, _ in near:
            cost = SPELLING_COST + 0.3 * (wrong - 1) + 0.6 / min(len(heard), len(target))
            if heard[0] != target[0]:
                cost += 0.2
            if cost <= LIMIT and cost < best.get(target, 9.0):
                best[target] = cost


_Meant = tuple[tuple[tuple[str, ...], float], ...]
"""Words that may have been meant, each with its cost, cheapest first."""


def one_as_position(
    tokens: Sequence[Token], lists: Mapping[str, frozenset[str]]
) -> Iterator[Repair]:
    """Read "the port rigger ... the long one" as the long rigger of that side."""
    texts = [t.text for t in tokens]
    places = {
        place
        for before, place in zip(["", *texts], texts, strict=False)
        if place in lists["kinds"] and before not in lists["lengths"]
    }
    for n, (word, one) in enumerate(pairwise(texts)):
        if len(places) == 1 and word in lists["lengths"] and one in lists["one"]:
            yield Repair(n, n + 2, (word, *places), KNOWN_COST)


def _spans(tokens: Sequence[Token]) -> Iterator[tuple[int, int, str]]:
    """Yield the spans of up to `SPAN` words with no stop inside them: from, to, and the words."""
    for start in range(len(tokens)):
        for end in range(start + 1, min(start + SPAN, len(tokens)) + 1):
            if end - start > 1 and tokens[end - 1].stop:
                break
            yield start, end, " ".join(t.text for t in tokens[start:end])


def _differing(code: str) -> int:
    """Return the most sounds of a code that may differ."""
    return 1 if len(code) <= 3 else 2 if len(code) <= 5 else 3 if len(code) <= 9 else 4


def phrases_of(forms: Iterable[str]) -> tuple[str, ...]:
    """Return the two- and three-word forms of a vocabulary, which may be run together."""
    return tuple(
        sorted({f for f in forms if 1 <= f.count(" ") <= 2 and f.replace(" ", "").isalpha()})
    )
