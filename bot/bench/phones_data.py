"""What the phone network learns from: clean speech, and noise of many kinds, all from seeds.

No voice, accent, variant, line or noise that `hear_data` tests with; of its development voices those of
`choose` are left out too, so that they can tell when the training has gone far enough. People's recordings
are those of any folders given; the speaker of the telephone prompts stays apart, for the same reason.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice, product
from pathlib import Path

import numpy as np
import numpy.typing as npt
import soundfile
import soxr

from bot.bench import hear_data
from bot.bench.hear_fixtures import opus
from bot.bench.hear_noise import NOISES, RATE, Sound, add_noise, slope, slow, unit
from bot.bench.hear_sample import Sampler
from bot.bench.hear_voices import BY_NAME, Voice, speak
from bot.errors import AudioError
from bot.speech.audio import to_pcm
from bot.speech.phones import PHONES
from bot.speech.pronunciations import pronunciations, sounded_out

Samples = npt.NDArray[np.int16]

ACCENTS = (
    "en-us",
    "en-us",
    "en-gb",
    "en-gb-x-rp",
    "en-gb-x-gbcwmd",
    "en-gb-x-gbclan",
    "en-us-nyc",
)
HEADS = (
    "m2 m6 m8 f1 Alex Alicia Andrea Andy Annie adam anika antonio aunty belinda benjamin boris caleb"
    " david ed edward gustave iven iven2 john klatt klatt2 klatt4 max michel miguel norbert pablo paul"
    " pedro quincy rob robert sandro shelby steph steph2 steph3 travis victor zac Denis Diogo Gene Hugo"
    " Jacky Lee Marco Mario Michael Mike Nguyen Storm grandma grandpa marcelo Henrique announcer"
).split()
FLITE = ("rms", "kal")
_MOST_WAYS = 6
"""Ways to say one sentence that are kept."""
_LONGEST_S = 7.0
_SUFFIXES = (".ogg", ".wav", ".opus", ".flac", ".g722")


@dataclass(frozen=True, slots=True, eq=False)
class Speech:
    """One clean recording with the ways its words may sound; none where the words are not known."""

    sound: Samples
    ways: tuple[tuple[int, ...], ...] = ()
    """Numbers of phones."""


def synthetic_speech(
    sampler: Sampler, words: Sequence[str], rng: np.random.Generator
) -> Iterator[Speech]:
    """Yield synthetic speech without end: calls, common words in any order, talk."""
    lines = hear_data.talk_lines(("crew_a", "crew_b", "crew_e"))
    while True:
        kind = rng.random()
        if kind < 0.45:
            text = sampler.sentence(rng)
        elif kind < 0.85:
            text = " ".join(rng.choice(words, int(rng.integers(2, 7))))
        else:
            text = lines[int(rng.integers(0, len(lines)))]
        if rng.random() < 0.12:
            voice = BY_NAME[FLITE[int(rng.integers(0, len(FLITE)))]]
        else:
            name = f"{rng.choice(ACCENTS)}+{rng.choice(HEADS)}"
            voice = Voice(name, "espeak-ng", name)
        sound = speak(text, voice, float(rng.uniform(0.8, 1.3)), float(rng.uniform(0.88, 1.14)))
        if len(sound) < _LONGEST_S * RATE:
            yield Speech(_padded(sound, rng), ways_of(text))


def people(folders: Sequence[Path], rng: np.random.Generator) -> Iterator[Speech]:
    """Yield recordings of people as they are, and a little faster or slower; once through the folders."""
    files = sorted(p for f in folders for p in f.rglob("*") if p.suffix in _SUFFIXES)
    for at in rng.permutation(len(files)):
        try:
            sound = _read(files[at])
        except (AudioError, soundfile.LibsndfileError):
            continue
        sound = soxr.resample(sound, RATE, RATE / float(rng.uniform(0.88, 1.14)))
        most = int(_LONGEST_S * RATE)
        start = int(rng.integers(0, max(1, len(sound) - most)))
        yield Speech(_padded(sound[start : start + most], rng))


def ways_of(text: str) -> tuple[tuple[int, ...], ...]:
    """Return the ways a text may sound, by the CMU dictionary and rules."""
    known, number = pronunciations(), {phone: at for at, phone in enumerate(PHONES)}
    plain = ["".join(c for c in w.lower() if c.isalnum() or c in "'-") for w in text.split()]
    words = [known[w] if w in known else (sounded_out(w, known),) for w in plain if w]
    return tuple(
        tuple(number[phone] for way in chosen for phone in way.split() if phone in number)
        for chosen in islice(product(*words), _MOST_WAYS)
    )


def common_words(count: int) -> list[str]:
    """Return the words that are likeliest in general English, by the language model of PocketSphinx."""
    from pocketsphinx import NGramModel, get_model_path

    model = NGramModel.readfile(get_model_path("en-us/en-us.lm.bin"))
    words = [word for word in pronunciations() if word.isalpha()]
    return sorted(words, key=lambda word: -float(model.prob([word])))[:count]


def _read(path: Path) -> Sound:
    if path.suffix == ".g722":
        return hear_data.prompt(path)
    sound, hertz = soundfile.read(path, always_2d=True)
    sound = soxr.resample(sound.mean(axis=1), hertz, RATE)
    top = float(np.max(np.abs(sound), initial=0.0))
    if len(sound) < RATE // 4 or top < 0.01:
        raise AudioError(f"{path} holds no speech: leave it out")
    return np.asarray(sound / top * 0.5)


def _padded(sound: Sound, rng: np.random.Generator) -> Samples:
    before, after = (int(rng.uniform(0.15, 0.6) * RATE) for _ in range(2))
    padded = np.pad(sound / (np.max(np.abs(sound)) + 1e-9), (before, after)) * 32_000
    return np.asarray(padded, np.int16)


class Noises:
    """A store of noise made once; each asking cuts, colours and mixes anew."""

    def __init__(self, rng: np.random.Generator, each: int, talk: Sequence[Speech]) -> None:
        self._talk = talk
        makers: list[Callable[[int, np.random.Generator], Sound]] = [
            *(NOISES[kind] for kind in ("diesel", "wind", "water", "outboard")),
            _coloured,
            _coloured,
        ]
        count = 10 * RATE
        self._store = [
            np.asarray(unit(make(count, rng)), np.float32) for make in makers for _ in range(each)
        ]

    def some(self, count: int, rng: np.random.Generator) -> tuple[Sound, float]:
        """Return noise of power one and the least SNR in dB at which speech in it can be followed."""
        kind = rng.random()
        if kind < 0.35:
            return self._babble(count, rng)
        noise = self._mix(count, rng)
        if kind < 0.45:
            noise = noise * rng.uniform(0.2, 0.8) + self._babble(count, rng)[0]
        return noise, -4.0

    def _mix(self, count: int, rng: np.random.Generator) -> Sound:
        total = np.zeros(count)
        for _ in range(int(rng.choice((1, 1, 2, 3)))):
            one = self._store[int(rng.integers(0, len(self._store)))]
            start = int(rng.integers(0, len(one)))
            part = np.resize(np.roll(one, -start), count).astype(np.float64)
            if rng.random() < 0.5:
                part = shape_sound(part, rng, 8.0)
            total += unit(part) * rng.uniform(0.2, 1.0)
        return unit(total)

    def _babble(self, count: int, rng: np.random.Generator) -> tuple[Sound, float]:
        """Talk of others, 2 to 8 at a time; a few are only followed where they are fainter."""
        others = int(rng.integers(2, 9))
        voices = int(rng.integers(2, 10))
        pool = [self._talk[int(rng.integers(0, len(self._talk)))].sound for _ in range(voices)]
        total = np.zeros(count)
        for _ in range(others):
            voice = _unpadded(pool[int(rng.integers(0, voices))])
            start = int(rng.integers(0, len(voice)))
            part = np.resize(np.roll(voice, -start), count)
            total += part / (np.std(voice) + 1.0) * rng.uniform(0.5, 1.0)
        if rng.random() < 0.3:
            total = shape_sound(total, rng, 6.0)
        return unit(total), {2: 5.0, 3: 2.0}.get(others, -2.0)


def through_microphone(
    speech: Speech, count: int, noises: Noises, rng: np.random.Generator, coded: float
) -> npt.NDArray[np.float32]:
    """Return a recording as a microphone hears it: room, noise, level; a share coded as a messenger does."""
    clean = np.pad(speech.sound.astype(np.float64) / 32768, (0, count - len(speech.sound)))
    if rng.random() < 0.6:
        clean = shape_sound(clean, rng, 8.0)
    if rng.random() < 0.3:
        clean = _in_room(clean, rng)
    sound = clean
    if rng.random() < 0.94:
        noise, least = noises.some(count, rng)
        sound = add_noise(clean, noise, float(rng.uniform(least, 22.0)))
    if rng.random() < 0.1:
        sound = _banded(sound, rng)
    sound = sound * rng.uniform(0.05, 0.9) / (np.max(np.abs(sound)) + 1e-9)
    if rng.random() < coded:
        samples = to_pcm(opus(sound)).samples[:count].astype(np.float64) / 32768
        sound = np.pad(samples, (0, count - len(samples)))
    return np.asarray(sound, np.float32)


def shape_sound(sound: Sound, rng: np.random.Generator, spread_db: float) -> Sound:
    """Colour a sound with a smooth random curve over the frequencies."""
    hertz = np.fft.rfftfreq(len(sound), 1 / RATE)
    places = np.linspace(np.log(80), np.log(8000), 8)
    curve = np.interp(np.log(hertz + 1), places, rng.normal(0, spread_db / 2, 8))
    return np.fft.irfft(np.fft.rfft(sound) * 10 ** (curve / 20), len(sound))


def _banded(sound: Sound, rng: np.random.Generator) -> Sound:
    hertz = np.fft.rfftfreq(len(sound), 1 / RATE)
    low, high = rng.uniform(50, 350), rng.uniform(3300, 7500)
    gain = 1 / (1 + (low / (hertz + 1)) ** 4) / (1 + (hertz / high) ** 8)
    return np.fft.irfft(np.fft.rfft(sound) * gain, len(sound))


def _in_room(sound: Sound, rng: np.random.Generator) -> Sound:
    length = int(rng.uniform(0.05, 0.3) * RATE)
    tail = rng.normal(0, 1, length) * np.exp(-np.linspace(0, 6.9, length))
    tail *= 10 ** (-rng.uniform(4, 18) / 20) / np.sqrt(np.sum(tail**2))
    tail[0] = 1.0
    size = len(sound) + length
    return np.fft.irfft(np.fft.rfft(sound, size) * np.fft.rfft(tail, size), size)[: len(sound)]


def _coloured(count: int, rng: np.random.Generator) -> Sound:
    """Return noise whose spectrum falls by some power, swelling or not, with clicks or not."""
    noise = unit(slope(count, rng, float(rng.uniform(-0.3, 2.2))))
    if rng.random() < 0.5:
        noise = noise * (0.2 + slow(count, rng, float(rng.uniform(0.3, 4.0))))
    if rng.random() < 0.3:
        clicks = (rng.random(count) < rng.uniform(5, 60) / RATE) * rng.normal(0, 1, count)
        ring = np.exp(-np.arange(400) / rng.uniform(5, 80)) * rng.normal(0, 1, 400)
        noise = noise + rng.uniform(0.2, 1.0) * unit(np.convolve(clicks, ring)[:count])
    return noise


def _unpadded(sound: Samples) -> Sound:
    loud = np.flatnonzero(np.abs(sound) > 300)
    whole = sound.astype(np.float64)
    return whole[loud[0] : loud[-1] + 1] if len(loud) else whole + 1.0
