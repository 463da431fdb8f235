"""What the speech tests share: the committed recordings, sounds made on the spot, a small grammar."""

import io
import json
from pathlib import Path
from typing import Any

import av
import numpy as np
import numpy.typing as npt
import soundfile

from bot.speech.audio import SAMPLE_RATE, Pcm, to_pcm
from bot.speech.engine import EngineGrammar

FOLDER = Path(__file__).parents[2] / "fixtures" / "recordings"

SMALL_JSGF = """#JSGF V1.0;
grammar deck;
<colour> = black | blue | purple | pink | green;
<size> = six | seven | eight | nine | ten | twelve;
<lure> = <colour> <size>;
<position> = [the] ((short | long) (corner | rigger) | shotgun);
<fish> = [a] (blue marlin | striped marlin | mahi mahi | yellowfin tuna | wahoo | sailfish);
public <call> = strike [on] <position> [<lure>] | (hooked up | fish on) [<position>] | missed it
  | pulled the hook | (released | boated) <fish> | raised <fish> [<position>]
  | lines (in | out) | clear <position> | set <position> <lure> | trip (start | end)
  | undo that | what next;
"""
PRONUNCIATIONS = (("rigger", "R IH G ER"), ("mahi", "M AA HH IY"))
SMALL = EngineGrammar(jsgf=SMALL_JSGF, pronunciations=PRONUNCIATIONS)


def table() -> list[dict[str, Any]]:
    text = (FOLDER / "index.jsonl").read_text(encoding="utf-8")
    return [json.loads(line) for line in text.splitlines()]


def recording(name: str) -> Pcm:
    return to_pcm((FOLDER / f"{name}.ogg").read_bytes())


def tone(seconds: float, rate: int = SAMPLE_RATE, hertz: float = 440.0) -> npt.NDArray[np.float64]:
    return 0.3 * np.sin(2 * np.pi * hertz * np.arange(int(seconds * rate)) / rate)


def sound_file(
    samples: npt.NDArray[np.float64],
    rate: int = SAMPLE_RATE,
    kind: str = "WAV",
    subtype: str | None = None,
) -> bytes:
    out = io.BytesIO()
    soundfile.write(out, samples, rate, format=kind, subtype=subtype)
    return out.getvalue()


def recorded_by_a_phone(
    samples: npt.NDArray[np.float64], rate: int, container: str, codec: str
) -> bytes:
    """Return a recording in a container of phones, made by FFmpeg."""
    out = io.BytesIO()
    with av.open(out, "w", format=container) as file:
        stream = file.add_stream(codec, rate=rate)
        assert isinstance(stream, av.AudioStream)
        stream.layout = "mono"
        block = np.round(samples * 32767).astype(np.int16)[None, :]
        frame = av.AudioFrame.from_ndarray(block, format="s16", layout="mono")
        frame.sample_rate = rate
        for part in (frame, None):
            for packet in stream.encode(part):
                file.mux(packet)
    return out.getvalue()


def noise(seconds: float, level: float, seed: int = 7) -> npt.NDArray[np.float64]:
    return np.random.default_rng(seed).normal(0, level, int(seconds * SAMPLE_RATE))


def pcm(samples: npt.NDArray[np.float64]) -> Pcm:
    return Pcm(np.round(samples * 32767).clip(-32768, 32767).astype(np.int16))
