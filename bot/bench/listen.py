"""`python -m bot.bench listen`: an hour of made-up wheelhouse sound through the hands-free ear.

Reports false wakes an hour and what they were, missed wakes by ratio of speech to noise, what became of the
calls, and the time from the end of a call to the start of the answer: the wait for the pause, as the stream
goes, and the computing, by the clock. `--tune` says what other strictnesses would give, on the voices and
noises that the report does not use; `--vad` compares voice detectors.
"""

import argparse
import statistics
import time
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from bot.bench.corpus import corpus_language
from bot.bench.hear_run import calls_taken
from bot.bench.hear_sample import read_jsgf
from bot.bench.listen_data import SNRS_DB, Hour, SpokenCall, hour
from bot.calls.language import Language
from bot.calls.understand import understand
from bot.fittings import ear_grammar
from bot.messages import Button, Message, Reply
from bot.settings.values import ListenSettings
from bot.speech.audio import Pcm, to_pcm
from bot.speech.sphinx_engine import SphinxEngine
from bot.speech.spotter import SecondOpinion, SphinxSpotter, WakeHit, is_phrase
from bot.speech.voice_activity import open_detector
from bot.transcript import HearingResult, Transcript, typed_transcript
from bot.transports.listen.aloud import Aloud
from bot.transports.listen.run import AGAIN, Clock, Listener
from bot.transports.listen.sources import Block, recorded_blocks
from bot.transports.listen.watch import Step, Timing, Watch

SEED, TUNING_SEED = 2, 1
NEAR_S = 0.7
"""A wake within so many seconds of the end of a phrase is one."""
_BEGUN = datetime(2026, 1, 1, tzinfo=UTC)
_STRICTNESSES = (0.4, 0.6, 0.8, 0.9, 1.0, 1.1, 1.2, 1.4, 1.6)
_BECAME = ("right+done", "right+asked", "wrong+asked", "WRONG+DONE", "refused", "not taken")
_YES = (Button("Yes", "yes"),)


def main(argv: list[str]) -> int:
    """Run the bench and print its tables."""
    parser = argparse.ArgumentParser(prog="python -m bot.bench listen", description=__doc__)
    parser.add_argument("--seed", type=int)
    parser.add_argument("--minutes", type=float, default=60)
    parser.add_argument("--strictness", type=float, default=ListenSettings().strictness)
    parser.add_argument("--tune", action="store_true")
    parser.add_argument("--vad", action="store_true")
    args = parser.parse_args(argv)
    words = corpus_language()
    grammar = ear_grammar(words)
    parts = ("fit", "choose") if args.tune or args.vad else ("test",)
    seed = args.seed or (TUNING_SEED if args.tune or args.vad else SEED)
    phrase = ListenSettings().wake
    played = hour(phrase, read_jsgf(grammar.jsgf), seed, parts, args.minutes * 60)
    print(f'"{phrase}", {args.minutes:g} min, seed {seed}, voices and noises of {", ".join(parts)}')
    if args.vad:
        from bot.bench.listen_vad import compare

        compare(played, parts)
    elif args.tune:
        _tune(played, phrase)
    else:
        engine = SphinxEngine()
        engine.prepare(grammar.also("again", AGAIN))
        _report(*_run(played, phrase, args.strictness, engine, words), words)
    return 0


@dataclass(slots=True)
class Stream:
    """The blocks of an hour, and where the stream has come to."""

    pcm: Pcm
    now_s: float = 0.0

    def __iter__(self) -> Iterator[Block]:
        for block in recorded_blocks(self.pcm):
            self.now_s = block.end_s
            yield block


@dataclass(frozen=True, slots=True)
class Wake:
    """The phrase was found."""

    at_s: float
    """Where in the stream it ended."""
    now_s: float
    took_s: float


@dataclass(frozen=True, slots=True)
class Call:
    """What was taken as a call, and what became of it."""

    start_s: float
    now_s: float
    took_s: float
    heard: HearingResult
    outcome: str


@dataclass(slots=True)
class TimedStage:
    """Stands between the loop and the spotter and the engine, and takes the time."""

    stream: Stream
    spotter: SphinxSpotter
    engine: SphinxEngine
    words: Language
    calls: list[Call] = field(default_factory=list)
    look_took_s: float = 0.0

    def find(self, pcm: Pcm) -> WakeHit | None:
        """Look through a stretch."""
        start = time.perf_counter()
        found = self.spotter.find(pcm)
        self.look_took_s = time.perf_counter() - start
        return found

    def hear(self, message: Message) -> HearingResult:
        """Hear a recording with the engine, as the desk's ear does."""
        start = time.perf_counter()
        heard = self.engine.transcribe(to_pcm(message.sound or b""))
        _, outcome = calls_taken(heard, self.words)
        took_s = time.perf_counter() - start
        at_s = (message.at - _BEGUN).total_seconds()
        self.calls.append(Call(at_s, self.stream.now_s, took_s, heard, outcome))
        return heard

    def answer(self, _message: Message, _heard: HearingResult) -> Reply:
        """Answer as the desk would: something, a question, or nothing."""
        outcome = self.calls[-1].outcome
        if outcome == "refused":
            return Reply("")
        return Reply("heard", "heard", ({},), buttons=_YES if outcome == "asked" else ())


class TimedWatch(Watch):
    """Remembers when it was woken."""

    def __init__(self, parts: TimedStage) -> None:
        super().__init__(Timing())
        self.parts, self.wakes = parts, list[Wake]()

    def wake(self, phrase_end_s: float, voiced_after_s: float, now_s: float) -> tuple[Step, ...]:
        """Take a wake."""
        self.wakes.append(Wake(phrase_end_s, now_s, self.parts.look_took_s))
        return super().wake(phrase_end_s, voiced_after_s, now_s)


def _run(
    played: Hour, phrase: str, strictness: float, engine: SphinxEngine, words: Language
) -> tuple[list[Wake], list[Call], Hour]:
    """Play the hour; nothing sounds, so the ear is never deaf."""
    stream = Stream(played.pcm)
    parts = TimedStage(stream, SphinxSpotter(phrase, strictness), engine, words)
    watch = TimedWatch(parts)
    clock = Clock(lambda s: _BEGUN + timedelta(seconds=s))
    ear = Listener(
        "Skipper", watch, open_detector(), parts, parts, Aloud(None, None), clock, _silent
    )
    return watch.wakes, parts.calls, _played(ear, stream, played)


def _silent(_text: str) -> None:
    """Show nothing."""


def _played(ear: Listener, stream: Stream, played: Hour) -> Hour:
    """Play the hour, or as much of it as there is time for: Ctrl-C ends it; return what was played."""
    try:
        ear.hear_all(stream)
    except KeyboardInterrupt:
        print(f"ended after {stream.now_s / 60:.1f} min")
    until_s = stream.now_s
    said = tuple(one for one in played.said if one.end_s < until_s - 2)
    return Hour(played.pcm.slice(0, until_s), said)


def _report(wakes: list[Wake], calls: list[Call], played: Hour, words: Language) -> None:
    said = [one for one in played.said if one.kind == "wake"]
    found = {
        one: next((w for w in wakes if abs(w.at_s - one.woken_s) < NEAR_S), None) for one in said
    }
    false = [w for w in wakes if not any(abs(w.at_s - one.woken_s) < NEAR_S for one in said)]
    hours = played.pcm.seconds / 3600
    kinds = Counter(_during(w.at_s, played.said) for w in false)
    told = ", ".join(f"{kind} {n}" for kind, n in kinds.most_common()) or "none"
    print(f"false wakes an hour: {len(false) / hours:.1f} ({told})")
    print("   dB phrases missed, calls:" + "".join(f"{name:>13}" for name in _BECAME))
    waits: list[float] = []
    used: set[int] = set()
    for snr in SNRS_DB:
        rows = [one for one in said if one.snr_db == snr]
        count = Counter[str]()
        for one in rows:
            wake = found[one]
            if wake is None:
                continue
            call = next((c for c in calls if wake.at_s - 0.1 <= c.start_s < one.end_s), None)
            if call is None:
                count["not taken"] += 1
                continue
            used.add(id(call))
            waits.append(_wait(one, wake, call))
            count[_became(one, call, words)] += 1
        missed = sum(found[one] is None for one in rows)
        shares = "".join(f"{count[name]:13d}" for name in _BECAME)
        print(f"  {snr:3.0f} {len(rows):7d} {missed:6d}        {shares}")
    besides = [c for c in calls if id(c) not in used]
    other = Counter(c.outcome for c in besides)
    print("taken besides (after false wakes, and what was said next): "
          + (", ".join(f"{name} {n}" for name, n in other.most_common()) or "none"))  # fmt: skip
    for taken_too in besides:
        if taken_too.outcome == "logged" and isinstance(taken_too.heard, Transcript):
            print(f"  logged: {taken_too.heard.best!r}; said: {_around(taken_too, played.said)}")
    if waits:
        waits.sort()
        print(f"end of call to start of answer: median {statistics.median(waits):.2f} s,"
              f" 95 % {waits[int(0.95 * len(waits))]:.2f} s")  # fmt: skip


def _around(call: Call, said: Iterable[SpokenCall]) -> str:
    """Return what was said while a call was taken."""
    heard = (one for one in said if one.start_s < call.now_s and one.end_s > call.start_s)
    return ", ".join(f"{one.text!r} ({one.kind})" for one in heard) or "nothing"


def _wait(said: SpokenCall, wake: Wake, call: Call) -> float:
    """Return the seconds from the end of a call to the start of its answer."""
    ready_s = max(call.now_s, wake.now_s + wake.took_s)
    return ready_s + call.took_s - said.end_s


def _became(said: SpokenCall, call: Call, words: Language) -> str:
    calls, outcome = (
        calls_taken(call.heard, words) if isinstance(call.heard, Transcript) else ((), "refused")
    )
    if outcome == "refused":
        return "refused"
    right = calls == understand(typed_transcript(said.text), words).calls
    if outcome == "asked":
        return "right+asked" if right else "wrong+asked"
    return "right+done" if right else "WRONG+DONE"


def _during(at_s: float, said: Iterable[SpokenCall]) -> str:
    return next((s.kind for s in said if s.start_s - 0.3 <= at_s <= s.end_s + 0.5), "noise")


class NullSpotter(SphinxSpotter):
    """Finds nothing, and remembers how well every proposal fitted."""

    def __init__(self, phrase: str, stream: Stream) -> None:
        super().__init__(phrase)
        self._stream = stream
        self.proposals: list[tuple[float, SecondOpinion]] = []

    def find(self, pcm: Pcm) -> WakeHit | None:
        """Look through a stretch; `watch` is told that it slept."""
        if self._network is not None:
            proposed = [self.judge(pcm, end_s, self._network) for end_s in self.proposed_ends(pcm)]
            for found in (*proposed, self.best_fit(pcm, self._network)):
                at_s = self._stream.now_s - pcm.seconds + found.at_s
                self.proposals.append((at_s, found))
        return None


def _tune(played: Hour, phrase: str) -> None:
    """Say for several strictnesses what would be found; an ear that never wakes hears the whole hour."""
    stream = Stream(played.pcm)
    spotter = NullSpotter(phrase, stream)
    parts = TimedStage(stream, spotter, None, None)  # type: ignore[arg-type]
    clock = Clock(lambda s: _BEGUN + timedelta(seconds=s))
    ear = Listener(
        "", Watch(Timing()), open_detector(), spotter, parts, Aloud(None, None), clock, _silent
    )
    played = _played(ear, stream, played)
    said = [one for one in played.said if one.kind == "wake"]
    print(
        f"{len(spotter.proposals)} proposals; strictness, missed of {len(said)} by dB, false an hour"
    )
    for strictness in _STRICTNESSES:
        woke = [at_s for at_s, found in spotter.proposals if is_phrase(found, strictness)]
        missed = [s for s in said if not any(abs(at_s - s.woken_s) < 1.0 for at_s in woke)]
        false = _apart(at for at in woke if not any(s.start_s < at < s.woken_s + 1 for s in said))
        by = ", ".join(
            f"{snr:.0f}: {sum(s.snr_db == snr for s in missed)}/{sum(s.snr_db == snr for s in said)}"
            for snr in SNRS_DB
        )
        kinds = Counter(_during(at_s, played.said) for at_s in false)
        rate = len(false) * 3600 / played.pcm.seconds
        print(f"  {strictness:.1f}  missed {len(missed)} ({by})  false {rate:.1f} {dict(kinds)}")


def _apart(times: Iterable[float]) -> list[float]:
    """Count what lies within two seconds once."""
    found: list[float] = []
    for at_s in sorted(times):
        if not found or at_s - found[-1] > 2:
            found.append(at_s)
    return found
