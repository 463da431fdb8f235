"""People's clips as a guard for the training of the ear: their target is what the original writes.

So the model that is trained forgets nobody. `python -m bot.bench ear_people FOLDER` has the original in
`FOLDER/model` write them down and keeps what it wrote in `FOLDER/people.npz`, so that the training need not
hold the original. Wants torch.
"""

import argparse
import json
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import torch

from bot.bench import ear_net as net, ear_weights
from bot.bench.ear_speak import GAP, RATE
from bot.bench.word_errors import plain_words

Tensor = Any
Samples = npt.NDArray[np.int16]

LEAST_SURE = -0.9
"""Mean log probability a token from which the model's own line of a person is a target."""
LIKELIEST = 16
"""Tokens of each place that are kept with their shares."""


def main(argv: list[str]) -> int:
    """Let the original Whisper write down recordings of people."""
    parser = argparse.ArgumentParser(prog="python -m bot.bench ear_people", description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--rows", type=int, default=192, help="clips at once")
    parser.add_argument("--window", type=float, default=30, help="seconds in which each is heard")
    args = parser.parse_args(argv)
    device = "cuda" if torch.cuda.is_available() else "cpu"
    tokenizer = tokenizer_of(args.folder)
    weights = ear_weights.read(args.folder / "model/model.bin").weights
    never = torch.tensor(unwritten_tokens(tokenizer), device=device)
    teacher = Teacher(
        device,
        net.Bands(device),
        net.parameters(weights, device),
        never,
        tokenizer,
        args.rows,
        args.window,
    )
    clips = list(packed_clips(args.folder / "people.ogg"))
    people = teacher.people([(sound, (n, *row)) for n, (sound, row) in enumerate(clips)])
    _write(args.folder / "people.npz", people)
    return 0


def tokenizer_of(folder: Path) -> Any:
    """Return the tokenizer of a folder's model."""
    from tokenizers import Tokenizer

    return Tokenizer.from_file(str(folder / "model/tokenizer.json"))


def unwritten_tokens(tokenizer: Any) -> list[int]:
    """Return the tokens with figures and marks, which are not written."""
    words = [tokenizer.decode([n]) for n in range(net.LAST_WORD)]
    return [n for n, w in enumerate(words) if any(c.isdigit() or c in "[]()♪*#<>{}" for c in w)]


@dataclass(frozen=True, slots=True, eq=False)
class Person:
    """A clip of a person with the tokens that are its target."""

    sound: Samples
    source: str
    tokens: list[int]
    likeliest: tuple[Tensor, Tensor] | None = None
    """The likeliest tokens by the model at each token, and their shares."""
    number: int = 0
    """Its place among the clips."""


@dataclass(frozen=True, slots=True, eq=False)
class Teacher:
    """The original model, writing down people."""

    device: str
    bands: net.Bands
    original: net.Parameters
    never: Tensor
    """Tokens with figures and marks, which are not written."""
    tokenizer: Any
    rows: int = 192
    """Clips that are heard at once."""
    window_s: float = 30
    """Seconds in which it hears each."""

    def people(self, clips: Sequence[tuple[Samples, Sequence[Any]]]) -> list[Person]:
        """Return clips (number, source, label) with their targets: known words, or what the model writes."""
        ranked = sorted(clips, key=lambda one: len(one[0]))
        found: list[Person] = []
        why: Counter[str] = Counter()
        for at in range(0, len(ranked), self.rows):
            part = ranked[at : at + self.rows]
            tokens, sure, likeliest, shares = self._heard([sound for sound, _ in part])
            for n, (sound, (number, source, label)) in enumerate(part):
                row = tokens[n].tolist()
                row = row[: row.index(net.END)] if net.END in row else row
                soft = (likeliest[n, : len(row) + 1].cpu(), shares[n, : len(row) + 1].cpu())
                person = self._person(sound, source, label, row, float(sure[n]), soft)
                why[f"{source} {'kept' if person else 'left'}"] += 1
                if person is not None:
                    found.append(replace(person, number=number))
            print(len(found), "of", at + len(part), flush=True)
        print("people", dict(why), flush=True)
        return found

    @torch.no_grad()  # type: ignore[untyped-decorator,unused-ignore]
    def _heard(self, sounds: Sequence[Samples]) -> tuple[Tensor, Tensor, Tensor, Tensor]:
        sound = torch.zeros(len(sounds), int(self.window_s * RATE), device=self.device)
        for n, one in enumerate(sounds):
            sound[n, 4000 : 4000 + len(one)] = torch.from_numpy(one).to(self.device) / 32768
        with torch.autocast(self.device, torch.bfloat16):
            states = net.encode(self.bands(sound), self.original)
            tokens, sure = net.likeliest_tokens(states, self.original, self.never, 48)
            start = torch.tensor([[net.START, net.NO_TIMES]], device=self.device)
            given = torch.cat([start.repeat(len(sounds), 1), tokens[:, :-1]], 1)
            scores = net.decode(given, states, self.original)[:, 1:]
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
            target = row if right else written_tokens(self.tokenizer, [label])[0]
            return Person(sound, source, target, soft if right else None)
        odd = not words or sure < LEAST_SURE or not text.isascii() or _loops(row)
        long = len(row) > 6 + 9 * len(sound) / RATE
        return None if odd or long else Person(sound, source, row, soft)


def written_tokens(tokenizer: Any, texts: Sequence[str]) -> list[list[int]]:
    """Return the tokens of sentences as Whisper writes them."""
    rows = [["I" if w == "i" else w.replace("i'", "I'") for w in text.split()] for text in texts]
    lines = [" ".join(row) for row in rows]
    lines = [f" {line[:1].upper()}{line[1:]}." for line in lines]
    return [list(one.ids) for one in tokenizer.encode_batch(lines, add_special_tokens=False)]


def heard_before(folder: Path, most: int | None = None) -> list[Person]:
    """Return the people of a folder with what the original once wrote of them."""
    if not (folder / "people.npz").exists():
        return []
    clips = list(packed_clips(folder / "people.ogg"))
    held = dict(np.load(folder / "people.npz"))
    found, at, soft = [], 0, 0
    for number, count, likely in held["rows"][:most].tolist():
        sound, (source, _) = clips[number]
        likeliest = None
        if likely:
            part = slice(soft, soft + likely)
            likeliest = (
                torch.from_numpy(held["likeliest"][part].astype(np.int64)),
                torch.from_numpy(held["shares"][part].astype(np.float32)),
            )
        tokens = held["tokens"][at : at + count].tolist()
        found.append(Person(sound, source, tokens, likeliest, number))
        at, soft = at + count, soft + likely
    return found


def _write(file: Path, people: Sequence[Person]) -> None:
    """Keep what the original wrote of people."""
    soft = [p.likeliest for p in people if p.likeliest is not None]
    likely = [0 if p.likeliest is None else len(p.likeliest[0]) for p in people]
    rows = [(p.number, len(p.tokens), n) for p, n in zip(people, likely, strict=True)]
    np.savez_compressed(
        file,
        rows=np.array(rows, np.int32),
        tokens=np.array([t for p in people for t in p.tokens], np.uint16),
        likeliest=torch.cat([a for a, _ in soft]).numpy().astype(np.uint16),
        shares=torch.cat([b for _, b in soft]).numpy().astype(np.float16),
    )


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
