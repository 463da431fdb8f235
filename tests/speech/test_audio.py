import numpy as np
import pytest

from bot.errors import AudioError
from bot.speech.audio import SAMPLE_RATE, to_pcm
from tests.speech.recordings import FOLDER, recorded_by_a_phone, sound_file, table, tone


@pytest.mark.parametrize(
    ("kind", "subtype"),
    [("WAV", "PCM_16"), ("WAV", "PCM_24"), ("WAV", "FLOAT"), ("WAV", "ULAW"), ("FLAC", None),
     ("OGG", "VORBIS"), ("OGG", "OPUS")],
)  # fmt: skip
@pytest.mark.parametrize("rate", [8_000, 16_000, 48_000])
def test_every_format_and_rate_keeps_length_and_pitch(
    kind: str, subtype: str | None, rate: int
) -> None:
    data = sound_file(tone(1.0, rate), rate, kind, subtype)

    heard = to_pcm(data)

    # A tone of 440 Hz is a tone of 440 Hz after any faithful conversion of rate.
    spectrum = np.abs(np.fft.rfft(heard.samples.astype(float)))
    assert heard.samples.dtype == np.int16
    assert heard.seconds == pytest.approx(1.0, abs=0.03)
    assert float(np.argmax(spectrum)) / heard.seconds == pytest.approx(440, abs=2)


def test_every_committed_recording_decodes_to_its_length_in_the_file() -> None:
    import soundfile

    for line in table():
        path = FOLDER / line["file"]
        told = soundfile.info(path)

        heard = to_pcm(path.read_bytes())

        assert heard.seconds == pytest.approx(told.frames / told.samplerate, abs=0.001)
        assert path.stat().st_size <= 12_288


def test_channels_are_mixed() -> None:
    left, right = tone(0.5, hertz=300), tone(0.5, hertz=900)

    heard = to_pcm(sound_file(np.stack([left, right], axis=1)))

    spectrum = np.abs(np.fft.rfft(heard.samples.astype(float)))
    assert spectrum[150] == pytest.approx(spectrum[450], rel=0.05)


def test_a_dead_channel_does_not_halve_the_level() -> None:
    live = tone(0.5)
    both = sound_file(np.stack([np.full_like(live, 0.001), live], axis=1))

    heard = to_pcm(both)

    assert float(np.abs(heard.samples).max()) == pytest.approx(0.3 * 32767, rel=0.02)


def test_channels_in_opposite_phase_do_not_cancel() -> None:
    live = tone(0.5)

    heard = to_pcm(sound_file(np.stack([live, -live], axis=1)))

    assert float(np.abs(heard.samples).max()) == pytest.approx(0.3 * 32767, rel=0.02)


def test_a_float_file_beyond_full_scale_is_scaled_and_not_wrapped() -> None:
    heard = to_pcm(sound_file(tone(0.5) * 10, subtype="FLOAT"))

    assert np.abs(heard.samples.astype(int)).max() == 32767
    assert np.abs(np.diff(heard.samples.astype(int))).max() < 8000


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "empty"),
        (b"this is a letter and no sound at all", "damaged or no sound file"),
        (b"OggS" + bytes(200), "damaged or no sound file"),
        (sound_file(np.zeros(0)), "holds no sound"),
        (sound_file(np.zeros(SAMPLE_RATE)), "silent"),
        (sound_file(np.full(SAMPLE_RATE, 0.2)), "silent"),
        (sound_file(tone(61.0)), "longer than 60 s"),
        (sound_file(tone(61.0), kind="OGG", subtype="OPUS"), "longer than 60 s"),
    ],
    ids=["empty", "text", "torn", "no frames", "silent", "a constant", "long", "long opus"],
)
def test_what_cannot_be_used_is_refused_in_one_line_that_says_what_to_do(
    data: bytes, told: str
) -> None:
    with pytest.raises(AudioError, match=told) as refusal:
        to_pcm(data, "voice.ogg")

    assert "voice.ogg" in str(refusal.value)
    assert "\n" not in str(refusal.value)
    assert ": " in str(refusal.value)


def test_a_recording_of_just_a_minute_is_taken() -> None:
    assert to_pcm(sound_file(tone(59.9))).seconds == pytest.approx(59.9)


def test_a_recording_torn_off_half_way_never_ends_in_another_error() -> None:
    whole = (FOLDER / "lines_in.ogg").read_bytes()

    refused = 0
    for length in range(0, len(whole), 97):
        try:
            seconds = to_pcm(whole[:length]).seconds
        except AudioError:
            refused += 1
        else:
            assert seconds <= 2.0
    assert refused >= 1


@pytest.mark.parametrize(
    ("container", "codec", "rate"),
    [("ipod", "aac", 44_100), ("ipod", "aac", 16_000), ("mp4", "aac", 48_000), ("3gp", "aac", 44_100),
     ("webm", "libopus", 48_000), ("caf", "pcm_s16le", 44_100)],
)  # fmt: skip
def test_what_a_phone_records_keeps_length_and_pitch(container: str, codec: str, rate: int) -> None:
    # Made by FFmpeg's own encoders and muxers, the reference for these containers.
    data = recorded_by_a_phone(tone(1.0, rate), rate, container, codec)

    heard = to_pcm(data)

    spectrum = np.abs(np.fft.rfft(heard.samples.astype(float)))
    assert heard.seconds == pytest.approx(1.0, abs=0.1)
    assert float(np.argmax(spectrum)) / heard.seconds == pytest.approx(440, abs=3)


def test_a_phones_recording_that_is_too_long_is_refused() -> None:
    data = recorded_by_a_phone(tone(5.0, 16_000), 16_000, "ipod", "aac")

    with pytest.raises(AudioError, match="longer than 4 s"):
        to_pcm(data, max_s=4)


def test_a_phones_recording_torn_off_never_ends_in_another_error() -> None:
    whole = recorded_by_a_phone(tone(2.0, 48_000), 48_000, "webm", "libopus")

    refused = 0
    for length in range(4, len(whole), 211):
        try:
            seconds = to_pcm(whole[:length]).seconds
        except AudioError:
            refused += 1
        else:
            assert seconds <= 2.1
    assert refused >= 1


@pytest.mark.parametrize(
    ("data", "what"),
    [
        # Marks: ISO/IEC 14496-12 (ftyp box), RFC 8794 (EBML, used by WebM), RFC 4867 section 5.1 (AMR)
        (b"\x00\x00\x00\x20ftypM4A \x00\x00\x00\x00" + bytes(64), "an M4A or MP4 file"),
        (b"\x1a\x45\xdf\xa3" + bytes(64), "a WebM file"),
        (b"#!AMR\n" + bytes(64), "an AMR file"),
    ],
)
def test_recordings_of_phones_that_are_damaged_are_called_by_name(data: bytes, what: str) -> None:
    with pytest.raises(AudioError, match=what) as told:
        to_pcm(data)

    assert "record it again" in str(told.value)
