"""What the speech bench plays to an engine: calls, talk that is no call, and recordings of people.

Everything comes from a seed; sound is kept in the user's cache folder, outside the repository.
Voices and noises fall into two halves: the ear's own weights are fitted on one, judged on the other.
"""

import hashlib
import json
import subprocess
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import cycle, islice
from pathlib import Path

import numpy as np
import platformdirs

from bot.bench.corpus import CORPORA
from bot.bench.hear_fixtures import opus
from bot.bench.hear_noise import NOISES, RATE, Sound, add_noise, babble
from bot.bench.hear_sample import Sampler
from bot.bench.hear_voices import BY_NAME, speak
from bot.errors import AudioError
from bot.speech.audio import Pcm, to_pcm


@dataclass(frozen=True, slots=True)
class Part:
    """A part of what is played: no voice, talker or corpus is in two of them, and few noises."""

    voices: tuple[str, ...]
    noises: tuple[str, ...]
    corpora: tuple[str, ...]
    third: int
    """Which third of the telephone prompts."""


PARTS: Mapping[str, Part] = {
    "fit": Part(
        ("us-man", "us-woman", "rms", "kal", "midlands"),
        ("diesel", "wind", "babble"),
        ("crew_a", "crew_b"),
        0,
    ),
    "choose": Part(
        ("rp-woman", "awb", "city-man", "north-woman"),
        ("water", "outboard", "babble"),
        ("crew_e",),
        1,
    ),
    "test": Part(
        ("scot", "home-woman", "slt", "elder", "caribbean", "joe", "linda", "isle-woman"),
        ("deck", "rain", "babble"),
        ("held_out", "crew_d", "crew_f"),
        2,
    ),
}
"""The weights of the ear are fitted on the first, its threshold is chosen on the second."""
PROMPTS = Path("/usr/share/asterisk/sounds/en_US_f_Allison")
"""Where the Debian package asterisk-core-sounds-en-g722 puts its prompts, one human speaker."""
_TALK = (
    "well i told him the boat was never going to be ready in time for the weekend",
    "she was talking about the new restaurant down by the harbour",
    "you know what they say about the weather in these parts it changes every hour",
)


@dataclass(frozen=True, slots=True)
class Item:
    """One recording to be made."""

    said: str
    kind: str
    """`call`, `talk` or `human` (a file, `said` is its path)."""
    voice: str
    rate: float
    pitch: float
    noise: str
    snr_db: float
    seed: int


def calls(
    sampler: Sampler,
    count: int,
    seed: int,
    voices: Sequence[str],
    noises: Sequence[str],
    snrs_db: Sequence[float],
) -> list[Item]:
    """Return so many sentences of a grammar, none twice, each at one of the ratios in turn."""
    rng = np.random.default_rng(seed)
    said: dict[str, None] = {}
    while len(said) < count:
        said[sampler.sentence(rng)] = None
    return [_item(t, "call", n, seed, rng, voices, noises, snrs_db) for n, t in enumerate(said)]


def talk(
    count: int,
    seed: int,
    voices: Sequence[str],
    noises: Sequence[str],
    snrs_db: Sequence[float],
    corpora: Sequence[str],
) -> list[Item]:
    """Return lines of the corpora that are no call, as spoken; again in another voice where they run out."""
    rng = np.random.default_rng(seed)
    lines = talk_lines(corpora)
    rng.shuffle(lines)
    said = islice(cycle(lines), count)
    return [_item(t, "talk", n, seed, rng, voices, noises, snrs_db) for n, t in enumerate(said)]


def talk_lines(corpora: Sequence[str]) -> list[str]:
    """Return the lines of some corpora that are spoken and no call."""
    lines: list[str] = []
    for name in corpora:
        for line in (CORPORA / f"{name}.jsonl").read_text("utf-8").splitlines():
            row = json.loads(line)
            if "chatter" in row["tags"] and "spoken" in row["tags"]:
                lines.append(row["text"])
    return lines


def people(
    count: int, seed: int, noises: Sequence[str], snrs_db: Sequence[float], third: int
) -> list[Item]:
    """Return telephone prompts spoken by a person, every third file; none where not installed.

    Where they run out they come again, in other noise.
    """
    rng = np.random.default_rng(seed)
    files = sorted(PROMPTS.glob("*.g722"))[third::3]
    rng.shuffle(files)
    return [
        _item(str(path), "human", n, seed, rng, ("allison",), noises, snrs_db)
        for n, path in enumerate(islice(cycle(files), count))
    ]


def sound(item: Item) -> Pcm:
    """Make a recording as a messenger would send it; raises AudioError for a prompt of silence."""
    folder = Path(platformdirs.user_cache_dir("deckcall")) / "bench"
    folder.mkdir(parents=True, exist_ok=True)
    kept = folder / f"{hashlib.md5(repr(item).encode(), usedforsecurity=False).hexdigest()}.npy"
    if kept.exists():
        return Pcm(np.load(kept))
    pcm = in_noise(_clean(item), item.noise, item.snr_db, item.seed)
    np.save(kept, pcm.samples)
    return pcm


def in_noise(clean: Sound, kind: str, snr_db: float, seed: int) -> Pcm:
    """Lay noise over speech, at a level of its own, and send it as a messenger does."""
    rng = np.random.default_rng(seed)
    speech = np.pad(clean, int(0.4 * RATE))
    count = len(speech)
    noise = babble(count, rng, others()) if kind == "babble" else NOISES[kind](count, rng)
    heard = add_noise(speech, noise, snr_db)
    heard *= rng.uniform(0.15, 0.9) / np.max(np.abs(heard))
    return to_pcm(opus(heard))


def _item(
    said: str,
    kind: str,
    number: int,
    seed: int,
    rng: np.random.Generator,
    voices: Sequence[str],
    noises: Sequence[str],
    snrs_db: Sequence[float],
) -> Item:
    return Item(
        said,
        kind,
        voices[number % len(voices)],
        round(float(rng.uniform(0.85, 1.25)), 3),
        round(float(rng.uniform(0.94, 1.06)), 3),
        noises[int(rng.integers(0, len(noises)))],
        float(snrs_db[number // len(voices) % len(snrs_db)]),
        seed * 100_000 + number,
    )


def _clean(item: Item) -> Sound:
    if item.kind != "human":
        return speak(item.said, BY_NAME[item.voice], item.rate, item.pitch)
    return prompt(Path(item.said))


def prompt(file: Path) -> Sound:
    """Return a prompt spoken by a person; raises AudioError for one of silence."""
    done = subprocess.run(
        ["ffmpeg", "-v", "error", "-i", str(file), "-ar", str(RATE), "-f", "s16le", "-"],
        check=True,
        capture_output=True,
    )
    samples = np.frombuffer(done.stdout, "<i2").astype(np.float64) / 32768
    if len(samples) < RATE // 4 or np.max(np.abs(samples)) < 0.01:
        raise AudioError(f"{file} holds no speech: leave it out")
    return samples[: 12 * RATE]


@lru_cache(maxsize=1)
def others() -> list[Sound]:
    """Return talk in several voices, of which babble is made."""
    return [speak(line, BY_NAME[v]) for line in _TALK for v in ("us-man", "rms", "rp-woman")]
