"""Engines that misbehave on demand, to be started in a worker: what they do is told by the recording.

A tone of one second is `strike shotgun`; two seconds hang where no other thread runs, three seconds
crash the process, four raise what no engine should.
"""

import os
import re

from bot.speech.audio import Pcm
from bot.speech.engine import Engine, EngineGrammar
from bot.transcript import Alternative, Transcript
from tests.speech.recordings import sound_file, tone

GOOD, HANGS, CRASHES, FAILS = 1.0, 2.0, 3.0, 4.0
GRAMMAR = EngineGrammar(jsgf="#JSGF V1.0;\ngrammar deck;\npublic <call> = strike shotgun;\n")


def recorded(seconds: float) -> bytes:
    """Return a recording that the engine takes for what its length stands for."""
    return sound_file(tone(seconds))


class MoodyEngine:
    """Does what the length of the recording says; its `seconds` are the id of its process."""

    name = "scripted"

    def __init__(self) -> None:
        self.digest = ""

    def prepare(self, grammar: EngineGrammar) -> None:
        self.digest = grammar.digest

    def transcribe(self, pcm: Pcm) -> Transcript:
        match round(pcm.seconds):
            case 2:
                re.match(r"(a+)+b", "a" * 64)  # never ends, and lets no other thread run
            case 3:
                os._exit(9)
            case 4:
                raise ValueError("an engine's own fault")
        heard = (Alternative("strike shotgun", 1.0),)
        return Transcript(heard, self.name, pcm.seconds, {"pid": float(os.getpid())})


def open_moody() -> Engine:
    """Start one; runs in the worker."""
    return MoodyEngine()


def open_missing() -> Engine:
    """Find no model."""
    from bot.errors import ModelMissing

    raise ModelMissing("there is no model: run 'deckcall model get'")
