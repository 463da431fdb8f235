"""Make the recordings of fixtures/recordings and their table; run once, by hand, not by tests.

`python -m bot.bench.hear_fixtures FOLDER` writes small OGG/Opus files as a messenger sends them.
"""

import io
import json
import sys
from pathlib import Path

import numpy as np
import soundfile

from bot.bench.hear_noise import NOISES, RATE, Sound, add_noise
from bot.bench.hear_voices import BY_NAME, Voice, speak

_KBIT_S = 24
KOREAN = Voice("korean", "espeak-ng", "ko")

# (file, said, voice, noise, dB)
CALLS: tuple[tuple[str, str, str, str, float], ...] = (
    ("strike_long_rigger", "strike long rigger purple eight", "us-man", "diesel", 20),
    ("strike_short_corner", "strike short corner", "rms", "water", 15),
    ("strike_shotgun", "strike shotgun", "slt", "diesel", 15),
    ("strike_short_rigger", "strike on the short rigger blue ten", "awb", "wind", 15),
    ("hooked_up", "hooked up", "us-woman", "diesel", 15),
    ("hooked_up_joe", "hooked up long corner", "joe", "deck", 15),
    ("fish_on", "fish on", "kal", "water", 20),
    ("missed_it", "missed it", "scot", "diesel", 15),
    ("pulled_hook", "pulled the hook", "rp-woman", "wind", 15),
    ("released_blue", "released a blue marlin", "rms", "diesel", 15),
    ("released_mahi", "released a mahi mahi", "us-man", "water", 15),
    ("boated_wahoo", "boated a wahoo", "awb", "diesel", 20),
    ("boated_yellowfin", "boated a yellowfin tuna", "slt", "deck", 15),
    ("raised_striped", "raised a striped marlin long rigger", "joe", "diesel", 15),
    ("clear_short_corner", "clear the short corner", "caribbean", "diesel", 20),
    ("clear_shotgun", "clear the shotgun", "midlands", "water", 15),
    ("lines_in", "lines in", "joe", "diesel", 15),
    ("lines_in_woman", "lines in", "slt", "wind", 15),
    ("lines_out", "lines out", "rms", "deck", 15),
    ("set_long_rigger", "set long rigger black ten", "joe", "wind", 15),
    ("set_short_corner", "set short corner pink nine", "slt", "water", 20),
    ("trip_start", "trip start", "kal", "diesel", 15),
    ("undo", "undo that", "us-man", "water", 15),
    ("what_next", "what next", "awb", "diesel", 15),
    ("oov_sandwich", "did anybody bring the sandwiches from the kitchen", "us-man", "diesel", 20),
    ("oov_weather", "they say the weather turns on thursday afternoon", "slt", "wind", 20),
    ("oov_radio", "switch the radio to channel seventy two please", "joe", "deck", 15),
    ("oov_mother", "my mother is coming to visit us in the spring", "rms", "water", 15),
    ("oov_coffee", "could you pour me another cup of coffee", "awb", "diesel", 15),
    ("oov_engine", "the engine was serviced before christmas", "rp-woman", "diesel", 15),
)
KOREAN_CALLS: tuple[tuple[str, str], ...] = (
    ("ko_hello", "안녕하세요"),
    ("ko_weather", "오늘 날씨 좋다"),
)


def main(argv: list[str]) -> int:
    """Write the recordings into a folder."""
    folder = Path(argv[0])
    folder.mkdir(parents=True, exist_ok=True)
    lines = [_make(folder, number, *call) for number, call in enumerate(CALLS)]
    for file, said in KOREAN_CALLS:
        (folder / f"{file}.ogg").write_bytes(opus(_padded(speak(said, KOREAN))))
        line: dict[str, object] = {
            "file": f"{file}.ogg",
            "said": said,
            "voice": "korean",
            "noise": None,
        }
        lines.append(line | {"snr_db": None})
    text = "".join(json.dumps(line, ensure_ascii=False) + "\n" for line in lines)
    (folder / "index.jsonl").write_text(text, encoding="utf-8")
    return 0


def opus(sound: Sound) -> bytes:
    """Encode as OGG/Opus at about the rate of a messenger's voice message."""
    out = io.BytesIO()
    # libsndfile spreads 6 to 256 kbit/s over its compression level.
    level = 1 - (_KBIT_S - 6) / 250
    clipped = np.clip(sound, -1, 1)
    soundfile.write(out, clipped, RATE, format="OGG", subtype="OPUS", compression_level=level)
    return out.getvalue()


def _make(
    folder: Path, number: int, file: str, said: str, voice: str, noise: str, snr_db: float
) -> dict[str, object]:
    rng = np.random.default_rng(1000 + number)
    speech = _padded(speak(said, BY_NAME[voice]))
    sound = add_noise(speech, NOISES[noise](len(speech), rng), snr_db)
    sound *= 0.6 / np.max(np.abs(sound))
    (folder / f"{file}.ogg").write_bytes(opus(sound))
    return {
        "file": f"{file}.ogg",
        "said": said,
        "voice": voice,
        "noise": noise,
        "snr_db": snr_db,
    }


def _padded(speech: Sound) -> Sound:
    return np.pad(speech, (int(0.4 * RATE), int(0.4 * RATE)))


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
