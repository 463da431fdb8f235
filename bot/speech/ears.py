"""What three ears make of one recording together: PocketSphinx, the phone network, and Whisper.

Each proposes sentences of the grammar; every sentence proposed, and those near it, is weighed by all
three and by how likely the grammar holds it to be. Knows no engine, only what each of them heard.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from bot.speech.audio import Pcm
from bot.speech.hearing import (
    Hearing,
    agreement,
    joint_figures,
    log_shares,
    rank,
    rank_with_hearing,
    same_words,
)
from bot.speech.likely import Likely
from bot.speech.phone_ear import Phones, log_likelihoods, phone_figures
from bot.speech.phone_search import (
    GRAMMAR,
    Chart,
    best_sentence,
    likelihoods,
    neighbours,
    phone_count,
)
from bot.speech.pronunciations import PronouncingDictionary
from bot.speech.spelling import spelt_out
from bot.speech.written_ear import WhisperHearing, Writer
from bot.transcript import Alternative

PHONES = 1.25
"""How much the phones' log likelihood counts against Whisper's, which hears people better than machines."""
SILENCE_SHARE = 0.7
"""Share of a text's likelihood without sound that is taken off."""
SPHINX = 0.5
"""How much PocketSphinx's log share counts; 1 where Whisper has no say."""
_ALONE_SPHINX = 1.0
_SCORE_SPREAD = 15.0
"""PocketSphinx's log score that makes a sentence e times less likely."""
_MARGIN_S = 0.3
"""Kept before and after the phones for Whisper."""
_LINES = 2
"""Whisper's own lines that are looked up in the grammar."""
_HEARD = 3
"""PocketSphinx's sentences that Whisper weighs whatever the phones say."""
_MOST_WEIGHED = 10
"""Sentences that Whisper weighs at first; each takes about 10 ms."""
_CLEAR = 6.0
"""With the next sentence so far behind, no others are looked at."""
_ROUNDS = 2
_MOST_AROUND = 6
"""Sentences near the best that are weighed in another round."""
_ITS_OWN = -0.2
"""How much less likely, a phone, a sentence may be than what Whisper wrote and still be what it heard."""
_PHONES_SURE = 6.0
"""The next sentence must fit the phones so much worse for them to count as one that hears the same."""
_PHONES_FIT = -1.0
"""How much less likely, a phone, than any row of phones makes a sentence only the least unlike."""
_NO_MATTER = 30.0


@dataclass(frozen=True, slots=True, eq=False)
class EarLanguage:
    """A grammar as the ears need it."""

    chart: Chart
    likely: Likely
    known: PronouncingDictionary
    """How words are said that Whisper may write."""


@dataclass(frozen=True, slots=True, eq=False)
class Lines:
    """What Whisper made of a recording by itself."""

    listened: WhisperHearing
    lines: tuple[str, ...]
    """Likeliest first."""


def lines_of(pcm: Pcm, phones: Phones, writer: Writer) -> Lines:
    """Have Whisper write down a recording, cut to its phones."""
    span = phones.span
    listened = writer.listen(pcm.slice(span.start_s - _MARGIN_S, span.end_s + _MARGIN_S))
    return Lines(listened, writer.write(listened) if phones.count else ())


def together(
    ground: EarLanguage,
    phones: Phones,
    hearing: Hearing,
    lines: Lines,
    writer: Writer,
    snr_db: float,
) -> tuple[tuple[Alternative, ...], dict[str, float]]:
    """Return alternatives, best first, and the signals that say how far the first is to be trusted."""
    desk = _Weighing(ground, phones, hearing, writer, lines.listened, lines.lines)
    scores = desk.weighed()
    if not scores:
        return (), {}
    alternatives = rank(scores)
    chosen = alternatives[0].text
    signals = joint_figures(hearing, alternatives, snr_db)
    signals |= phone_figures(ground.chart, phones, desk.by_phones, chosen)
    signals |= desk.figures(scores, chosen)
    signals["votes"] = float(
        (signals["agreement"] >= 1.0)
        + (signals["written_agreement"] >= 1.0 and signals["written_short"] >= _ITS_OWN)
        + (signals["phones_margin"] > _PHONES_SURE and signals["phones_ratio"] > _PHONES_FIT)
    )
    return alternatives, signals


def two_together(
    ground: EarLanguage, phones: Phones, hearing: Hearing, snr_db: float
) -> tuple[tuple[Alternative, ...], dict[str, float]]:
    """Return the same as `together`, without Whisper."""
    by_phones = log_likelihoods(ground.chart, phones, (text for text, _ in hearing.sentences))
    alternatives = rank_with_hearing(hearing, by_phones, _ALONE_SPHINX, _SCORE_SPREAD)
    if not alternatives:
        return (), {}
    signals = joint_figures(hearing, alternatives, snr_db)
    return alternatives, signals | phone_figures(
        ground.chart, phones, by_phones, alternatives[0].text
    )


def _nearest(ground: EarLanguage, line: str) -> str:
    """Return the sentence of the grammar that sounds most like a line of plain words."""
    scores = spelt_out(line, ground.known)
    return best_sentence(ground.chart, scores) if scores is not None else ""


@dataclass(slots=True)
class _Weighing:
    """The sentences that are weighed, round after round, and what each ear says of them."""

    ground: EarLanguage
    phones: Phones
    hearing: Hearing
    writer: Writer
    listened: WhisperHearing
    lines: tuple[str, ...]
    nearest: list[str] = field(default_factory=list)
    """The sentences of the grammar nearest to its lines."""
    by_phones: dict[str, float] = field(default_factory=dict)
    said: dict[str, float] = field(default_factory=dict)
    unheard: dict[str, float] = field(default_factory=dict)

    def weighed(self) -> dict[str, float]:
        """Return the score of every sentence that was weighed by all ears."""
        chart = self.ground.chart
        self.nearest = [
            t for t in (_nearest(self.ground, line) for line in self.lines[:_LINES]) if t
        ]
        heard = [text for text, _ in self.hearing.sentences]
        self.by_phones = log_likelihoods(chart, self.phones, heard, self.nearest)
        if not self.by_phones:
            return {}  # not one phone was heard
        first = dict.fromkeys((*self.nearest, *heard[:_HEARD]))
        by_phones = self._ordered(self.by_phones)
        self._weigh(list(dict.fromkeys((*by_phones[:1], *first, *by_phones)))[:_MOST_WEIGHED])
        scores = self._scores()
        for _ in range(_ROUNDS):
            if not scores or margin(scores) > _CLEAR:
                break
            before = max(scores, key=scores.__getitem__)
            self._look_around(before)
            scores = self._scores()
            if max(scores, key=scores.__getitem__) == before:
                break
        return scores

    def _look_around(self, text: str) -> None:
        """Weigh the sentences near one that the phones like best."""
        new = [t for t in neighbours(self.ground.chart.sentences, text) if t not in self.by_phones]
        heard = likelihoods(self.ground.chart, new, self.phones.scores) if new else []
        self.by_phones |= dict(zip(new, heard, strict=True))
        near = neighbours(self.ground.chart.sentences, text)
        fresh = self._ordered([t for t in near if t not in self.said])
        self._weigh(fresh[:_MOST_AROUND])

    def _ordered(self, texts: Iterable[str]) -> list[str]:
        likely = self.ground.likely
        return sorted(texts, key=lambda t: -self.by_phones[t] - GRAMMAR * likely.of(t))

    def _weigh(self, texts: list[str]) -> None:
        self.said |= dict(zip(texts, self.writer.likelihoods(self.listened, texts), strict=True))
        self.unheard |= dict(zip(texts, self.writer.score_unheard(texts), strict=True))

    def _scores(self) -> dict[str, float]:
        shares = log_shares(self.hearing, self.said, _SCORE_SPREAD)
        return {
            text: PHONES * self.by_phones[text]
            + self._of(text)
            + GRAMMAR * self.ground.likely.of(text)
            + SPHINX * shares[text]
            for text in self.said
        }

    def _of(self, text: str) -> float:
        return self.said[text] - SILENCE_SHARE * self.unheard[text]

    def figures(self, scores: Mapping[str, float], chosen: str) -> dict[str, float]:
        """Return the signals of Whisper, and of all together."""
        said = max(1, phone_count(self.ground.chart, chosen))
        others = [text for text in scores if not same_words(text, chosen)]
        own = self._of(chosen) - max((self._of(t) for t in others), default=-1e9)
        [free] = self.writer.likelihoods(self.listened, self.lines[:1]) or [0.0]
        return {
            "margin": min(_NO_MATTER, margin(scores)),
            "written_margin": max(-_NO_MATTER, min(_NO_MATTER, own)),
            "written_gain": (self.said[chosen] - self.unheard[chosen]) / said,
            "written_short": max(-3.0, min(0.0, (self.said[chosen] - free) / said)),
            "written_agreement": agreement(chosen, self.nearest[0] if self.nearest else ""),
        }


def margin(scores: Mapping[str, float]) -> float:
    """Return how far the best text stands over the next that differs from it in more than little words."""
    best = max(scores, key=scores.__getitem__)
    others = (score for text, score in scores.items() if not same_words(text, best))
    return scores[best] - max(others, default=-1e9)
