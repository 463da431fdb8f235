"""PocketSphinx behind the engine protocol: a JSGF grammar in, complete sentences of it out.

Only this module, `sphinx_decoder` and `spotter` know PocketSphinx. The English model comes with its wheel,
so this engine works with nothing downloaded. A decoder serves one thread at a time; make one engine for each
worker.
"""

from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from bot.errors import EngineError
from bot.speech.accept import trust
from bot.speech.audio import Pcm
from bot.speech.compact import Sentences, compact
from bot.speech.ears import EarLanguage, lines_of, together, two_together
from bot.speech.engine import EngineGrammar
from bot.speech.hearing import Hearing, figures, merge_hearings
from bot.speech.jsgf_reader import word_graph
from bot.speech.likely import Likely, likely
from bot.speech.phone_ear import heard_phones
from bot.speech.phone_search import spell_out
from bot.speech.phones import Network, network
from bot.speech.pronunciations import sounded_out
from bot.speech.silence import MARGIN_S, Span, snr_db, speech_span
from bot.speech.sphinx_decoder import (
    PHONE_LOOP,
    Dictionary,
    add_phone_loop,
    build_search,
    start_sphinx,
)
from bot.speech.suppress import add_hiss, blend, suppress_noise
from bot.speech.written_ear import give_back, writer
from bot.transcript import Transcript

_NBEST_LOOKED_AT = 25
"""Hypotheses drawn from the lattice; most are unfinished or differ only in silence."""
_NOISY_DB = 14.0
"""Below this estimate the suppressed sound is listened to more than the sound as it came."""
_KEPT_GRAMMARS = 5
"""Compiled grammars kept in the decoder, latest last."""
_SCORE_SHIFT = 1024.0
"""PocketSphinx divides its log scores by this (SENSCR_SHIFT, 10 bits)."""
_SCORE_SPREAD = 15.0
"""Log score that makes an alternative e times less likely; smaller makes the best stand out more."""


_NOISE_LEFT = 0.1
"""Share of the sound as it came that is left beside the suppressed one."""
ALONE = 0.3
"""How far a recording is trusted that the phone network has not heard too: it is asked about."""


@dataclass(frozen=True, slots=True)
class _Take:
    """The recording as one hearing gets it, and how much that hearing counts."""

    sound: Pcm
    weight: float


class SphinxEngine:
    """Hears one language at a time; the same recording gives the same result in any order.

    Without the phone network (`phones` False) nothing it hears is trusted unasked;
    without Whisper (`written` False, or not installed) it hears less, and trusts itself more seldom.
    """

    name = "pocketsphinx"

    def __init__(self, *, phones: bool = True, written: bool = True) -> None:
        self._decoder = start_sphinx()
        self._words = Dictionary(self._decoder)
        add_phone_loop(self._decoder, self._words)
        self._digest = ""
        self._loaded: dict[str, Likely] = {}
        self._searches: dict[str, str] = {}
        self._spoken: dict[str, tuple[tuple[str, str], ...]] = {}
        self._sounded_out: dict[str, str] = {}
        self._grounds: dict[str, EarLanguage] = {}
        self._network = network() if phones else None
        self._writer = writer() if phones and written else None

    @property
    def sounded_out(self) -> Mapping[str, str]:
        """Return the words that had no pronunciation, each with the one guessed from its letters."""
        return dict(self._sounded_out)

    def missing_words(self, words: frozenset[str]) -> tuple[str, ...]:
        """Return the words that the dictionary, with what was added to it, lacks; sorted."""
        return tuple(sorted(word for word in words if word not in self._words))

    def prepare(self, grammar: EngineGrammar) -> None:
        """Take a grammar; raises EngineError where it cannot be read or a word cannot be said."""
        digest = grammar.digest
        if digest == self._digest:
            return
        if digest not in self._loaded:
            self._load(digest, grammar)
        self._decoder.activate_search(self._searches[digest])
        self._digest = digest

    def accepts(self, text: str) -> bool:
        """Return whether a text is a complete sentence of the grammar in use."""
        return bool(text) and self._loaded[self._digest].sentences.accepts(text)

    def transcribe(self, pcm: Pcm) -> Transcript:
        """Hear one recording in several ways; return complete sentences only."""
        if not self._digest:
            raise EngineError("PocketSphinx has no grammar yet: call prepare first")
        ratio = snr_db(pcm)
        if self._network is not None:
            return self._with_phones(pcm, ratio, self._network)
        first, *others = _takes(pcm, ratio)
        hearings = [(self._heard(first.sound, nbest=True), first.weight)]
        hearings += [(self._heard(take.sound, nbest=False), take.weight) for take in others]
        alternatives = merge_hearings(hearings, _SCORE_SPREAD)
        if not alternatives:
            return Transcript((), self.name, pcm.seconds, {"snr_db": ratio, "accept": 0.0})
        signals = dict(
            figures(
                [hearing for hearing, _ in hearings],
                alternatives[0].text,
                self._phones_score(first.sound),
                ratio,
            )
        )
        signals["accept"] = ALONE  # its weights are fitted with the phones
        return Transcript(alternatives, self.name, pcm.seconds, signals)

    def _with_phones(self, pcm: Pcm, ratio_db: float, network: Network) -> Transcript:
        """Hear with all ears, and say how far what they make of it together is to be trusted."""
        ground = self._ground()
        phones = heard_phones(pcm, network)
        if self._writer is None:
            hearing = self._heard(_beside(pcm, phones.span, ratio_db), nbest=True)
            found, signals = two_together(ground, phones, hearing, ratio_db)
        else:
            with ThreadPoolExecutor(1) as other:
                writing = other.submit(lines_of, pcm, phones, self._writer)
                hearing = self._heard(_beside(pcm, phones.span, ratio_db), nbest=True)
            lines = writing.result()
            found, signals = together(ground, phones, hearing, lines, self._writer, ratio_db)
            give_back()
        accept = trust(signals) if found else 0.0
        signals = {"snr_db": ratio_db} | signals | {"accept": accept}
        return Transcript(found, self.name, pcm.seconds, signals)

    def _ground(self) -> EarLanguage:
        """Return the grammar in use, spelt out in phones; made once for each grammar."""
        if self._digest not in self._grounds:
            known = self._loaded[self._digest]
            self._grounds[self._digest] = EarLanguage(
                spell_out(known.sentences, self._ways, known), known, self._words
            )
        return self._grounds[self._digest]

    def _ways(self, word: str) -> list[list[str]]:
        """Return every pronunciation that the decoder has of a word."""
        return [phones.split() for phones in self._words[word]] if word in self._words else []

    def _heard(self, sound: Pcm, *, nbest: bool) -> Hearing:
        """Decode one take with the grammar."""
        self._decoder.activate_search(self._searches[self._digest])
        self._decode(sound)
        frames = max(1, self._decoder.n_frames())
        sentences = self._sentences(nbest=nbest)
        best = self._decoder.hyp()
        if not sentences or best is None:
            return Hearing((), frames)
        words = [
            (segment.word, segment.end_frame - segment.start_frame + 1, _log(segment.ascore))
            for segment in self._decoder.seg()
        ]
        spoken = [word for word in words if word[0][0] not in "<[+("]
        inner = sum(length for name, length, _ in words[1:-1] if name[0] in "<[+(")
        return Hearing(
            tuple(sentences),
            frames,
            _log(best.score) / frames,
            min((score / length for _, length, score in spoken), default=-10.0),
            inner / frames,
            sum(len(self._phones(name)) for name, _, _ in spoken),
        )

    def _phones(self, word: str) -> list[str]:
        return self._words.taught.get(word, "").split()

    def _phones_score(self, sound: Pcm) -> float:
        """Return the log score per frame of the best row of phones, whatever it means."""
        self._decoder.activate_search(PHONE_LOOP)
        self._decode(sound)
        best = self._decoder.hyp()
        self._decoder.activate_search(self._searches[self._digest])
        return _log(best.score) / max(1, self._decoder.n_frames()) if best else -8.0

    def _decode(self, sound: Pcm) -> None:
        """Run the decoder over a take, with nothing left in it of the one before."""
        self._decoder.reinit_feat()  # the running cepstral mean and the noise tracker start anew
        self._decoder.start_utt()
        try:
            self._decoder.process_raw(sound.samples.tobytes(), full_utt=True)
        finally:
            self._decoder.end_utt()

    def _sentences(self, *, nbest: bool) -> list[tuple[str, float]]:
        """Return complete sentences with their log score, best first, none twice."""
        best = self._decoder.hyp()
        if best is None or not best.hypstr:
            return []
        first = _log(best.score)
        found: dict[str, float] = {best.hypstr: first} if self.accepts(best.hypstr) else {}
        shift = 0.0
        for number, other in enumerate(self._decoder.nbest() if nbest else ()):
            if number >= _NBEST_LOOKED_AT or other is None:
                break
            score = _log(other.score)
            if number == 0:
                shift = first - score  # the lattice scores the same words a little otherwise
            if other.hypstr not in found and self.accepts(other.hypstr):
                found[other.hypstr] = min(first, score + shift)
        return list(found.items())

    def _add_words(self, grammar: EngineGrammar, words: frozenset[str]) -> None:
        """Teach the decoder every pronunciation given, and one for each word still unknown."""
        for word in sorted(words | {word for word, _ in grammar.pronunciations}):
            self._words.teach_known(word)
        for word, phones in grammar.pronunciations:
            self._words.teach(word, phones)
        for word in self.missing_words(words):
            guess = sounded_out(word, self._words)
            self._sounded_out[word] = guess
            self._words.teach(word, guess)

    def _load(self, digest: str, grammar: EngineGrammar) -> None:
        """Compile a grammar, and let the oldest go where there are too many."""
        graph = word_graph(grammar.jsgf)
        sentences = compact(graph)
        if not sentences.words or not sentences.ends:
            raise EngineError("the JSGF grammar has no sentence: a public rule must have words")
        self._add_words(grammar, sentences.words)
        search = self._search_of(sentences, grammar.pronunciations)
        if not search:
            search = digest
            self._decoder.add_fsg(
                digest, build_search(digest, sentences, self._decoder.get_logmath())
            )
        self._spoken[digest] = grammar.pronunciations
        self._searches[digest] = search
        self._loaded[digest] = likely(graph, sentences)
        while len(self._loaded) > _KEPT_GRAMMARS:
            self._let_go(next(name for name in self._loaded if name not in (digest, self._digest)))

    def _search_of(self, sentences: Sentences, pronounced: tuple[tuple[str, str], ...]) -> str:
        """Return the search of a grammar that has the same sentences, likely or not, or an empty string."""
        return next(
            (
                self._searches[name]
                for name, known in self._loaded.items()
                if known.sentences == sentences and self._spoken[name] == pronounced
            ),
            "",
        )

    def _let_go(self, digest: str) -> None:
        del self._loaded[digest], self._spoken[digest]
        self._grounds.pop(digest, None)
        search = self._searches.pop(digest)
        if search not in self._searches.values():
            self._decoder.remove_search(search)


def _takes(pcm: Pcm, ratio_db: float) -> tuple[_Take, ...]:
    """Return the recording as it is listened to: cut to the speech, with more or less noise in it."""
    quiet = suppress_noise(pcm)
    span = speech_span(quiet)
    start_s, end_s = span.start_s - MARGIN_S, span.end_s + MARGIN_S
    noisy = ratio_db < _NOISY_DB
    shares = (0.1, 0.3, 0.0) if noisy else (0.25, 1.0)
    weights = (0.45, 0.3, 0.25) if noisy else (0.55, 0.45)
    return tuple(
        _Take(add_hiss(blend(pcm, quiet, share).slice(start_s, end_s)), weight)
        for share, weight in zip(shares, weights, strict=True)
    )


def _beside(pcm: Pcm, span: Span, ratio_db: float) -> Pcm:
    """Return the recording as PocketSphinx listens to it beside the phones: cut, in noise suppressed."""
    start_s, end_s = span.start_s - MARGIN_S, span.end_s + MARGIN_S
    if ratio_db < _NOISY_DB:
        pcm = blend(pcm, suppress_noise(pcm), _NOISE_LEFT)
    return add_hiss(pcm.slice(start_s, end_s))


def _log(score: float) -> float:
    """Return the natural logarithm of a score that PocketSphinx gives as a likelihood."""
    return _SCORE_SHIFT * float(np.log(max(score, 1e-300)))
