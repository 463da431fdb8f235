"""The hands-free ear: the loop with scripted parts, and the whole program on a recording."""

import io
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
import soundfile
import soxr

from bot.errors import LogbookError
from bot.messages import Button, Message, Reply
from bot.speech.audio import Pcm
from bot.speech.spotter import WakeHit
from bot.speech.voice_activity import BLOCK, BLOCK_S
from bot.transcript import Alternative, HearingResult, Transcript
from bot.transports.listen.aloud import Aloud, Stop
from bot.transports.listen.keys import Keys
from bot.transports.listen.run import Clock, Listener
from bot.transports.listen.sources import Block, piped_blocks, recorded_blocks
from bot.transports.listen.tones import NOTES_HZ, RATE, Samples, tone, without
from bot.transports.listen.watch import Timing, Tone, Watch
from tests.cli.run import run as command
from tests.speech.recordings import recording

HELM = Path(__file__).parents[2] / "fixtures" / "helm" / "helm.ogg"
BEGUN = datetime(2026, 3, 1, 6, 0, tzinfo=UTC)
PHRASE, CALL, TALK, NEARLY = 1000, 2000, 3000, 4000
"""Loudness of what is said: the scripted parts know it by that."""


class LoudDetector:
    name = "scripted"

    def share(self, block: Pcm) -> float:
        return float(np.max(block.samples) > 0)


class LoudSpotter:
    """Finds the phrase where the sound is as loud as that, and counts how often it is asked."""

    asked = 0

    def find(self, pcm: Pcm) -> WakeHit | None:
        LoudSpotter.asked += 1
        at = np.flatnonzero((pcm.samples == PHRASE) | (pcm.samples == NEARLY))
        if not len(at):
            return None
        return WakeHit(float(at[-1] + 1) / 16_000, bool((pcm.samples == PHRASE).any()))


@dataclass
class ScriptedAnswers:
    """Hears and answers what the test says, in turn."""

    heard: list[str]
    replies: list[Reply | Exception]
    messages: list[Message] = field(default_factory=list)

    def hear(self, message: Message) -> HearingResult:
        self.messages.append(message)
        return Transcript((Alternative(self.heard.pop(0), 1.0),), "scripted", 1.0, {"accept": 1.0})

    def answer(self, message: Message, heard: HearingResult) -> Reply:
        assert message in self.messages
        assert isinstance(heard, Transcript)
        reply = self.replies.pop(0)
        if isinstance(reply, Exception):
            raise reply
        return reply


@dataclass
class Spoken:
    """A loudspeaker and a voice that remember; time passes while they sound."""

    clock: list[float]
    said: list[str] = field(default_factory=list)
    takes_s: float = 2.0

    def speak(self, text: str) -> Samples:
        self.said.append(text)
        return np.ones(int(self.takes_s * RATE), np.float32)

    def play(self, samples: Samples, stop: Stop) -> None:
        assert not stop()
        if samples.max() < 1:
            self.said.append("<tone>")
        self.clock[0] += len(samples) / RATE


def stream(clock: list[float], *parts: tuple[float, int]) -> Iterator[Block]:
    """Yield blocks of so many seconds of so loud a sound, as a microphone would: time goes on by itself."""
    level = np.repeat([loud for _, loud in parts], [round(s / BLOCK_S) for s, _ in parts])
    for number, loud in enumerate(level):
        end_s = (number + 1) * BLOCK_S
        clock[0] = max(clock[0], end_s)
        yield Block(end_s - BLOCK_S, Pcm(np.full(BLOCK, loud, np.int16)))


def listener(
    answers: ScriptedAnswers, shown: list[str], clock: list[float], aloud: Aloud
) -> Listener:
    timing = Timing(open_s=6.0, pause_s=0.8, wake_pause_s=0.5)
    times = Clock(lambda s: BEGUN + timedelta(seconds=s), lambda: clock[0])
    return Listener(
        "Skipper", Watch(timing), LoudDetector(), LoudSpotter(), answers, aloud, times, shown.append
    )  # fmt: skip


STRIKE = Reply(
    "Strike, short corner.", "Strike.", ({"act": "strike"},), heard="strike short corner"
)
ASKED = Reply("Was that missed?", "Was that missed?", ({"act": "miss"},), ask="Was that missed?",
              buttons=(Button("Yes", "yes"), Button("No", "no")))  # fmt: skip
NOTHING = Reply("")


def run(
    replies: list[Reply | Exception], heard: list[str], *parts: tuple[float, int]
) -> tuple[list[str], list[str], ScriptedAnswers]:
    """Play a stream to the ear; gives what was shown, what sounded, and what was asked."""
    shown: list[str] = []
    clock = [0.0]
    spoken = Spoken(clock)
    answers = ScriptedAnswers(heard, replies)
    listener(answers, shown, clock, Aloud(spoken, spoken)).hear_all(stream(clock, *parts))
    return shown, spoken.said, answers


def test_a_call_after_the_phrase_and_the_tone_is_answered_on_the_screen_and_aloud() -> None:
    shown, said, answers = run(
        [STRIKE], ["strike short corner"], (1, 0), (1, PHRASE), (2, 0), (2, CALL), (5, 0)
    )
    assert shown == ['"strike short corner"\nStrike, short corner.']
    assert said == ["<tone>", "<tone>", "Strike."]
    (message,) = answers.messages
    assert message.source == "microphone"
    assert message.at - BEGUN == pytest.approx(timedelta(seconds=3.7), abs=timedelta(seconds=0.2))
    samples, _ = soundfile.read(io.BytesIO(message.sound or b""), dtype="int16")
    assert CALL in samples
    assert PHRASE not in samples
    assert len(samples) / 16_000 == pytest.approx(2.6, abs=0.2)


def test_talk_without_the_phrase_reaches_neither_ear_nor_desk() -> None:
    before = LoudSpotter.asked
    shown, said, answers = run([], [], (1, 0), (3, TALK), (2, 0), (6, TALK), (2, 0))
    assert (shown, said, answers.messages) == ([], [], [])
    assert LoudSpotter.asked - before == 2  # each stretch is looked through once


def test_a_question_is_answered_without_the_phrase() -> None:
    shown, _, answers = run(
        [ASKED, STRIKE], ["missed", "yes"],
        (1, 0), (1, PHRASE), (2, 0), (1, CALL), (6, 0), (0.5, CALL), (3, 0),
    )  # fmt: skip
    assert len(answers.messages) == 2
    assert "(say yes or no)" in shown[0]
    assert shown[1].endswith("Strike, short corner.")


def test_what_follows_a_doubtful_phrase_is_doubted_but_not_the_answer_to_a_question() -> None:
    _, _, answers = run(
        [ASKED, STRIKE, STRIKE], ["missed", "yes", "strike"],
        (1, 0), (1, NEARLY), (2, 0), (1, CALL), (6, 0), (0.5, CALL), (9, 0), (1, PHRASE), (2, 0),
        (1, CALL), (3, 0),
    )  # fmt: skip
    assert [message.doubtful for message in answers.messages] == [True, False, False]


def test_it_does_not_hear_what_it_says_itself() -> None:
    # The question takes 2 s to say; the microphone hears it as loud as a call.
    shown, _, answers = run(
        [ASKED], ["missed"], (1, 0), (1, PHRASE), (2, 0), (1, CALL), (1, 0), (2, TALK), (9, 0)
    )
    assert len(answers.messages) == 1
    assert len(shown) == 1


def test_a_call_that_begins_under_the_tone_is_heard_whole() -> None:
    shown, said, answers = run(
        [STRIKE], ["strike short corner"], (1, 0), (1, PHRASE), (0.56, 0), (2, CALL), (5, 0)
    )
    (message,) = answers.messages
    samples, _ = soundfile.read(io.BytesIO(message.sound or b""), dtype="int16")
    assert said[0] == "<tone>"
    assert shown
    assert np.sum(samples > CALL / 2) == pytest.approx(2 * 16_000, abs=400)


def test_say_again_repeats_the_last_reply_and_logs_nothing() -> None:
    parts = (1, 0), (1, PHRASE), (2, 0), (1, CALL), (5, 0)
    shown, said, answers = run([STRIKE], ["strike short corner", "say again"], *parts, *parts)
    assert answers.replies == []
    assert shown[1] == "Strike, short corner."
    assert said.count("Strike.") == 2


def test_what_is_to_be_said_unasked_is_said_every_so_often_but_never_into_a_call() -> None:
    shown: list[str] = []
    clock = [0.0]
    spoken = Spoken(clock)
    waiting = [["Check the lures for weed."], [], ["Sunset 20:24, in 30 min."]]
    asked_s: list[float] = []

    def unasked() -> list[str]:
        asked_s.append(clock[0])
        return waiting.pop(0) if waiting else []

    ear = listener(ScriptedAnswers(["strike"], [STRIKE]), shown, clock, Aloud(spoken, spoken))
    ear.unasked = unasked
    # the phrase is said at 39 s, and the ear is open when it would be asked again at 40 s
    ear.hear_all(stream(clock, (39, 0), (1, PHRASE), (2, 0), (2, CALL), (5, 0)))

    assert shown[0] == "Check the lures for weed."
    assert shown[1].endswith("Strike, short corner.")
    assert shown[2] == "Sunset 20:24, in 30 min."
    assert [text for text in spoken.said if "<" not in text] == [
        "Check the lures for weed.", "Strike.", "Sunset 20:24, in 30 min.",
    ]  # fmt: skip
    assert [round(second) for second in asked_s[:2]] == [0, 20]
    assert asked_s[2] > 44


def test_what_is_not_understood_may_be_said_once_more_and_no_oftener() -> None:
    again = (3, 0), (1, CALL), (3, 0)
    shown, _, answers = run(
        [NOTHING, NOTHING], ["", ""], (1, 0), (1, PHRASE), (2, 0), (1, CALL), *again, *again, (9, 0)
    )
    assert shown == ["(not understood)"] * 2
    assert len(answers.messages) == 2


def test_a_failure_is_shown_and_said_and_the_ear_goes_on() -> None:
    parts = (1, 0), (1, PHRASE), (2, 0), (1, CALL), (12, 0)
    shown, _, _ = run(
        [LogbookError("the disk is full"), ValueError("x"), STRIKE], ["a", "b", "c"], *parts * 3
    )
    assert shown[0] == "Not done: the disk is full"
    assert "not your fault" in shown[1]
    assert shown[2].endswith("Strike, short corner.")


def test_a_key_opens_the_ear_without_the_phrase_and_q_ends() -> None:
    shown: list[str] = []
    clock = [0.0]
    answers = ScriptedAnswers(["strike short corner"], [STRIKE])
    ear = listener(answers, shown, clock, Aloud(None, None))
    ear.keys = Keys(waiting=[" "])

    def blocks() -> Iterator[Block]:
        for block in stream(clock, (2, 0), (2, CALL), (3, 0), (2, TALK), (2, 0)):
            if block.at_s >= 8:
                ear.keys.waiting.append("q")
            yield block

    ear.hear_all(blocks())
    assert shown == ['"strike short corner"\nStrike, short corner.']
    assert len(answers.messages) == 1
    assert clock[0] < 8.1


def test_a_key_pressed_while_a_call_is_said_cuts_nothing_off() -> None:
    shown: list[str] = []
    clock = [0.0]
    answers = ScriptedAnswers(["strike short corner"], [STRIKE])
    ear = listener(answers, shown, clock, Aloud(None, None))
    ear.keys = Keys(waiting=[" "])

    def blocks() -> Iterator[Block]:
        for block in stream(clock, (2, 0), (2, CALL), (3, 0)):
            if block.at_s == pytest.approx(3.0):
                ear.keys.waiting.append(" ")
            yield block

    ear.hear_all(blocks())
    (message,) = answers.messages
    samples, _ = soundfile.read(io.BytesIO(message.sound or b""), dtype="int16")
    assert np.sum(samples == CALL) == 2 * 16_000


@pytest.mark.skipif(sys.platform == "win32", reason="no terminal of this kind on Windows")
def test_keys_are_read_from_a_terminal_without_waiting_for_a_line() -> None:
    import tty

    ours, theirs = os.openpty()
    try:
        tty.setcbreak(theirs)
        keys = Keys(theirs)
        assert (keys.are_waiting(), keys.take()) == (False, "")
        os.write(ours, b" q")
        assert keys.are_waiting()
        assert [keys.take() for _ in range(3)] == [" ", "q", ""]
    finally:
        os.close(ours)
        os.close(theirs)


def test_the_tones_differ_and_lie_where_an_engine_does_not() -> None:
    """Common practice, no source: alarms meant to be heard over machines lie between 2 and 3 kHz."""
    heard = {name: tone(name) for name in NOTES_HZ}
    assert len({samples.tobytes() for samples in heard.values()}) == 3
    for samples in heard.values():
        power = np.abs(np.fft.rfft(samples)) ** 2
        hertz = np.fft.rfftfreq(len(samples), 1 / RATE)
        assert 2000 <= hertz[int(power.argmax())] <= 3000
        assert power[hertz < 1000].sum() < 0.001 * power.sum()
        assert np.max(np.abs(samples)) <= 1.0
        assert abs(samples[0]) < 0.01 > abs(samples[-1])


@pytest.mark.parametrize("name", list(NOTES_HZ))
def test_a_tone_is_taken_out_and_the_voice_stays(name: Tone) -> None:
    """Through a room: a straight way and a tail that dies away within a quarter of a second."""
    tail = np.random.default_rng(1).normal(0, 0.15, 4000) * np.exp(-np.arange(4000) / 580)
    tail[64] = 1.0
    heard = np.convolve(np.pad(soxr.resample(tone(name), RATE, 16_000), (333, 4000)), tail) * 9000
    alone = heard[: len(heard) // BLOCK * BLOCK].astype(np.int16)
    voice = recording("strike_long_rigger").samples[: len(alone)]

    def taken_out(sound: npt.NDArray[np.int16]) -> npt.NDArray[np.float64]:
        blocks = sound.reshape(-1, BLOCK)
        return np.concatenate([without(name, block, 16_000) for block in blocks]).astype(float)

    assert np.std(taken_out(alone)) < 0.1 * np.std(alone)  # 20 dB
    assert np.std(taken_out(voice) - voice) < 0.2 * np.std(voice)


def test_a_recording_and_a_pipe_give_the_same_blocks(tmp_path: Path) -> None:
    samples = np.random.default_rng(1).integers(-9000, 9000, 5 * BLOCK + 100).astype(np.int16)
    raw = tmp_path / "raw"
    raw.write_bytes(samples.astype("<i2").tobytes())
    with raw.open("rb") as file:
        through = list(piped_blocks(file))
    whole = list(recorded_blocks(Pcm(samples)))
    assert [b.at_s for b in through] == pytest.approx([b.at_s for b in whole])
    for one, other in zip(through, whole, strict=True):
        assert np.array_equal(one.pcm.samples, other.pcm.samples)


def deckcall(home: Path, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "bot", *words, "--home", str(home)],
        capture_output=True, text=True, timeout=250,
    )  # fmt: skip


def test_a_recording_from_the_helm_is_logged_answered_and_kept(tmp_path: Path) -> None:
    """Synthetic voices, a made-up engine: two calls after the phrase, one without it, "say again"."""
    done = deckcall(tmp_path, "listen", "--from", str(HELM))
    assert done.returncode == 0, done.stderr
    assert done.stdout.count("Lines in") == 1
    assert done.stdout.count("Strike, short corner.") == 2  # said again
    assert "missed" not in done.stdout.lower()
    exported = command(tmp_path, "export", "--format", "jsonl").stdout.splitlines()
    acts = [row.get("act") for row in map(json.loads, exported)]
    assert [act for act in acts if act in ("lines_in", "strike", "miss")] == ["lines_in", "strike"]
    assert "microphone" in "".join(exported)
    assert len(json.loads(command(tmp_path, "recording", "--json").stdout)["recordings"]) == 2


@pytest.mark.parametrize(
    ("setting", "said"),
    [
        ('wake = "hey"', "sounds"),
        ('wake = "a blue marlin"', "part of the call"),
        ('wake = "missed her fish"', "sounds like the call"),
        ('wake = "channel 16"', "plain letters"),
        ("strictness = 9", "between"),
        ('wake = "barnacle biscuit"\nbeep = true', "unknown"),
    ],
)
def test_a_bad_phrase_is_refused_in_one_line(tmp_path: Path, setting: str, said: str) -> None:
    (tmp_path / "deckcall.toml").write_text(f"[listen]\n{setting}\n", encoding="utf-8")
    done = command(tmp_path, "listen", "--from", str(HELM))
    assert done.returncode == 1
    assert said in done.stderr
    assert done.stderr.count("\n") == 1


def test_a_microphone_that_cannot_be_opened_is_one_line(tmp_path: Path) -> None:
    done = deckcall(tmp_path, "listen", "--microphone", "no such device")
    assert (done.returncode, done.stderr.count("\n")) == (1, 1)
    assert "install" in done.stderr or "doctor" in done.stderr


def test_a_file_that_is_not_there_is_one_line(tmp_path: Path) -> None:
    done = command(tmp_path, "listen", "--from", str(tmp_path / "none.ogg"))
    assert (done.returncode, done.stderr.count("\n")) == (1, 1)
