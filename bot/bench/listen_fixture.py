"""Make fixtures/helm/helm.ogg, some seconds at the helm; run once, by hand, not by tests.

`python -m bot.bench.listen_fixture FILE`: the wake phrase, a tone's wait, a call; talk; the phrase and a
call in one breath; a call without the phrase; the phrase and "say again".
"""

import sys
from pathlib import Path

import numpy as np

from bot.bench.hear_fixtures import opus
from bot.bench.hear_noise import RATE, add_noise, diesel
from bot.bench.hear_voices import BY_NAME, speak

# (voice, said, silence after it in seconds)
SAID: tuple[tuple[str, str, float], ...] = (
    ("rms", "barnacle biscuit", 1.0),
    ("rms", "lines in", 1.3),
    ("slt", "pass me the coffee please", 0.9),
    ("slt", "barnacle biscuit", 0.15),
    ("slt", "strike short corner", 1.3),
    ("rms", "missed it", 1.0),
    ("rms", "barnacle biscuit", 0.15),
    ("rms", "say again", 1.0),
)


def main(argv: list[str]) -> int:
    """Write the recording."""
    pieces = [np.zeros(RATE // 2)]
    for voice, said, after_s in SAID:
        pieces += [speak(said, BY_NAME[voice]), np.zeros(int(after_s * RATE))]
    speech = np.concatenate(pieces)
    sound = add_noise(speech, diesel(len(speech), np.random.default_rng(5)), 20.0)
    Path(argv[0]).write_bytes(opus(0.6 * sound / np.max(np.abs(sound))))
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
