"""An hour of made-up wheelhouse sound: engine, wind, water, radio, talk, and calls after the wake phrase.

Everything comes from a seed; the hour is kept in the user's cache folder, outside the repository. What
was said when is known, so that wakes can be counted and answers timed.
"""

import hashlib
import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Final

import numpy as np
import platformdirs
from scipy import signal

from bot.bench.hear_data import PARTS, others, talk_lines
from bot.bench.hear_noise import NOISES, RATE, Sound, active_power, babble
from bot.bench.hear_sample import Sampler
from bot.bench.hear_voices import BY_NAME, speak
from bot.speech.audio import Pcm

SNRS_DB: Final = (20.0, 15.0, 10.0, 5.0)
BED: Final = 0.015
"""Level of the noise (root mean square, full scale 1)."""
BED_S: Final = 240
"""After so long the engine runs otherwise, or the wind comes from elsewhere."""
QUIET_S: Final = 7.0
"""How long nobody speaks after a call."""
_VERSION: Final = 5
_KINDS_AN_HOUR: Final = {"wake": 60, "talk": 180, "unwoken": 40, "radio": 110, "near": 20}


@dataclass(frozen=True, slots=True)
class SpokenCall:
    """Something that was said in the hour."""

    kind: str
    """`wake` (the phrase and a call), `talk`, `unwoken` (a call without the phrase), `radio`, `near`."""
    text: str
    """The call, or what was said else."""
    voice: str
    snr_db: float
    start_s: float
    end_s: float
    woken_s: float = 0.0
    """When the wake phrase ended."""
    begun_s: float = 0.0
    """When the call began."""


@dataclass(frozen=True, slots=True, eq=False)
class Hour:
    """The sound, what was said, and where anybody speaks."""

    pcm: Pcm
    said: tuple[SpokenCall, ...]


def hour(
    phrase: str, sampler: Sampler, seed: int, parts: Sequence[str], seconds: float = 3600
) -> Hour:
    """Return an hour (or another time) in the voices and noises of some parts of the speech bench."""
    folder = Path(platformdirs.user_cache_dir("deckcall")) / "bench"
    folder.mkdir(parents=True, exist_ok=True)
    named = repr((_VERSION, phrase, sorted(sampler.rules), seed, tuple(parts), seconds))
    kept = folder / f"hour-{hashlib.md5(named.encode(), usedforsecurity=False).hexdigest()}"
    sound, told = kept.with_suffix(".npy"), kept.with_suffix(".json")
    if not told.exists():
        made = _made(phrase, sampler, seed, parts, seconds)
        np.save(sound, made.pcm.samples)
        told.write_text(json.dumps([asdict(one) for one in made.said]), encoding="utf-8")
    rows = json.loads(told.read_text(encoding="utf-8"))
    return Hour(Pcm(np.load(sound)), tuple(SpokenCall(**row) for row in rows))


def _made(phrase: str, sampler: Sampler, seed: int, parts: Sequence[str], seconds: float) -> Hour:
    rng = np.random.default_rng(seed)
    voices = [voice for part in parts for voice in PARTS[part].voices]
    noises = [noise for part in parts for noise in PARTS[part].noises]
    sound = _bed(seconds, noises, rng)
    spoken = [
        (said, _spoken(said, phrase, rng))
        for said in _lines(phrase, sampler, voices, parts, seconds, rng)
    ]
    free_s = seconds - sum(_length(s) + _rest(said) for said, s in spoken) - 2
    shares = rng.exponential(1.0, len(spoken))
    gaps = np.maximum(0.4, shares / shares.sum() * free_s)
    at_s, placed = 1.0, []
    for (said, pieces), gap in zip(spoken, gaps, strict=True):
        at_s += float(gap)
        if at_s + _length(pieces) >= seconds:
            break
        placed.append(_placed(said, pieces, at_s, sound))
        at_s += _length(pieces) + _rest(said)
    return Hour(
        Pcm(np.clip(np.round(sound * 32767), -32768, 32767).astype(np.int16)), tuple(placed)
    )


def _lines(
    phrase: str, sampler: Sampler, voices: Sequence[str], parts: Sequence[str],
    seconds: float, rng: np.random.Generator,
) -> list[SpokenCall]:  # fmt: skip
    """Return what is said, in the order in which it is said; the times are not yet known."""
    counts = {kind: round(n * seconds / 3600) for kind, n in _KINDS_AN_HOUR.items()}
    chatter = [line for part in parts for line in talk_lines(PARTS[part].corpora)]
    rng.shuffle(chatter)
    texts = {
        "wake": [sampler.sentence(rng) for _ in range(counts["wake"])],
        "unwoken": [sampler.sentence(rng) for _ in range(counts["unwoken"])],
        "talk": [chatter[n % len(chatter)] for n in range(counts["talk"])],
        "radio": [chatter[-1 - n % len(chatter)] for n in range(counts["radio"])],
        "near": [_near(phrase, rng) for _ in range(counts["near"])],
    }
    found = [
        SpokenCall(
            kind, text, voices[n % len(voices)],
            SNRS_DB[n // len(voices) % len(SNRS_DB)], 0.0, 0.0,
        )
        for kind, said in texts.items()
        for n, text in enumerate(said)
    ]  # fmt: skip
    rng.shuffle(found)
    return found


def _near(phrase: str, rng: np.random.Generator) -> str:
    """Return something with one of the words of the phrase in it."""
    word = str(rng.choice(phrase.split()))
    frames = ("pass me the {} will you", "there is a {} under the seat", "what about the {} then",
              "{} is what he said", "look at that {} over there")  # fmt: skip
    return str(rng.choice(frames)).format(word)


def _spoken(said: SpokenCall, phrase: str, rng: np.random.Generator) -> list[Sound]:
    """Return the pieces: for a call after the phrase the phrase, the pause and the call; else one."""
    rate, pitch = float(rng.uniform(0.9, 1.2)), float(rng.uniform(0.95, 1.05))
    voice = BY_NAME[said.voice]
    speech = _trimmed(speak(said.text, voice, rate, pitch))
    if said.kind == "radio":
        speech = _over_radio(speech, rng)
    if said.kind != "wake":
        return [speech]
    in_one_breath = rng.random() < 0.5
    pause_s = rng.uniform(0.1, 0.35) if in_one_breath else rng.uniform(1.0, 2.0)
    return [
        _trimmed(speak(phrase, voice, rate, pitch)),
        np.zeros(int(pause_s * RATE)),
        speech,
    ]


def _placed(said: SpokenCall, pieces: list[Sound], at_s: float, sound: Sound) -> SpokenCall:
    """Add something to the sound, so loud that it stands as far over the noise there as it says."""
    speech = np.concatenate(pieces)
    first = int(at_s * RATE)
    there = sound[first : first + len(speech)]
    level = np.sqrt(BED**2 * 10 ** (said.snr_db / 10) / active_power(speech))
    there += level * speech
    ends = np.cumsum([len(piece) for piece in pieces]) / RATE + at_s
    woken_s, begun_s = (float(ends[0]), float(ends[1])) if len(pieces) == 3 else (0.0, at_s)
    return SpokenCall(
        said.kind, said.text, said.voice, said.snr_db, at_s, float(ends[-1]), woken_s, begun_s
    )


def _bed(seconds: float, noises: Sequence[str], rng: np.random.Generator) -> Sound:
    """Make the noise under it all: one kind after the other, each with a soft start and end."""
    whole = np.zeros(int(seconds * RATE))
    fade = RATE
    for number, first in enumerate(range(0, len(whole), BED_S * RATE)):
        kind = noises[number % len(noises)]
        count = min(BED_S * RATE + fade, len(whole) - first)
        one = babble(count, rng, others()) if kind == "babble" else NOISES[kind](count, rng)
        one *= BED / np.sqrt(np.mean(one**2))
        slope = np.minimum(1.0, np.arange(count) / fade)
        whole[first : first + count] += one * np.sqrt(slope * slope[::-1])
    return whole


def _over_radio(speech: Sound, rng: np.random.Generator) -> Sound:
    """Return speech as a VHF set gives it: the band of a telephone, hiss, the click of the squelch."""
    band = signal.butter(4, [350, 2800], "bandpass", fs=RATE, output="sos")
    padded = np.pad(speech, (int(0.15 * RATE), int(0.25 * RATE)))
    hissing = padded + 0.03 * rng.normal(0, 1, len(padded))
    hissing[-int(0.12 * RATE) :] += 0.2 * rng.normal(0, 1, int(0.12 * RATE))
    return np.asarray(np.tanh(3 * signal.sosfilt(band, hissing)) / 3)


def _trimmed(speech: Sound) -> Sound:
    """Cut the silence that a synthesiser leaves before and after."""
    loud = np.flatnonzero(np.abs(speech) > 0.01 * np.max(np.abs(speech)))
    return speech[loud[0] : loud[-1] + 1]


def _length(pieces: Sequence[Sound]) -> float:
    return sum(map(len, pieces)) / RATE


def _rest(said: SpokenCall) -> float:
    return QUIET_S if said.kind == "wake" else 0.0
