"""Noise of a boat, made from a seed: diesel, wind, water, and people talking in the background.

Not recorded but synthesised, so that anybody can make the same; each kind is scaled by `add_noise` to
the wanted ratio of speech to noise over the part where there is speech.
"""

from collections.abc import Callable, Mapping

import numpy as np
import numpy.typing as npt
from scipy import signal

RATE = 16_000
Sound = npt.NDArray[np.float64]


def diesel(count: int, rng: np.random.Generator) -> Sound:
    """Make the knock and hum of a diesel at some 700 to 2400 revolutions a minute."""
    fire_hz = rng.uniform(35.0, 120.0)
    wander = np.cumsum(rng.normal(0, 0.0006, count))
    phase = 2 * np.pi * np.cumsum(fire_hz * (1 + wander - wander.mean())) / RATE
    hum = np.zeros(count)
    for harmonic in range(1, 24):
        level = rng.uniform(0.4, 1.0) / harmonic**0.9
        hum += level * np.sin(harmonic * phase + rng.uniform(0, 6.3))
    knock = np.maximum(np.sin(phase), 0) ** 8
    clatter = _band(rng.normal(0, 1, count), 700, 3500) * knock
    return unit(hum) + 0.35 * unit(clatter) + 0.12 * unit(slope(count, rng, 1.0))


def wind(count: int, rng: np.random.Generator) -> Sound:
    """Make wind over a microphone: a deep rumble that comes in gusts, and some whistle."""
    gusts = slow(count, rng, 0.7)
    rumble = slope(count, rng, 2.0) * (0.3 + gusts)
    hiss = _band(rng.normal(0, 1, count), 400, 2500) * gusts**2
    return unit(rumble) + 0.45 * unit(hiss)


def water(count: int, rng: np.random.Generator) -> Sound:
    """Make wash along the hull: broad noise that swells, with slaps of single waves."""
    wash = slope(count, rng, 0.8) * (0.5 + slow(count, rng, 0.5))
    slaps = np.zeros(count)
    for _ in range(rng.poisson(1.2 * count / RATE) + 1):
        at, length = int(rng.integers(0, count)), int(rng.uniform(0.05, 0.3) * RATE)
        burst = rng.normal(0, 1, length) * np.exp(-np.linspace(0, 6, length))
        end = min(count, at + length)
        slaps[at:end] += rng.uniform(0.5, 2.0) * burst[: end - at]
    return unit(wash) + 0.5 * unit(_band(slaps, 200, 5000))


def deck(count: int, rng: np.random.Generator) -> Sound:
    """Make all three at once, each as loud as it happens to be."""
    loud = rng.uniform(0.3, 1.0, 3)
    parts = (unit(make(count, rng)) for make in (diesel, wind, water))
    return np.asarray(sum(level * part for level, part in zip(loud, parts, strict=True)))


def outboard(count: int, rng: np.random.Generator) -> Sound:
    """Make the whine of an outboard at 3000 to 5500 revolutions a minute, and spray."""
    fire_hz = rng.uniform(150.0, 280.0)
    wander = np.cumsum(rng.normal(0, 0.0004, count))
    phase = 2 * np.pi * np.cumsum(fire_hz * (1 + wander - wander.mean())) / RATE
    whine = np.zeros(count)
    for harmonic in range(1, 14):
        level = rng.uniform(0.3, 1.0) / harmonic**0.7
        whine += level * np.sin(harmonic * phase + rng.uniform(0, 6.3))
    spray = _band(rng.normal(0, 1, count), 1500, 6000) * (0.3 + slow(count, rng, 1.5))
    return unit(whine) + 0.4 * unit(spray)


def rain(count: int, rng: np.random.Generator) -> Sound:
    """Make rain on a canopy: a steady hiss, and drops."""
    drops = np.zeros(count)
    for at in rng.integers(0, max(1, count - 400), int(40 * count / RATE)):
        drops[at : at + 400] += rng.uniform(0.2, 2.0) * np.exp(-np.arange(400) / 40)
    hiss = _band(rng.normal(0, 1, count), 500, 7000)
    return (
        unit(hiss)
        + 0.7 * unit(drops * rng.normal(0, 1, count))
        + 0.3 * unit(slope(count, rng, 1.5))
    )


def babble(count: int, rng: np.random.Generator, talk: list[Sound]) -> Sound:
    """Lay four to seven stretches of other people's talk over each other."""
    total = np.zeros(count)
    for _ in range(int(rng.integers(4, 8))):
        voice = talk[int(rng.integers(0, len(talk)))]
        start = int(rng.integers(0, len(voice)))
        total += np.resize(np.roll(voice, -start), count) * rng.uniform(0.5, 1.0)
    return total


NOISES: Mapping[str, Callable[[int, np.random.Generator], Sound]] = {
    "diesel": diesel,
    "wind": wind,
    "water": water,
    "deck": deck,
    "outboard": outboard,
    "rain": rain,
}


def add_noise(speech: Sound, noise: Sound, snr_db: float) -> Sound:
    """Add noise so that the speech, where it is active, is so many dB over it."""
    power = active_power(speech)
    scale = np.sqrt(power / (np.mean(noise**2) * 10 ** (snr_db / 10) + 1e-20))
    return np.asarray(speech + scale * noise)


def active_power(speech: Sound) -> float:
    """Return the mean power of the 20 ms frames within 30 dB of the loudest."""
    frames = speech[: len(speech) // 320 * 320].reshape(-1, 320)
    powers = np.mean(frames**2, axis=1)
    return float(powers[powers > powers.max() * 1e-3].mean())


def unit(sound: Sound) -> Sound:
    """Return a sound at power one."""
    return np.asarray(sound / (np.sqrt(np.mean(sound**2)) + 1e-12))


def _band(sound: Sound, low_hz: float, high_hz: float) -> Sound:
    sections = signal.butter(2, [low_hz, high_hz], "bandpass", fs=RATE, output="sos")
    return np.asarray(signal.sosfilt(sections, sound))


def slope(count: int, rng: np.random.Generator, power: float) -> Sound:
    """Make noise whose spectrum falls with frequency to this power (1 pink, 2 brown)."""
    spectrum = np.fft.rfft(rng.normal(0, 1, count))
    hertz = np.fft.rfftfreq(count, 1 / RATE)
    return np.fft.irfft(spectrum / np.maximum(hertz, 40.0) ** (power / 2), count)


def slow(count: int, rng: np.random.Generator, per_s: float) -> Sound:
    """Make a curve between 0 and 1 that changes about so often in a second."""
    points = rng.uniform(0, 1, int(count / RATE * per_s * 2) + 4)
    return np.interp(np.linspace(0, len(points) - 1, count), np.arange(len(points)), points)
