"""Speaking over what the boat reads aloud, in a made-up room: the reading comes back to the microphone."""

import io
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import numpy as np
import numpy.typing as npt
import pytest
import soundfile
import soxr

from bot.messages import Reply
from bot.speech.audio import Pcm
from bot.speech.voice_activity import BLOCK, BLOCK_S
from bot.transports.listen.aloud import Aloud, Stop
from bot.transports.listen.run import Clock, Listener
from bot.transports.listen.sources import Block
from bot.transports.listen.tones import RATE, Samples, tone
from bot.transports.listen.watch import Watch
from bot.transports.unasked import EVERY_S
from tests.speech.recordings import recording
from tests.transports.test_listen import LoudSpotter, ScriptedAnswers

HERTZ = 16_000
READING = np.concatenate(
    [recording(name).samples for name in ("released_blue", "set_long_rigger", "raised_striped")]
)
OVER = recording("strike_short_corner").samples
STRIKE = Reply("Strike, short corner.", "", ({"act": "strike"},))
READ_S = 2.0
"""When it begins to read; the noise before it is known then."""
LOUD = 0.1
"""Root mean square of the reading where it comes in."""


def levelled(sound: npt.NDArray[np.int16], level: float) -> npt.NDArray[np.float64]:
    return np.asarray(sound * level / np.sqrt(np.mean(np.square(sound, dtype=float))))


@dataclass
class Helm:
    """A microphone, a loudspeaker and the room between them; time passes while it plays."""

    crew_s: float | None
    crew_level: float = LOUD
    now_s: float = 0.0
    taken: int = 0
    played_s: list[float] = field(default_factory=list)

    def __post_init__(self) -> None:
        chance = np.random.default_rng(4)
        self.sound = chance.normal(0, 0.004, 20 * HERTZ)
        self.room = chance.normal(0, 0.05, 5000) * np.exp(-np.arange(5000) / 900)
        self.room[0] = 1.0
        if self.crew_s is not None:
            said = levelled(OVER, self.crew_level)
            at = int(self.crew_s * HERTZ)
            self.sound[at : at + len(said)] += said

    def speak(self, text: str) -> Samples:
        assert text == "the reading"
        return np.asarray(soxr.resample(READING / 32768, HERTZ, RATE), np.float32)

    def play(self, samples: Samples, stop: Stop) -> None:
        if len(samples) <= len(tone("not understood")):
            return
        echo = np.convolve(soxr.resample(samples, RATE, HERTZ), self.room)
        echo = levelled(np.asarray(echo * 9000, np.int16), LOUD)
        start_s, late_s, step_s = self.now_s, 0.13, 0.03
        while self.now_s < start_s + len(samples) / RATE and not stop():
            first = int((self.now_s - start_s) * HERTZ)
            piece = echo[first : first + int(step_s * HERTZ)]
            at = int((self.now_s + late_s) * HERTZ)
            self.sound[at : at + len(piece)] += piece
            self.now_s += step_s
        self.played_s.append(self.now_s - start_s)

    def waiting(self) -> tuple[Block, ...]:
        """Return what came in so far and was not taken."""
        return tuple(self._block(n) for n in range(self.taken, int(self.now_s / BLOCK_S)))

    def blocks(self) -> Iterator[Block]:
        while (self.taken + 1) * BLOCK <= len(self.sound):
            self.taken += 1
            self.now_s = max(self.now_s, self.taken * BLOCK_S)
            yield self._block(self.taken - 1)

    def _block(self, number: int) -> Block:
        sound = self.sound[number * BLOCK : (number + 1) * BLOCK]
        return Block(number * BLOCK_S, Pcm(np.asarray(np.clip(sound, -1, 1) * 32767, np.int16)))


class Loudness:
    name = "scripted"

    def share(self, block: Pcm) -> float:
        return float(np.max(np.abs(block.samples)) > 900)


def listened(helm: Helm) -> ScriptedAnswers:
    """Have something read, and listen to the end."""
    answers = ScriptedAnswers(["strike short corner"], [STRIKE])
    to_say = [["the reading"]]
    begun = datetime(2026, 3, 1, tzinfo=UTC)
    ear = Listener(
        "Skipper", Watch(), Loudness(), LoudSpotter(), answers, Aloud(helm, helm),
        Clock(lambda s: begun + timedelta(seconds=s), lambda: helm.now_s), lambda _: None,
        unasked=lambda: to_say.pop() if to_say else [], waiting=helm.waiting,
    )  # fmt: skip
    ear._asked_s = READ_S - EVERY_S
    ear.hear_all(helm.blocks())
    return answers


@pytest.mark.parametrize("level", [LOUD / 2, LOUD, 2 * LOUD])
def test_who_speaks_over_the_reading_stops_it_and_is_heard_but_may_mean_somebody_else(
    level: float,
) -> None:
    helm = Helm(READ_S + 2.0, level)
    answers = listened(helm)
    assert 2.0 < helm.played_s[0] < 3.0
    (message,) = answers.messages
    assert message.doubtful
    sound, _ = soundfile.read(io.BytesIO(message.sound or b""))
    said = levelled(OVER, level)
    likeness = np.correlate(sound, said[6000:-2000], "valid").max() / np.sum(said[6000:-2000] ** 2)
    assert likeness > 0.8


@pytest.mark.parametrize("crew_s", [None, READ_S + 10.0])
def test_its_own_voice_does_not_stop_the_reading(crew_s: float | None) -> None:
    helm = Helm(crew_s)
    answers = listened(helm)
    assert helm.played_s[0] == pytest.approx(len(READING) / HERTZ, abs=0.1)
    assert answers.messages == []
