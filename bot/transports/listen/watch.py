"""When the ear is open: voice after voice comes in, what is to be done goes out.

Pure: the times are arguments, seconds of the stream; the sound itself stays outside. Asleep, it wants
each stretch of voice looked through for the wake phrase. Awake, it takes the next stretch as a call: what
was said in one breath with the phrase, or what begins while the ear is open.
"""

from collections import deque
from dataclasses import dataclass
from typing import Final, Literal

Tone = Literal["listening", "done", "not understood"]


@dataclass(frozen=True, slots=True)
class Timing:
    """How long the ear waits for what."""

    open_s: float = 6.0
    """How long a call may take to begin."""
    pause_s: float = 0.8
    """Silence that ends a call."""
    wake_pause_s: float = 0.5
    """Silence that ends a stretch that is searched for the wake phrase."""
    longest_s: float = 9.0
    """A call that goes on for longer is taken as it stands: where many talk, no pause ends it."""
    look_every_s: float = 8.0
    """Talk without a pause is looked through in pieces of this length."""
    overlap_s: float = 2.0
    """Such pieces overlap by so much, lest one cuts the phrase."""


@dataclass(frozen=True, slots=True)
class Look:
    """This stretch is to be looked through for the wake phrase; `woken` or `slept` answers."""

    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class Take:
    """This stretch is a call."""

    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class Sound:
    """A tone is to be heard."""

    tone: Tone


Step = Look | Take | Sound

BEFORE_S: Final = 0.3
"""Kept before the first voice: soft consonants come before it is noticed."""
AFTER_S: Final = 0.3
_RISE: Final = 4
"""Blocks of voice within `_OF` that begin a stretch: fewer are clicks and slaps of water."""
_OF: Final = 8
_LEAST_S: Final = 0.25
"""A stretch with less voice holds neither phrase nor call."""


class Watch:
    """What the ear waits for now."""

    def __init__(self, timing: Timing | None = None) -> None:
        self.timing = timing or Timing()
        self._open_until: float | None = None
        self._recent: deque[bool] = deque(maxlen=_OF)
        self._begun: float | None = None
        self._last = self._now = 0.0
        self._voiced_s = 0.0

    @property
    def is_open(self) -> bool:
        """Return whether what is said next is taken as a call."""
        return self._open_until is not None

    @property
    def is_taking(self) -> bool:
        """Return whether a call is being said."""
        return self.is_open and self._begun is not None

    def take_block(self, start_s: float, end_s: float, is_voice: bool) -> tuple[Step, ...]:
        """Take one block of the stream."""
        self._recent.append(is_voice)
        self._now = end_s
        if self._begun is None:
            return self._waiting(start_s, end_s)
        if is_voice:
            self._last = end_s
            self._voiced_s += end_s - start_s
        return self._in_voice(end_s)

    def _waiting(self, start_s: float, end_s: float) -> tuple[Step, ...]:
        if sum(self._recent) >= _RISE:
            block_s = end_s - start_s
            self._begun = max(0.0, end_s - len(self._recent) * block_s - BEFORE_S)
            self._last, self._voiced_s = end_s, _RISE * block_s
        elif self._open_until is not None and end_s >= self._open_until:
            self.close()
            return (Sound("not understood"),)
        return ()

    def _in_voice(self, now_s: float) -> tuple[Step, ...]:
        begun, timing = self._begun or 0.0, self.timing
        quiet_s = now_s - self._last
        end_s = min(now_s, self._last + AFTER_S)
        if self.is_open:
            if quiet_s < timing.pause_s and now_s - begun < timing.longest_s:
                return ()
            enough = self._voiced_s >= _LEAST_S
            self._forget()
            if not enough:
                return ()
            self._open_until = None
            return (Take(begun, end_s),)
        if quiet_s >= timing.wake_pause_s:
            enough = self._voiced_s >= _LEAST_S
            self._recent.clear()
            if not enough:
                self._forget()
            return (Look(begun, end_s),) if enough else ()
        if now_s - begun >= timing.look_every_s:
            return (Look(begun, now_s),)
        return ()

    def finish(self, now_s: float) -> tuple[Step, ...]:
        """Take what was being said as it stands: the stream has ended."""
        if self._begun is None or self._voiced_s < _LEAST_S:
            return ()
        begun, is_open = self._begun, self.is_open
        end_s = min(now_s, self._last + AFTER_S)
        if not is_open:
            return (Look(begun, end_s),)
        self.close()
        return (Take(begun, end_s),)

    def sleep_on(self) -> None:
        """Go on waiting: no wake phrase was in the stretch that was looked through."""
        if self._now - self._last >= self.timing.wake_pause_s:
            self._forget()
        else:  # still talking
            self._begun = max(self._begun or 0.0, self._now - self.timing.overlap_s)

    def wake(self, phrase_end_s: float, voiced_after_s: float, now_s: float) -> tuple[Step, ...]:
        """Open for a call where the phrase ended: the voice after it may be its beginning."""
        if voiced_after_s >= _LEAST_S:
            self._open_until = now_s + self.timing.open_s
            self._begun, self._voiced_s = phrase_end_s, voiced_after_s
            return self._in_voice(now_s)
        self.open(now_s)
        return (Sound("listening"),)

    def open(self, now_s: float) -> None:
        """Open for a call: a key was pressed, a question was put, or the phrase was said."""
        self._forget()
        self._open_until = now_s + self.timing.open_s

    def close(self) -> None:
        """Wait for the wake phrase again."""
        self._forget()
        self._open_until = None

    def deaf(self, until_s: float) -> None:
        """Forget what came before this time: the boat itself made a sound."""
        waited = self._open_until
        self._forget()
        if waited is not None:
            self._open_until = max(waited, until_s + self.timing.open_s)

    def tone_until(self, until_s: float) -> None:
        """Add a tone that sounds until then to the time in which a call may begin."""
        if self._open_until is not None:
            self._open_until = max(self._open_until, until_s + self.timing.open_s)

    def _forget(self) -> None:
        self._begun, self._voiced_s = None, 0.0
        self._recent.clear()
