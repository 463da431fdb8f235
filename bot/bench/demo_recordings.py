"""Make the recordings of fixtures/demo from its table of the day; run by hand, not by tests.

`python -m bot.bench.demo_recordings FOLDER` reads FOLDER/day.jsonl and writes the file that each line names.
"""

import json
import sys
from pathlib import Path

import numpy as np

from bot.bench.hear_fixtures import opus
from bot.bench.hear_noise import NOISES, RATE, add_noise
from bot.bench.hear_voices import BY_NAME, speak

SILENCE_S = 0.4


def main(argv: list[str]) -> int:
    """Write the recordings of a day into its folder."""
    folder = Path(argv[0])
    for line in (folder / "day.jsonl").read_text(encoding="utf-8").splitlines():
        told = json.loads(line)
        if "sound" in told:
            sound = make_recording(told["said"], told["voice"], told["noise"], told["snr_db"])
            (folder / told["sound"]).write_bytes(sound)
    return 0


def make_recording(said: str, voice: str, noise: str, snr_db: float, seed: int = 7) -> bytes:
    """Return a call in a voice over a noise, as OGG/Opus."""
    silence = round(SILENCE_S * RATE)
    speech = np.pad(speak(said, BY_NAME[voice]), (silence, silence))
    sound = add_noise(speech, NOISES[noise](len(speech), np.random.default_rng(seed)), snr_db)
    return opus(sound * 0.6 / np.max(np.abs(sound)))


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
