"""The wake phrase in a stretch of sound: proposed by an engine's keyword search, judged by other ears.

PocketSphinx's search finds most phrases only where it may propose far too many. The phone network, which
knows nothing of it, lays the phrase where it fits, and Whisper weighs that stretch: how much likelier is
the phrase with the sound than without? Without Whisper the fit of the phones decides, without the network
the search stands alone; each of these misses more.
"""

import json
import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, NamedTuple, Protocol

from bot.errors import EngineError, EngineMissing
from bot.speech.audio import SAMPLE_RATE, Pcm
from bot.speech.phone_spot import Fit, best_fit
from bot.speech.phones import FRAME_S, Network, network, phone_shares
from bot.speech.pronunciations import pronunciations, sounded_out
from bot.speech.suppress import blend, suppress_noise
from bot.speech.vosk_accept import UNKNOWN
from bot.speech.written_ear import writer

PROPOSED_FROM: Final = 1e-100
"""PocketSphinx's threshold where the phones judge: nearly every phrase, and ten times as much else."""
ALONE_FROM: Final = 1e-50
"""The same where it stands alone; to the power of the strictness."""
WEIGHED_FROM: Final = -0.3
"""What weight and fit come to for each phone, at strictness 1; chosen on seeds 1 and 3 of `bench listen`.

Of 41 phrases in 41 minutes 38 came to -0.07 or more, no other proposal to more than -0.53.
"""
SURE_FROM: Final = -0.1
"""The same from which the phrase is not doubted; all but one of the 38 came to more."""
FIT_COUNTS: Final = 0.7
"""What the fit counts beside the weight."""
STRICTER: Final = 0.4
"""How much more is wanted at strictness 2."""
FITS_FROM: Final = -3.0
"""Fit for each phone from which a proposal is weighed at all."""
PHRASE_FROM: Final = -1.3
"""The same from which it was the phrase where nothing weighs it, at strictness 1."""
WORD_FROM: Final = -1.7
"""The same for the word that fits worst: half a phrase is none."""
VOSK_FROM: Final = 0.6
"""Least confidence of a word of the phrase, to the power of 1 / strictness."""
VOSK_SURE_FROM: Final = 0.9
"""The same from which the phrase is not doubted."""
BEAM: Final = 1e-200
"""With PocketSphinx's own beam the phrase is lost before it ends, whatever the threshold."""
_FRAME: Final = 0.01
_NOISE_LEFT: Final = 0.3
_BEFORE_S: Final = 0.8
"""Looked at before a proposal beyond the length of the phrase, and after its end a little."""
_AFTER_S: Final = 0.3
_PHONE_S: Final = 0.09
_AROUND_S: Final = (0.35, 0.1)
"""Weighed before and after the phrase as the phones have laid it."""


class WakeHit(NamedTuple):
    """A wake phrase that was found."""

    end_s: float
    """Where in the stretch of sound it ends."""
    is_sure: bool
    """False where something like it may have been said: a bare yes that follows then logs nothing."""


class Spotter(Protocol):
    """Finds the wake phrase."""

    def find(self, pcm: Pcm) -> WakeHit | None:
        """Return where in a stretch of sound the phrase ends; None where it is not said."""
        ...


@dataclass(frozen=True, slots=True)
class SecondOpinion:
    """What other ears say of a proposal."""

    fit: Fit
    at_s: float
    """Where the phrase ends by the phones, in seconds."""
    weight: float | None
    """How much the sound speaks for the phrase, for each phone; None where nothing weighs it."""


class SphinxSpotter:
    """PocketSphinx's keyword search, with the phone network, and Whisper where it is installed."""

    def __init__(self, phrase: str, strictness: float = 1.0, *, phones: bool = True) -> None:
        self.words = [way[0].split() for way in map(ways_of, phrase.split())]
        self.strictness = strictness
        self._phrase = phrase
        self._network = network() if phones else None
        self._writer = writer() if phones else None
        alone = ALONE_FROM**strictness
        self._decoder = _decoder(PROPOSED_FROM if self._network else max(alone, 1e-300))
        for word in dict.fromkeys(phrase.split()):
            self._decoder.add_word(word, ways_of(word)[0], True)
        self._decoder.add_keyphrase("wake", phrase)
        self._decoder.activate_search("wake")

    def find(self, pcm: Pcm) -> WakeHit | None:
        """Return where the phrase ends that is said first; without Whisper it is always doubted."""
        if self._network is None:
            return next((WakeHit(end_s, False) for end_s in self.proposed_ends(pcm)), None)
        judged = (self.judge(pcm, end_s, self._network) for end_s in self.proposed_ends(pcm))
        found = next((one for one in judged if is_phrase(one, self.strictness)), None)
        if found is None and self._writer is not None:
            best = self.best_fit(pcm, self._network)
            found = best if is_phrase(best, self.strictness) else None
        return WakeHit(found.at_s, is_sure(found)) if found is not None else None

    def best_fit(self, pcm: Pcm, found: Network) -> SecondOpinion:
        """Return what is said of the place where the phones fit best, which no search has proposed."""
        return self._laid(pcm, 0.0, pcm.seconds, found)

    def proposed_ends(self, pcm: Pcm) -> list[float]:
        """Return where the keyword search finds it, in seconds, first to last."""
        if not len(pcm.samples):
            return []
        sound = blend(pcm, suppress_noise(pcm), _NOISE_LEFT)
        self._decoder.reinit_feat()
        self._decoder.start_utt()
        try:
            self._decoder.process_raw(sound.samples.tobytes(), full_utt=True)
        finally:
            self._decoder.end_utt()
        if self._decoder.hyp() is None:
            return []
        return sorted(one.end_frame * _FRAME for one in self._decoder.seg())

    def judge(self, pcm: Pcm, end_s: float, found: Network) -> SecondOpinion:
        """Return what the other ears say of a proposal that ends there."""
        start_s = max(0.0, end_s - self._length_s - _BEFORE_S)
        return self._laid(pcm, start_s, end_s + _AFTER_S, found)

    @property
    def _phones(self) -> int:
        return sum(map(len, self.words))

    @property
    def _length_s(self) -> float:
        return _PHONE_S * self._phones

    def _laid(self, pcm: Pcm, start_s: float, end_s: float, found: Network) -> SecondOpinion:
        """Lay the phrase where it fits a part best, and weigh that place."""
        piece = pcm.slice(start_s, end_s)
        if piece.seconds < 2 * FRAME_S:
            return SecondOpinion(Fit(-99.0, -99.0, 0), end_s, None)
        fit = best_fit(phone_shares(piece, found), self.words)
        at_s = start_s + (fit.end + 1) * FRAME_S
        return SecondOpinion(fit, at_s, self._weighed(pcm, at_s, fit))

    def _weighed(self, pcm: Pcm, end_s: float, fit: Fit) -> float | None:
        if self._writer is None or fit.phrase < FITS_FROM:
            return None
        before_s, after_s = _AROUND_S
        start_s = max(0.0, end_s - self._length_s - before_s)
        heard = self._writer.listen(pcm.slice(start_s, end_s + after_s))
        (said,) = self._writer.likelihoods(heard, [self._phrase])
        (unheard,) = self._writer.score_unheard([self._phrase])
        return (said - unheard) / self._phones


class VoskSpotter:
    """Vosk with the phrase to choose from, what else is called, and `[unk]` where the model has it.

    Without either, whatever is said would be the phrase.
    """

    def __init__(
        self, model: Any, phrase: str, others: Sequence[str] = (), strictness: float = 1.0
    ) -> None:
        self._model, self._phrase = model, phrase.split()
        unknown = () if model.vosk_model_find_word(UNKNOWN) < 0 else (UNKNOWN,)
        known = [
            one for one in others if all(model.vosk_model_find_word(w) >= 0 for w in one.split())
        ]
        self._choices = json.dumps([phrase, *known, *unknown], ensure_ascii=False)
        if not (known or unknown):
            raise EngineError(
                "this Vosk model knows nothing beside the wake phrase; take another model"
            )
        self._least = VOSK_FROM ** (1 / strictness)
        if missing := [w for w in self._phrase if model.vosk_model_find_word(w) < 0]:
            raise EngineError(
                f'the Vosk model does not know "{missing[0]}": choose a wake phrase of commoner words'
            )

    def find(self, pcm: Pcm) -> WakeHit | None:
        """Return where the phrase ends that is said first."""
        import vosk

        recogniser = vosk.KaldiRecognizer(self._model, SAMPLE_RATE, self._choices)
        recogniser.SetWords(True)
        results = []
        if recogniser.AcceptWaveform(pcm.samples.tobytes()):
            results.append(json.loads(recogniser.Result()))
        results.append(json.loads(recogniser.FinalResult()))
        words = [word for result in results for word in result.get("result", ())]
        return next(self._ends(words), None)

    def _ends(self, words: Sequence[dict[str, Any]]) -> Iterator[WakeHit]:
        size = len(self._phrase)
        for at in range(len(words) - size + 1):
            row = words[at : at + size]
            least = min(float(word["conf"]) for word in row)
            if [word["word"] for word in row] == self._phrase and least >= self._least:
                yield WakeHit(float(row[-1]["end"]), least >= VOSK_SURE_FROM)


def is_phrase(judged: SecondOpinion, strictness: float) -> bool:
    """Return whether a proposal was the phrase; a higher strictness wants more of it."""
    fit = judged.fit
    if judged.weight is not None:
        wanted = WEIGHED_FROM + STRICTER * (strictness - 1)
        return judged.weight + FIT_COUNTS * fit.phrase >= wanted
    return fit.phrase * strictness >= PHRASE_FROM and fit.worst_word * strictness >= WORD_FROM


def is_sure(judged: SecondOpinion) -> bool:
    """Return whether a phrase that was found is beyond doubt, whatever the strictness."""
    return judged.weight is not None and judged.weight + FIT_COUNTS * judged.fit.phrase >= SURE_FROM


def ways_of(word: str) -> Sequence[str]:
    """Return the pronunciations of a word, sounded out where the dictionary lacks it."""
    known = pronunciations()
    return known[word] if word in known else (sounded_out(word, known),)


def vosk_spotter(
    folder: Path, phrase: str, others: Sequence[str], strictness: float
) -> VoskSpotter:
    """Load a Vosk model for the phrase; raises EngineError."""
    from bot.speech.vosk_engine import load_model

    return VoskSpotter(load_model(folder), phrase, others, strictness)


def _decoder(threshold: float) -> Any:
    try:
        import pocketsphinx
    except ImportError as exc:
        raise EngineMissing("PocketSphinx is not installed: pip install pocketsphinx") from exc
    return pocketsphinx.Decoder(  # its dictionary, of which the phrase needs two words, takes 18 MB
        lm=None, dict=os.devnull, loglevel="FATAL", kws_threshold=threshold, beam=BEAM
    )
