"""The seam between the ear and the rest: what an engine is given, and what it must be able to do.

Engines know no calls and no trip; `build` hands them plain values made from the grammar.
"""

from dataclasses import dataclass, replace
from hashlib import blake2b
from typing import TYPE_CHECKING, Protocol

from bot.errors import AudioError, EngineError
from bot.transcript import HearingFailure, Transcript

if TYPE_CHECKING:  # whoever only hands a grammar on need not load what decodes sound
    from bot.speech.audio import Pcm


@dataclass(frozen=True, slots=True)
class EngineGrammar:
    """What may be said, in the forms that engines take."""

    jsgf: str
    """A whole W3C JSpeech Grammar Format grammar (PocketSphinx)."""
    phrases: tuple[str, ...] = ()
    """Phrases of the language, lower case (Vosk's closed vocabulary)."""
    pronunciations: tuple[tuple[str, str], ...] = ()
    """(word, ARPAbet phones joined by spaces): words the engines may lack; a word may stand twice."""
    respellings: tuple[tuple[str, str], ...] = ()
    """(word, respelling in commoner words) for engines that take no pronunciations."""

    @property
    def digest(self) -> str:
        """Return a short fingerprint; the same for the same content."""
        whole = repr((self.jsgf, self.phrases, self.pronunciations, self.respellings))
        return blake2b(whole.encode(), digest_size=12).hexdigest()

    def also(self, name: str, sentence: str) -> "EngineGrammar":
        """Return the same with one sentence more, as a public rule of that name."""
        rule = f"public <{name}> = {sentence};\n"
        return replace(self, jsgf=self.jsgf + rule, phrases=(*self.phrases, sentence))


class Engine(Protocol):
    """Sound to alternatives of text."""

    @property
    def name(self) -> str:
        """Return `vosk`, `pocketsphinx` or `scripted`."""
        ...

    def prepare(self, grammar: EngineGrammar) -> None:
        """Take a grammar; does nothing when its digest is the one already loaded."""
        ...

    def transcribe(self, pcm: "Pcm") -> Transcript:
        """Hear one recording; alternatives are best first, none where nothing was understood."""
        ...


def failure_of(problem: AudioError | EngineError) -> HearingFailure:
    """Return the reason why a recording was not heard; a fault of the engine is not one of the sound."""
    return HearingFailure(str(problem), again=isinstance(problem, EngineError))
