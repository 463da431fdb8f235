"""People's clips as a guard for the training of the ear: their target is what the original writes.

So the model that is trained forgets nobody. Wants torch.
"""

import json
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import torch

from bot.bench import ear_net as net
from bot.bench.ear_speak import GAP, RATE
from bot.bench.word_errors import plain_words

Tensor = Any
Samples = npt.NDArray[np.int16]

LEAST_SURE = -0.9
"""Mean log probability a token from which the model's own line of a person is a target."""
LIKELIEST = 16
"""Tokens of each place that are kept with their shares."""


@dataclass(frozen=True, slots=True, eq=False)
class Person:
    """A clip of a person with the tokens that are its target."""

    sound: Samples
    source: str
    tokens: list[int]
    likeliest: tuple[Tensor, Tensor] | None = None
    """The likeliest tokens by the model at each token, and their shares."""


@dataclass(frozen=True, slots=True, eq=False)
class Teacher:
    """The original model, writing down people."""

    device: str
    bands: net.Bands
    original: net.Parameters
    never: Tensor
    """Tokens with figures and marks, which are not written."""
    tokenizer: Any

    def people(self, clips: Sequence[tuple[Samples, Sequence[Any]]]) -> list[Person]:
        """Return clips with their targets: known words, or what the model itself writes."""
        ranked = sorted(clips, key=lambda one: len(one[0]))
        found: list[Person] = []
        why: Counter[str] = Counter()
        for at in range(0, len(ranked), 192):
            part = ranked[at : at + 192]
            tokens, sure, likeliest, shares = self._heard([sound for sound, _ in part])
            for n, (sound, (source, label)) in enumerate(part):
                row = tokens[n].tolist()
                row = row[: row.index(net.END)] if net.END in row else row
                soft = (likeliest[n, : len(row) + 1].cpu(), shares[n, : len(row) + 1].cpu())
                person = self._person(sound, source, label, row, float(sure[n]), soft)
                why[f"{source} {'kept' if person else 'left'}"] += 1
                if person is not None:
                    found.append(person)
        print("people", dict(why), flush=True)
        return found

    @torch.no_grad()  # type: ignore[untyped-decorator,unused-ignore]
    def _heard(self, sounds: Sequence[Samples]) -> tuple[Tensor, Tensor, Tensor, Tensor]:
        sound = torch.zeros(len(sounds), 30 * RATE, device=self.device)
        for n, one in enumerate(sounds):
            sound[n, 4000 : 4000 + len(one)] = torch.from_numpy(one).to(self.device) / 32768
        with torch.autocast(self.device, torch.bfloat16):
            bands = self.bands(sound)
            tokens, sure = net.written(bands, self.original, self.never, 48)
            start = torch.tensor([[net.START, net.NO_TIMES]], device=self.device)
            given = torch.cat([start.repeat(len(sounds), 1), tokens[:, :-1]], 1)
            scores = net.decode(given, net.encode(bands, self.original), self.original)[:, 1:]
        scores = scores.float()
        scores[..., net.LAST_WORD :] = -1e9
        scores[..., self.never] = -1e9
        shares, likeliest = scores.softmax(-1).topk(LIKELIEST, -1)
        return tokens, sure, likeliest, shares / shares.sum(-1, keepdim=True)

    def _person(
        self, sound: Samples, source: str, label: str, row: list[int], sure: float, soft: Any
    ) -> Person | None:
        text = self.tokenizer.decode(row).strip()
        words = plain_words(text)
        if label:
            right = words == label.split()
            target = row if right else self.spelt(label)
            return Person(sound, source, target, soft if right else None)
        odd = not words or sure < LEAST_SURE or not text.isascii() or _loops(row)
        long = len(row) > 6 + 9 * len(sound) / RATE
        return None if odd or long else Person(sound, source, row, soft)

    def spelt(self, text: str) -> list[int]:
        """Return the tokens of a sentence as Whisper writes one."""
        words = " ".join("I" if w == "i" else w.replace("i'", "I'") for w in text.split())
        line = f" {words[:1].upper()}{words[1:]}."
        return list(self.tokenizer.encode(line, add_special_tokens=False).ids)


def packed_clips(path: Path, most: int | None = None) -> Iterator[tuple[Samples, Sequence[Any]]]:
    """Return the clips of a packed file with what its table says of them; none where there is no file."""
    import soundfile

    if not path.exists():
        return
    whole, _ = soundfile.read(path, dtype="int16")
    at = 0
    for row in json.loads(path.with_suffix(".json").read_text("utf-8"))[:most]:
        yield whole[at : at + row[0]], row[1:]
        at += row[0] + GAP


def _loops(row: Sequence[int]) -> bool:
    """Return whether up to four tokens come three times in a row."""
    return any(
        row[at : at + n] == row[at + n : at + 2 * n] == row[at + 2 * n : at + 3 * n]
        for n in (1, 2, 3, 4)
        for at in range(len(row) - 3 * n + 1)
    )
