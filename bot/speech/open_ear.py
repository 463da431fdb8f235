"""The ear of the calls: two Whispers write down openly what they hear, and the surer line comes first.

One is Whisper tiny.en as it comes, which knows people; the other is the same trained on in the words and the
noise of a deck (`deck_model`, `bench ear_train`). Nothing is allowed or forbidden: what lines mean, and how
far they are to be trusted, is settled where calls are read. The phone network says where there is speech.
"""

import math
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Final

from bot.errors import EngineMissing
from bot.speech.audio import Pcm
from bot.speech.engine import EngineGrammar
from bot.speech.phone_ear import heard_phones
from bot.speech.phones import Network, network
from bot.speech.silence import snr_db
from bot.speech.written_ear import Line, Writer, deck_writer, give_back, writer
from bot.transcript import Alternative, Transcript

MARGIN_S: Final = 0.3
"""Kept before the first and after the last phone."""
LONGEST_S: Final = 28.0
"""Whisper hears thirty seconds at a time; of longer speech the beginning is heard."""
PLAIN_WINDOW_S: Final = 10.0
"""Whisper as it comes repeats itself on less, and writes as well on this as on its own thirty seconds."""
MOST_LINES: Final = 6
TOO_SURE: Final = 0.2
"""Mean log probability a token by which the trained one is surer than it should be of what no deck says:
larger writes down more of what people say else, smaller more of what they call at 0 dB."""


class OpenEngine:
    """Hears anything that is said; needs no grammar."""

    name = "whisper"

    def __init__(self, plain: Path | None = None) -> None:
        """Load what is there; `plain` is a folder with Whisper as it comes, where it was fetched."""
        self._deck, self._plain = deck_writer(), writer(plain) if plain else writer()
        if self._deck is None and self._plain is None:
            raise EngineMissing(
                "Whisper's weights or CTranslate2 are missing: pip install --force-reinstall deckcall"
            )
        self._network = network()

    def prepare(self, grammar: EngineGrammar) -> None:
        """Take a grammar, which changes nothing: what it writes is open."""

    def transcribe(self, pcm: Pcm) -> Transcript:
        """Hear one recording; alternatives are lines with the mean probability of their tokens."""
        ratio = snr_db(pcm)
        speech = self._speech(pcm, self._network)
        if speech is None:
            return Transcript((), self.name, pcm.seconds, {"snr_db": ratio})
        with ThreadPoolExecutor(1) as other:
            plain = other.submit(_lines, self._plain, speech, PLAIN_WINDOW_S)
            heard = [_whole_lines(self._deck, speech), plain.result()]
        give_back()
        found, signals = weigh_lines(heard)
        return Transcript(found, self.name, pcm.seconds, {"snr_db": ratio} | signals)

    def _speech(self, pcm: Pcm, phones: Network | None) -> Pcm | None:
        """Return the part with speech in it; None where there is not one phone."""
        if phones is None:
            return pcm.slice(0.0, LONGEST_S)
        heard = heard_phones(pcm, phones)
        if not heard.count:
            return None
        start_s = heard.span.start_s - MARGIN_S
        end_s = min(heard.span.end_s + MARGIN_S, start_s + LONGEST_S)
        return pcm.slice(start_s, end_s)


def _lines(ear: Writer | None, speech: Pcm, window_s: float) -> tuple[Line, ...]:
    return () if ear is None else ear.lines(ear.listen(speech, window_s))


def _whole_lines(ear: Writer | None, speech: Pcm) -> tuple[Line, ...]:
    return () if ear is None else ear.whole_lines(ear.listen(speech, 0.0))


def weigh_lines(heard: list[tuple[Line, ...]]) -> tuple[tuple[Alternative, ...], dict[str, float]]:
    """Return the lines of the trained ear and of the plain one, surest first, and where their first stand."""
    sure: dict[str, float] = {}
    for lines, less in zip(heard, (TOO_SURE, 0.0), strict=False):
        for line in lines:
            sure[line.text] = max(sure.get(line.text, -99.0), line.sure - less)
    ranked = sorted(sure, key=lambda text: -sure[text])
    firsts = [lines[0].text for lines in heard if lines]
    kept = [text for n, text in enumerate(ranked) if n < MOST_LINES or text in firsts]
    names = ("deck_first", "plain_first")
    places = {
        name: float(kept.index(lines[0].text))
        for name, lines in zip(names, heard, strict=False)
        if lines
    }
    return tuple(Alternative(text, min(1.0, math.exp(sure[text]))) for text in kept), places
