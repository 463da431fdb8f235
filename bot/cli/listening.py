"""`listen`: the ear at the helm, from a microphone, a recording or a pipe."""

import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Final

from bot.cli.options import Arguments
from bot.cli.shown import read_file
from bot.errors import DeckcallError, TransportError
from bot.messages import Message, Reply
from bot.settings import Settings
from bot.transcript import HearingResult

if TYPE_CHECKING:
    from concurrent.futures import Future

    from bot.desk import Desk
    from bot.speech.audio import Pcm
    from bot.speech.workers import Workers
    from bot.transports.listen.aloud import Aloud
    from bot.transports.listen.keys import Keys
    from bot.transports.listen.run import Clock
    from bot.transports.listen.sources import Block

LONGEST_FILE_S: Final = 4 * 3600.0
"""A longer recording does not fit into memory as a whole."""


def listen(args: Arguments, found: Settings) -> int:
    """Listen until the sound ends, or until told to stop."""
    found = _with_options(args, found)
    from bot.build import open_desk, open_feed, open_language
    from bot.fittings import ear_workers, open_spotter
    from bot.speech.voice_activity import open_detector
    from bot.transports.listen.keys import terminal_keys
    from bot.transports.listen.run import Listener
    from bot.transports.listen.sources import Live
    from bot.transports.listen.watch import Timing, Watch

    said = found.listen
    spotter = open_spotter(
        found, open_language(found)
    )  # a bad phrase is said before anything opens
    with ExitStack() as stack:
        keys = stack.enter_context(terminal_keys())
        clock, blocks = stack.enter_context(_source(args, found))
        aloud = _aloud(args, found, keys)
        ears = stack.enter_context(ear_workers(found))
        stack.enter_context(open_feed(found))
        desk = stack.enter_context(open_desk(found, source="microphone", workers=ears))
        answers = DeskAnswers(desk, ears)
        answers.warm_up()
        _tell(args, found, aloud, keys)
        Listener(
            args.speaker(found.boat.crew),
            Watch(Timing(open_s=said.open_s, pause_s=said.pause_s)),
            open_detector(),
            spotter,
            answers,
            aloud,
            clock,
            lambda text: print(text, end="\n\n", flush=True),
            keys,
            lambda: desk.claim_due("listen"),
            blocks.waiting_blocks if isinstance(blocks, Live) else tuple,
        ).hear_all(blocks)
    return 0


@dataclass(frozen=True, slots=True)
class DeskAnswers:
    """Hears in a process of its own, answers in this one."""

    desk: "Desk"
    ears: "Workers"

    def warm_up(self) -> None:
        """Load the ear before the first call comes; what it makes of nothing does not matter."""
        self._hear(Message("", datetime.now(UTC), "microphone", sound=b"", overheard=True))

    def hear(self, message: Message) -> HearingResult:
        """Return what a recording says, or why it was not heard."""
        return self._hear(message).result()

    def answer(self, message: Message, heard: HearingResult) -> Reply:
        """Keep what was said, and answer it."""
        return self.desk.answer(message, heard)

    def _hear(self, message: Message) -> "Future[HearingResult]":
        from bot.transports.listen.run import AGAIN

        grammar = self.desk.grammar(message)
        if grammar is None:
            raise DeckcallError("that was answered already")
        return self.ears.listen(message.sound or b"", message.name, grammar.also("again", AGAIN))


def _with_options(args: Arguments, found: Settings) -> Settings:
    said = found.listen
    if args.microphone is not None:
        said = replace(said, microphone=args.microphone)
    if args.quiet:
        said = replace(said, voice="off", tones=False)
    return replace(found, listen=said)


@contextmanager
def _source(args: Arguments, found: Settings) -> "Iterator[tuple[Clock, Iterator[Block]]]":
    """Yield the sound that is asked for; a recording is taken to have ended just now."""
    from bot.transports.listen.run import Clock
    from bot.transports.listen.sources import microphone, piped_blocks, recorded_blocks

    if args.source is None:
        with microphone(found.listen.microphone) as blocks:
            begun, start = datetime.now(UTC), time.monotonic()
            yield (
                Clock(lambda s: begun + timedelta(seconds=s), lambda: time.monotonic() - start),
                blocks,
            )
    elif args.source == "-":
        begun = datetime.now(UTC)
        yield Clock(lambda s: begun + timedelta(seconds=s)), piped_blocks(sys.stdin.buffer)
    else:
        pcm = _read(args.source)
        begun = datetime.now(UTC) - timedelta(seconds=pcm.seconds)
        yield Clock(lambda s: begun + timedelta(seconds=s)), recorded_blocks(pcm)


def _read(path: str) -> "Pcm":
    from bot.speech.audio import to_pcm

    return to_pcm(read_file(path), Path(path).name, LONGEST_FILE_S)


def _aloud(args: Arguments, found: Settings, keys: "Keys") -> "Aloud":
    """Return what is heard: tones and a voice at the microphone, nothing for a recording."""
    from bot.transports.listen.aloud import Aloud, Loudspeaker, open_voice

    said = found.listen
    if args.source is not None or (not said.tones and said.voice == "off"):
        return Aloud(None, None)
    voice = open_voice(said.voice, found.home)
    try:
        speaker = Loudspeaker(said.loudspeaker)
    except TransportError as exc:
        print(f"deckcall: {exc}; replies are shown only", file=sys.stderr)
        return Aloud(None, None)
    return Aloud(speaker, voice, keys.are_waiting, tones=said.tones)


def _tell(args: Arguments, found: Settings, aloud: "Aloud", keys: "Keys") -> None:
    """Say on standard error how to talk to it."""
    if args.source is not None:
        return
    pressed = " or press space" if keys.descriptor is not None else ""
    ends = "; q ends" if keys.descriptor is not None else "; Ctrl-C ends"
    print(f'Say "{found.listen.wake}"{pressed}, then the call{ends}.', file=sys.stderr)
    if aloud.speaker is not None and aloud.voice is None and found.listen.voice != "off":
        print(
            "No voice is installed: replies are shown only (espeak-ng reads them).", file=sys.stderr
        )
