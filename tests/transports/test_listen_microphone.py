"""The program at a virtual microphone: a null sink of PulseAudio, whose monitor is what it hears."""

import importlib.util
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import soundfile

from bot.bench.hear_noise import RATE, add_noise, diesel
from bot.bench.hear_voices import BY_NAME, speak

PROGRAMS = ("pulseaudio", "pactl", "paplay", "espeak-ng", "flite")


def _missing() -> str:
    """Return why there is no virtual microphone here; empty where there is one."""
    absent = [name for name in PROGRAMS if shutil.which(name) is None]
    if absent:
        return f"not installed: {', '.join(absent)}"
    if importlib.util.find_spec("sounddevice") is None:
        return "the extra `microphone` (sounddevice) is not installed"
    try:
        importlib.import_module("sounddevice")
    except OSError:
        return "the PortAudio library is not installed"
    return ""


pytestmark = pytest.mark.skipif(bool(_missing()), reason=_missing())


@pytest.fixture
def sound_server(tmp_path: Path) -> Iterator[dict[str, str]]:
    """Run a server of our own with two sinks, `helm` and `speaker`; gives the environment to reach it."""
    runtime = Path(os.environ.get("TMPDIR", "/tmp")) / f"pa-{os.getpid()}-{tmp_path.name[-3:]}"
    runtime.mkdir(mode=0o700, exist_ok=True)
    (tmp_path / ".asoundrc").write_text(
        "pcm.!default { type pulse }\nctl.!default { type pulse }\n"
    )
    env = os.environ | {
        "XDG_RUNTIME_DIR": str(runtime), "HOME": str(tmp_path),
        "PULSE_SOURCE": "helm.monitor", "PULSE_SINK": "speaker",
    }  # fmt: skip
    sinks = [f"-Lmodule-null-sink sink_name={name}" for name in ("helm", "speaker")]
    server = subprocess.Popen(
        ["pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1",
         "-Lmodule-native-protocol-unix", *sinks],
        env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    try:
        for _ in range(100):
            if subprocess.run(["pactl", "info"], env=env, capture_output=True).returncode == 0:
                break
            time.sleep(0.1)
        else:
            pytest.skip("pulseaudio does not start here")
        yield env
    finally:
        server.terminate()
        server.wait(10)
        shutil.rmtree(runtime, ignore_errors=True)


def played(path: Path, *said: tuple[str, float], voice: str = "rms") -> Path:
    """Write what is said at the helm, each with so many seconds of silence after it, over an engine."""
    pieces = [np.zeros(RATE // 2)]
    for text, after_s in said:
        pieces += [speak(text, BY_NAME[voice]), np.zeros(int(after_s * RATE))]
    speech = np.concatenate(pieces)
    sound = add_noise(speech, diesel(len(speech), np.random.default_rng(5)), 20.0)
    soundfile.write(path, 0.5 * sound / np.max(np.abs(sound)), RATE)
    return path


class Helm:
    """The program, running; what it shows is read from a file."""

    def __init__(self, home: Path, env: dict[str, str], *words: str) -> None:
        self.out = home / "shown.txt"
        self._file = self.out.open("w")
        self.process = subprocess.Popen(
            [sys.executable, "-u", "-m", "bot", "listen", "--home", str(home), *words],
            env=env, stdout=self._file, stderr=subprocess.STDOUT, stdin=subprocess.DEVNULL,
        )  # fmt: skip

    def waits_for(self, text: str, seconds: float = 90.0) -> str:
        ends = time.monotonic() + seconds
        while time.monotonic() < ends and text not in self.out.read_text():
            assert self.process.poll() is None, self.out.read_text()
            time.sleep(0.2)
        shown = self.out.read_text()
        assert text in shown, shown
        return shown

    def __enter__(self) -> "Helm":
        return self

    def __exit__(self, *_exc: object) -> None:
        self.process.terminate()
        self.process.wait(20)
        self._file.close()


def test_a_call_at_the_microphone_is_logged_where_it_is_doubtful_after_a_yes(
    tmp_path: Path, sound_server: dict[str, str]
) -> None:
    call = played(tmp_path / "call.wav", ("barnacle biscuit", 0.15), ("lines in", 2.0))
    yes = played(tmp_path / "yes.wav", ("yes", 2.0))
    with Helm(tmp_path, sound_server, "--quiet") as helm:
        helm.waits_for("barnacle biscuit")
        subprocess.run(["paplay", "--device=helm", str(call)], env=sound_server, check=True)
        if "(say yes or no)" in helm.waits_for('"lines in"'):
            subprocess.run(["paplay", "--device=helm", str(yes)], env=sound_server, check=True)
        helm.waits_for("Lines in,")


def test_it_answers_aloud_and_does_not_take_its_own_voice_for_an_answer(
    tmp_path: Path, sound_server: dict[str, str]
) -> None:
    """Microphone and loudspeaker are the same sink: all that it says comes back to it at full strength."""
    echo = sound_server | {"PULSE_SINK": "helm"}
    kept = tmp_path / "heard.wav"
    sound = played(tmp_path / "said.wav", ("barnacle biscuit", 0.15), ("lines in", 2.0))
    with Helm(tmp_path, echo) as helm:
        helm.waits_for("barnacle biscuit")
        with kept.open("wb") as file:
            record = subprocess.Popen(
                ["parec", "--device=helm.monitor", "--file-format=wav", "--rate=16000", "--channels=1"],
                env=echo, stdout=file,
            )  # fmt: skip
        subprocess.run(["paplay", "--device=helm", str(sound)], env=echo, check=True)
        helm.waits_for('"lines in"')
        time.sleep(14)  # the answer is read out, and nothing comes of it
        record.terminate()
        record.wait(10)
        shown = helm.out.read_text()
    assert shown.count('"') == 4, shown  # the phrase at the start, and one call
    assert "not understood" not in shown
    heard, rate = soundfile.read(kept)
    after = heard[int((soundfile.info(sound).duration - 1.5) * rate) :]
    power = np.abs(np.fft.rfft(after)) ** 2
    hertz = np.fft.rfftfreq(len(after), 1 / rate)
    in_tone = power[(hertz > 2550) & (hertz < 2700)].sum()
    assert in_tone > 5 * power[(hertz > 2850) & (hertz < 3000)].sum()  # the tone "done" was heard
    assert power[(hertz > 200) & (hertz < 1500)].sum() > 0  # and a voice
