"""An engine that answers from a list.

It hears nothing; it says what it was told to say, in order, and keeps what it was given.
"""

from collections.abc import Iterable

from bot.errors import EngineError
from bot.speech.audio import Pcm
from bot.speech.engine import EngineGrammar
from bot.transcript import Alternative, Transcript


class ScriptedEngine:
    """Answers each recording with the next line of a script; an empty line is nothing heard."""

    name = "scripted"

    def __init__(self, answers: Iterable[str | Transcript]) -> None:
        self._answers = iter(answers)
        self.grammars: list[EngineGrammar] = []
        self.recordings: list[Pcm] = []

    def prepare(self, grammar: EngineGrammar) -> None:
        """Keep a grammar, unless it is the one given last."""
        if not self.grammars or self.grammars[-1].digest != grammar.digest:
            self.grammars.append(grammar)

    def transcribe(self, pcm: Pcm) -> Transcript:
        """Return the next answer; raises EngineError when the script is at its end."""
        self.recordings.append(pcm)
        try:
            answer = next(self._answers)
        except StopIteration:
            raise EngineError(
                "the script of the scripted engine is at its end: add lines"
            ) from None
        if isinstance(answer, Transcript):
            return answer
        alternatives = (Alternative(answer, 1.0),) if answer else ()
        return Transcript(alternatives, engine=self.name, seconds=pcm.seconds)
