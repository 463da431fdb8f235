"""What is a recording, in one place: the ear decodes what every transport takes."""

import io
from pathlib import Path
from typing import cast

import av
import numpy as np
import pytest
import soundfile

from bot.messages import Message, Reply
from bot.recording import FORMATS, MEDIA_TYPES, SUFFIXES, format_of, is_recording
from bot.speech.audio import to_pcm
from bot.transports import chat
from bot.transports.telegram.fetching import Fetcher
from bot.transports.telegram.updates import Attachment

PAGE = Path(__file__).parents[1] / "bot" / "transports" / "web" / "page" / "index.html"
WRITTEN = {
    ".wav": ("WAV", "PCM_16"), ".flac": ("FLAC", "PCM_16"), ".ogg": ("OGG", "VORBIS"),
    ".oga": ("OGG", "VORBIS"), ".opus": ("OGG", "OPUS"), ".mp3": ("MP3", "MPEG_LAYER_III"),
    ".caf": ("CAF", "PCM_16"),
}  # fmt: skip
"""Written by libsndfile; the others by FFmpeg, under the names that it has for them."""
MUXED = {
    ".m4a": ("mp4", "aac"), ".3gp": ("3gp", "aac"), ".3gpp": ("3gp", "aac"),
    ".webm": ("webm", "libopus"), ".weba": ("webm", "libopus"),
}  # fmt: skip


def _sound(suffix: str) -> bytes:
    """Return half a second of a tone in a file of this kind."""
    wave = (0.3 * np.sin(np.arange(24_000) * 0.1)).astype(np.float32)
    out = io.BytesIO()
    if suffix in WRITTEN:
        form, subtype = WRITTEN[suffix]
        soundfile.write(out, wave, 48_000, format=form, subtype=subtype)
        return out.getvalue()
    form, codec = MUXED[suffix]
    with av.open(out, "w", format=form) as file:
        stream = cast("av.AudioStream", file.add_stream(codec, rate=48_000))
        frame = av.AudioFrame.from_ndarray(wave[None, :], format="fltp", layout="mono")
        frame.sample_rate = 48_000
        fifo = av.AudioFifo()
        fifo.write(frame)
        for block in [*fifo.read_many(960 if codec == "libopus" else 1024), None]:
            file.mux(stream.encode(block))
    return out.getvalue()


@pytest.mark.parametrize("suffix", sorted({*WRITTEN, *MUXED}))
def test_the_ear_decodes_what_is_called_a_recording(suffix: str) -> None:
    data = _sound(suffix)
    found = format_of(data)

    assert is_recording(f"call{suffix}")
    assert found is not None
    assert suffix in found.suffixes
    assert to_pcm(data, max_s=5).seconds == pytest.approx(0.5, abs=0.1)


def test_every_suffix_but_amr_is_tried_above() -> None:
    # No encoder of AMR comes with PyAV; its mark is that of RFC 4867, section 5.
    assert {*SUFFIXES} - {*WRITTEN, *MUXED} == {".amr"}
    assert format_of(b"#!AMR\n") is FORMATS[6]


@pytest.mark.parametrize(
    ("name", "media_type", "takes"),
    [("call.3gp", "video/3gpp", True), ("call.webm", "video/webm", True), ("call.m4a", "", True),
     ("CALL.MP3", "", True), ("", "audio/x-m4a", True), ("fish.mp4", "video/mp4", False),
     ("box.csv", "text/csv", False), ("report.pdf", "application/pdf", False)],
)  # fmt: skip
def test_telegram_takes_a_recording_that_is_sent_as_a_file(
    name: str, media_type: str, takes: bool
) -> None:
    file = Attachment("id", 1000, media_type, name)
    fetcher = Fetcher(None, 1_000_000, 60.0)  # type: ignore[arg-type]

    assert (fetcher.refusal(file) is None) is takes


@pytest.mark.parametrize("suffix", SUFFIXES)
def test_the_terminal_takes_every_recording(suffix: str, tmp_path: Path) -> None:
    heard: list[Message] = []

    def answer(message: Message) -> Reply:
        heard.append(message)
        return Reply("heard")

    path = tmp_path / f"call{suffix}"
    path.write_bytes(b"sound")
    out = io.StringIO()
    chat.talk(
        answer, crew="Ana", history=tmp_path / "h", stdin=io.StringIO(f"{path}\n"), stdout=out
    )

    assert [(one.sound, one.text) for one in heard] == [(b"sound", None)]


def test_the_page_lets_the_phone_choose_every_recording() -> None:
    # HTML Living Standard, attribute `accept` of a file field
    accept = ",".join(("audio/*", *MEDIA_TYPES, *SUFFIXES))

    assert f'accept="{accept}"' in PAGE.read_text(encoding="utf-8")


def test_a_pipe_hears_an_mp3(tmp_path: Path) -> None:
    from bot import Desk
    from tests.scripted_engine import ScriptedEngine

    path = tmp_path / "call.mp3"
    path.write_bytes(_sound(".mp3"))
    out = io.StringIO()
    with Desk(tmp_path / "home", engine=ScriptedEngine(["lines in"])) as desk:
        chat.talk(
            desk.answer,
            crew="Ana",
            history=tmp_path / "h",
            stdin=io.StringIO(f"{path}\n"),
            stdout=out,
        )

    assert "Lines in" in out.getvalue()
