"""Recordings as phones' own recorders write them: M4A, MP4 and 3GP, WebM, AMR, CAF.

Decoded by PyAV (FFmpeg's libraries, inside its wheel). What a file says of itself decides the demuxer and
no other is tried, so nothing but these containers is ever opened by it. Knows nothing of speech.
"""

from io import BytesIO
from typing import Final

import numpy as np
import numpy.typing as npt

from bot.recording import format_of

Floats = npt.NDArray[np.float32]

MOST_A_SECOND: Final = 400_000
"""Samples of all channels in a second; stereo at 192 kHz has 384 000."""


def refuse_flood(rate: int, channels: int) -> None:
    """Raise ValueError where a second holds more than microphones give: a small file can claim any amount."""
    if rate * channels > MOST_A_SECOND:
        raise ValueError(f"{channels} channels of {rate} Hz")


def container(data: bytes) -> tuple[str, str] | None:
    """Return demuxer and name of a phone's container; None where it is none of them."""
    found = format_of(data)
    return (found.demuxer, found.called) if found is not None and found.demuxer else None


def decode(data: bytes, demuxer: str, max_s: float) -> tuple[Floats, int]:
    """Return samples (frames, channels) and their rate, reading little more than the limit.

    Raises ValueError where there is no sound in it or it is damaged.
    """
    import av

    try:
        with av.open(BytesIO(data), "r", format=demuxer) as file:
            if not file.streams.audio:
                raise ValueError("no sound in it")
            stream = file.streams.audio[0]
            rate = int(stream.rate)
            refuse_flood(rate, int(stream.channels))
            resampler = av.AudioResampler(format="fltp")
            blocks: list[Floats] = []
            frames = 0
            for frame in file.decode(stream):
                for block in resampler.resample(frame):
                    blocks.append(block.to_ndarray().astype(np.float32).T)
                    frames += block.samples
                if frames > max_s * rate:
                    break
    except (av.error.FFmpegError, EOFError, IndexError, OSError) as exc:
        raise ValueError(str(exc)) from exc
    return (np.concatenate(blocks) if blocks else np.zeros((0, 1), np.float32)), rate
