"""Vosk behind the engine protocol: a closed vocabulary in, alternatives with word times out.

Only this module knows Vosk, and that it answers in another JSON form once alternatives are asked
for. The vocabulary is made of the grammar's phrases; Vosk builds a bigram model of them, so what
comes out need be no phrase: the parser is the one to refuse. `transcribe` may run in several
threads at once, for each recording gets a recogniser of its own over the one model.
"""

import json
import logging
import math
import re
import threading
from collections.abc import Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from bot.errors import EngineError, EngineMissing, ModelMissing
from bot.speech.audio import SAMPLE_RATE, Pcm
from bot.speech.engine import EngineGrammar
from bot.speech.silence import cut, dither, snr_db
from bot.speech.vosk_accept import UNKNOWN, HeardWord, acceptance, figures
from bot.transcript import Alternative, Transcript

MOST_ALTERNATIVES = 8
CHUNK_S = 0.25
"""How much sound a stream hands over at a time."""
_CONFIDENCE_SPREAD = 1.0
"""Difference of Vosk's log score that makes an alternative e times less likely."""

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Partial:
    """What a stream has understood so far."""

    text: str
    final: bool
    """True for an utterance that has ended; its text will not change."""


class VoskEngine:
    """Hears with the Vosk model in a folder, which is loaded on first use."""

    name = "vosk"

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._lock = threading.Lock()
        self._model: Any = None
        self._digest = ""
        self._phrases: tuple[str, ...] = ()
        self._left_out: tuple[str, ...] = ()

    @property
    def left_out(self) -> tuple[str, ...]:
        """Return the words that neither the model nor a respelling knows: they cannot be heard."""
        return self._left_out

    @property
    def phrases(self) -> tuple[str, ...]:
        """Return the phrases as the model gets them, respelt where it lacks a word."""
        return self._phrases

    def missing_words(self, words: Iterable[str]) -> tuple[str, ...]:
        """Return the words that the model lacks, sorted."""
        model = self._loaded_model()
        return tuple(
            sorted(word for word in set(words) if model.vosk_model_find_word(word.lower()) < 0)
        )

    def prepare(self, grammar: EngineGrammar) -> None:
        """Take a grammar; raises EngineError where none of its phrases can be heard."""
        if grammar.digest == self._digest:
            return
        phrases, left_out = self._hearable(grammar)
        if not phrases:
            raise EngineError(
                f"the model in {self._folder} knows no phrase of the grammar "
                "(is it a model of another language?): choose another with DECKCALL_MODEL"
            )
        if left_out:
            _log.warning("the model in %s cannot hear: %s", self._folder, ", ".join(left_out))
        self._phrases, self._left_out, self._digest = phrases, left_out, grammar.digest

    def transcribe(self, pcm: Pcm) -> Transcript:
        """Hear one recording twice at once: for its alternatives, and for the confidence of its words."""
        sound = dither(cut(pcm))
        with ThreadPoolExecutor(1) as other:
            listening = other.submit(self.words, sound)
            recogniser = self._recogniser()
            recogniser.SetMaxAlternatives(MOST_ALTERNATIVES)
            recogniser.AcceptWaveform(sound.samples.tobytes())
            answer = json.loads(recogniser.FinalResult())
            words = listening.result()
        heard = [(item["text"].strip(), item["confidence"]) for item in answer["alternatives"]]
        found = _alternatives(heard)
        signals = {"snr_db": snr_db(pcm), "accept": 0.0}
        if heard:
            signals["confidence"] = float(heard[0][1])
        if found:
            signals |= figures(heard, words)
            signals["accept"] = acceptance(signals)
        return Transcript(found, self.name, pcm.seconds, signals)

    def words(self, pcm: Pcm) -> tuple[HeardWord, ...]:
        """Return the best words of one recording with their times in it and their confidence."""
        recogniser = self._recogniser()
        recogniser.SetWords(True)
        recogniser.AcceptWaveform(pcm.samples.tobytes())
        answer = json.loads(recogniser.FinalResult())
        return tuple(
            HeardWord(item["word"], item["start"], item["end"], item["conf"])
            for item in answer.get("result", ())
        )

    def stream(self, chunks: Iterable[Pcm]) -> Iterator[Partial]:
        """Hear sound as it comes, and yield what is understood each time that changes."""
        recogniser = self._recogniser()
        shown = ""
        for chunk in chunks:
            if recogniser.AcceptWaveform(chunk.samples.tobytes()):
                text = json.loads(recogniser.Result())["text"]
                shown = ""
                if text:
                    yield Partial(text, final=True)
                continue
            text = json.loads(recogniser.PartialResult())["partial"]
            if text and text != shown:
                shown = text
                yield Partial(text, final=False)
        text = json.loads(recogniser.FinalResult())["text"]
        if text:
            yield Partial(text, final=True)

    def _hearable(self, grammar: EngineGrammar) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Return the phrases that the model can hear, and the words for which some were left out."""
        words = {word for phrase in grammar.phrases for word in phrase.lower().split()}
        respellings = {word: sound.lower() for word, sound in grammar.respellings}
        unknown = set(self.missing_words(words))
        spelt_with = {part for word in unknown for part in respellings.get(word, "").split()}
        unusable = set(self.missing_words(spelt_with))
        instead = {
            word: respellings[word]
            for word in unknown
            if word in respellings and not unusable & set(respellings[word].split())
        }
        phrases: dict[str, None] = {}
        for phrase in grammar.phrases:
            parts = phrase.lower().split()
            if all(part not in unknown or part in instead for part in parts):
                phrases[" ".join(instead.get(part, part) for part in parts)] = None
        return tuple(phrases), tuple(sorted(unknown - set(instead)))

    def _recogniser(self) -> Any:
        """Make a recogniser of the phrases over the shared model."""
        if not self._digest:
            raise EngineError("Vosk has no grammar yet: call prepare first")
        model = self._loaded_model()
        import vosk

        unknown = () if self.missing_words([UNKNOWN]) else (UNKNOWN,)
        vocabulary = json.dumps([*self._phrases, *unknown], ensure_ascii=False)
        return vosk.KaldiRecognizer(model, SAMPLE_RATE, vocabulary)

    def _loaded_model(self) -> Any:
        """Load the model once, whichever thread comes first."""
        with self._lock:
            if self._model is None:
                self._model = load_model(self._folder)
            return self._model


def chunks(pcm: Pcm, chunk_s: float = CHUNK_S) -> Iterator[Pcm]:
    """Cut a recording into pieces, as a microphone would hand them over."""
    for number in range(-(-len(pcm.samples) // max(1, round(chunk_s * SAMPLE_RATE)))):
        yield pcm.slice(number * chunk_s, (number + 1) * chunk_s)


def is_vosk_model(folder: Path) -> bool:
    """Return whether a folder looks like a Vosk model whose vocabulary can be restricted."""
    acoustic = any((folder / part).is_file() for part in ("am/final.mdl", "final.mdl"))
    graph = any((folder / part).is_file() for part in ("graph/HCLr.fst", "HCLr.fst"))
    return acoustic and graph


def load_model(folder: Path) -> Any:
    """Load a Vosk model; raises ModelMissing, EngineMissing or EngineError."""
    if not folder.is_dir():
        raise ModelMissing(
            f"there is no Vosk model in {folder}: run 'deckcall model get' or set DECKCALL_MODEL"
        )
    if not is_vosk_model(folder):
        raise ModelMissing(
            f"{folder} is no Vosk model with a graph that can be restricted (am/final.mdl, "
            "graph/HCLr.fst): take a small model, or run 'deckcall model get'"
        )
    try:
        import vosk
    except (ImportError, OSError) as exc:
        raise EngineMissing("Vosk is not installed: pip install vosk") from exc
    vosk.SetLogLevel(-2)  # its errors reach us as exceptions, its warnings as missing_words
    try:
        return vosk.Model(str(folder))
    except Exception as exc:  # the library raises nothing narrower
        raise EngineError(f"Vosk cannot load the model in {folder}: fetch it again") from exc


def _alternatives(heard: list[tuple[str, float]]) -> tuple[Alternative, ...]:
    """Turn Vosk's texts and scores into alternatives, unknown speech and doubles left out."""
    best = heard[0][1] if heard else 0.0
    found: dict[str, float] = {}
    for text, score in heard:
        if not text or UNKNOWN in text.split():
            continue
        found.setdefault(re.sub(r"\s+", " ", text), math.exp((score - best) / _CONFIDENCE_SPREAD))
    total = sum(found.values()) or 1.0
    return tuple(Alternative(text, weight / total) for text, weight in found.items())
