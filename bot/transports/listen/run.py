"""The loop of the hands-free ear: block after block in, calls to the desk, replies shown and said.

Knows `Message` and `Reply`, and what is handed to it. What the boat itself says is not listened to: sound
that came in meanwhile is left out, until somebody speaks over it: then it stops, and takes that. Its tones
are taken out of the sound, in which a call may have begun. What comes in while a call is thought about waits,
and is heard then.
"""

import io
import logging
from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Final, Protocol

import numpy as np
import soundfile

from bot.errors import DeckcallError
from bot.messages import Message, Reply
from bot.speech.audio import SAMPLE_RATE, Pcm
from bot.speech.spotter import Spotter, WakeHit
from bot.speech.voice_activity import BLOCK_S, VOICE_FROM, VoiceDetector
from bot.transcript import HearingResult, Transcript
from bot.transports.chat import show_reply
from bot.transports.listen.aloud import Aloud, Stop
from bot.transports.listen.keys import END, TALK, Keys
from bot.transports.listen.over import Over
from bot.transports.listen.sources import Block
from bot.transports.listen.tones import Samples, without
from bot.transports.listen.watch import BEFORE_S, Look, Sound, Step, Take, Tone, Watch
from bot.transports.unasked import EVERY_S, UnaskedSource, nothing_to_say

AGAIN: Final = "say again"
"""Said to the open ear, this repeats the last reply; every engine listens for it."""
AGAIN_FROM: Final = 0.3
"""Least trust in a recording for it: repeating a reply does no harm."""
QUIET_S: Final = 2.0
"""Silence before something is said unasked: the phrase may have begun."""
KEPT_S: Final = 40.0
"""Length of the stream that is held in memory."""
NOISE_S: Final = 8.0
"""Stretch before a reading from which the noise is taken that somebody must speak above."""
ECHO_S: Final = 0.25
"""How long after the last sample its sound may still come in."""

_log = logging.getLogger(__name__)


class Answers(Protocol):
    """What is asked: the ear, then the desk."""

    def hear(self, message: Message) -> HearingResult:
        """Return what a recording says, or why it was not heard."""
        ...

    def answer(self, message: Message, heard: HearingResult) -> Reply:
        """Keep what was said, and answer it; raises DeckcallError."""
        ...


@dataclass(frozen=True, slots=True)
class Clock:
    """The stream's time: what it is now, and which time of day it stands for."""

    time_of: Callable[[float], datetime]
    now: Callable[[], float] | None = None
    """None for a recording, whose time stands still while something else is done."""


@dataclass(slots=True)
class Listener:
    """The ear at the helm. `hear_all` ends when the stream does, or a key says so."""

    crew: str
    watch: Watch
    detector: VoiceDetector
    spotter: Spotter
    answers: Answers
    aloud: Aloud
    clock: Clock
    show: Callable[[str], None]
    keys: Keys = field(default_factory=Keys)
    unasked: UnaskedSource = nothing_to_say
    waiting: Callable[[], Iterable[Block]] = tuple
    """Return the blocks that came in and are still to be taken: what comes in while something is read."""
    over: Over = field(default_factory=Over)
    _asked_s: float = -EVERY_S
    """When it was last asked what is to be said without a call."""
    _kept: deque[tuple[Block, bool]] = field(
        default_factory=lambda: deque(maxlen=round(KEPT_S / BLOCK_S))
    )
    _deaf: list[tuple[float, float]] = field(default_factory=list)
    _tones: list[tuple[float, float, Tone]] = field(default_factory=list)
    """Each tone that sounded, with its start and end."""
    _last: Reply | None = None
    _doubtful: bool = False
    """True where the phrase that opened the ear may have been something else."""
    _missed: bool = False
    """True where the last call was not understood: the ear opens once more, not twice."""

    def hear_all(self, blocks: Iterable[Block]) -> None:
        """Take the stream to its end."""
        end_s = 0.0
        for block in blocks:
            if not self._key(block.at_s):
                return
            end_s = block.end_s
            self._remind(end_s)
            if not self._is_deaf(block):
                block = self._without_tones(block)
                is_voice = self.detector.share(block.pcm) >= VOICE_FROM
                self._kept.append((block, is_voice))
                self._do(self.watch.take_block(block.at_s, end_s, is_voice))
        self._do(self.watch.finish(end_s))
        if self.watch.is_open:  # the phrase was found in what was said last
            self._do(self.watch.finish(end_s))

    def _key(self, now_s: float) -> bool:
        """Take a key; says whether to go on."""
        key = self.keys.take()
        if key in END:
            return False
        if key in TALK and not self.watch.is_taking:
            self._missed = self._doubtful = False
            self.watch.open(now_s)
            self._do((Sound("listening"),))
        return True

    def _remind(self, now_s: float) -> None:
        """Say what is to be said without a call; never into what may be one, and not to a recording."""
        if self.clock.now is None or self.watch.is_open or now_s - self._asked_s < EVERY_S:
            return
        if any(voice for block, voice in self._kept if block.end_s > now_s - QUIET_S):
            return
        self._asked_s = now_s
        try:
            texts = " ".join(self.unasked())
        except DeckcallError:
            _log.debug("nothing can be said unasked now", exc_info=True)
            return
        if texts:
            self._last = Reply(texts, texts)
            self.show(texts)
            self._say(texts)

    def _do(self, steps: Iterable[Step]) -> None:
        for step in steps:
            match step:
                case Sound(tone):
                    self._signal(tone)
                case Look(start_s, end_s):
                    self._look(start_s, end_s)
                case Take(start_s, end_s):
                    self._take(start_s, end_s)

    def _look(self, start_s: float, end_s: float) -> None:
        found = self.spotter.find(self._sound(start_s, end_s))
        if found is None:
            self.watch.sleep_on()
            return
        self._wake(start_s, found)

    def _take(self, start_s: float, end_s: float) -> None:
        message = Message(
            self.crew, self.clock.time_of(start_s), "microphone",
            sound=flac(self._sound(start_s, end_s)), name="call.flac", private=True, overheard=True,
            doubtful=self._doubtful,
        )  # fmt: skip
        try:
            heard = self.answers.hear(message)
            if is_again(heard):
                self._repeat()
                return
            reply = self.answers.answer(message, heard)
        except DeckcallError as exc:
            reply = Reply(f"Not done: {exc}", f"Not done. {exc}")
        except Exception as exc:
            _log.debug("a call could not be answered", exc_info=True)
            what = f"{type(exc).__name__}: {exc}"
            reply = Reply(f"Not done, and it is not your fault: {what}", "Not done.")
        if reply.calls or reply.buttons or not self._woken_in(start_s, end_s):
            self._answer(reply, end_s)

    def _woken_in(self, start_s: float, end_s: float) -> bool:
        """Look for the phrase in what was taken for a call and was none; what follows it may be one."""
        found = self.spotter.find(self._sound(start_s, end_s))
        if found is None:
            return False
        self._wake(start_s, found)
        return True

    def _wake(self, start_s: float, found: WakeHit) -> None:
        self._missed, self._doubtful = False, not found.is_sure
        phrase_end_s = start_s + found.end_s
        now_s = self._kept[-1][0].end_s
        self._do(self.watch.wake(phrase_end_s, self._voiced_s(phrase_end_s, now_s), now_s))

    def _voiced_s(self, start_s: float, end_s: float) -> float:
        return BLOCK_S * sum(voice for b, voice in self._kept if start_s <= b.at_s < end_s)

    def _answer(self, reply: Reply, call_end_s: float) -> None:
        if reply.text:
            self._last = reply
            self.show(f'"{reply.heard}"\n{show_reply(reply)}' if reply.heard else show_reply(reply))
        else:
            self.show("(not understood)")
        understood = bool(reply.calls)
        opens = bool(reply.buttons) or not (understood or self._missed)
        self._missed = not understood
        self._signal("done" if understood else "not understood")
        said = understood or not reply.heard  # talk after a false wake is not talked back to
        if said and self._say(reply.spoken, call_end_s if opens else None):
            return
        if opens and reply.buttons:
            self._signal("listening")
        if opens:
            self._doubtful = False  # it asks, so an answer is likely
            self.watch.open(self._now(call_end_s))

    def _signal(self, tone: Tone) -> None:
        """Play a tone; what is said meanwhile is heard all the same."""
        start_s = self.clock.now() if self.clock.now else 0.0
        if not self._played(lambda: self.aloud.signal(tone)) or self.clock.now is None:
            return
        until_s = self.clock.now() + ECHO_S
        self._tones.append((start_s, until_s, tone))
        self.watch.tone_until(until_s)

    def _repeat(self) -> None:
        last = self._last or Reply("Nothing has been said yet.", "Nothing has been said yet.")
        self.show(show_reply(last))
        if not self._say(last.spoken) and last.buttons:
            self._doubtful = False
            self.watch.open(self._now(self._kept[-1][0].end_s))

    def _say(self, text: str, since_s: float | None = None) -> bool:
        """Read aloud, and leave out what came in meanwhile, or since an earlier time.

        Return whether somebody spoke over it: then the ear is open for that, though it may be no call.
        """
        now = self.clock.now
        start_s = now() if now else 0.0
        if not self._played(lambda: self.aloud.say(text, self._watched)) or now is None:
            return False
        begun_s = self.over.since_s
        until_s = now() + ECHO_S if begun_s is None else begun_s - BEFORE_S
        self._deaf.append((start_s if since_s is None else since_s, until_s))
        self.watch.deaf(until_s)
        if begun_s is None:
            return False
        self._missed, self._doubtful = False, True
        self.watch.open(until_s)
        return True

    def _watched(self, reading: Samples) -> Stop:
        """Return what says whether somebody speaks over a reading that begins now."""
        at_s = self.clock.now() if self.clock.now else 0.0
        noise = (b.pcm for b, voice in self._kept if not voice and b.at_s > at_s - NOISE_S)
        self.over.begin(reading, at_s, noise)

        def is_over() -> bool:
            nonlocal at_s
            for block in self.waiting():
                if block.at_s >= at_s:
                    at_s = block.end_s - BLOCK_S / 2
                    self.over.take_block(block.at_s, block.pcm)
            return self.over.since_s is not None

        return is_over

    def _played(self, play: Callable[[], bool]) -> bool:
        """Make a sound; return whether anything was heard."""
        try:
            return play()
        except DeckcallError as exc:
            self.show(f"({exc})")
            return False

    def _without_tones(self, block: Block) -> Block:
        self._tones = [one for one in self._tones if one[1] > block.at_s]
        for start_s, _, tone in self._tones:
            if start_s <= block.end_s:
                block = replace(block, pcm=Pcm(without(tone, block.pcm.samples, SAMPLE_RATE)))
        return block

    def _is_deaf(self, block: Block) -> bool:
        self._deaf = [one for one in self._deaf if one[1] > block.at_s]
        return any(start <= block.end_s for start, _ in self._deaf)

    def _now(self, else_s: float) -> float:
        """Return when the ear listens again."""
        deaf_s = [until_s for _, until_s in self._deaf]
        return max([else_s, *deaf_s, *(until_s for _, until_s, _ in self._tones)])

    def _sound(self, start_s: float, end_s: float) -> Pcm:
        half = BLOCK_S / 2
        pieces = [b.pcm.samples for b, _ in self._kept if start_s - half <= b.at_s < end_s - half]
        return Pcm(np.concatenate(pieces) if pieces else np.zeros(0, np.int16))


def is_again(heard: HearingResult) -> bool:
    """Return whether the last reply is wanted once more."""
    if not isinstance(heard, Transcript):
        return False
    return heard.best == AGAIN and heard.signals.get("accept", 1.0) >= AGAIN_FROM


def flac(pcm: Pcm) -> bytes:
    """Return sound as a file that is kept as it is, with nothing lost."""
    out = io.BytesIO()
    soundfile.write(out, pcm.samples, SAMPLE_RATE, format="FLAC", subtype="PCM_16")
    return out.getvalue()
