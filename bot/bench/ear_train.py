"""Train Whisper tiny on in the words and the noise of a deck, with people's voices as a guard.

`python -m bot.bench ear_train FOLDER --out FOLDER`, on a machine with a GPU, torch, tokenizers and soundfile.
The folder holds `model/` (model.bin of CTranslate2 to begin with, tokenizer.json), `texts.json` ((text, kind)
rows), `people.ogg` and `noise.ogg` with their tables (`ear_pack`), and it may hold `people.npz`
(`ear_people`; without it the model to begin with writes people down, so it must be the original), and
`begun/*.npz`, weights to go on from. Speech lies in `--clips` (`ear_speak`, which may go on), or is made
for `--speak` seconds while it trains. Writes weights as `part*.npz`, now and then and at the end. `--since`
is when the time began, in seconds of the epoch.
"""

import argparse
import json
import math
import random
import time
from collections.abc import Iterator, Sequence
from multiprocessing import Pool, Process
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import torch

from bot.bench import ear_net as net, ear_weights
from bot.bench.ear_corpus import Corpus, Reader, Rows, draw_rows
from bot.bench.ear_mix import MADE, NOISE_S, Deck, made_noise, stage, through_opus
from bot.bench.ear_people import (
    LIKELIEST,
    Teacher,
    heard_before,
    packed_clips,
    tokenizer_of,
    unwritten_tokens,
    written_tokens,
)
from bot.bench.ear_speak import RATE, speak_all
from bot.bench.word_errors import plain_words, word_errors

Tensor = Any

BATCH = 384
RATE_OF_LEARNING = 2e-4
WARM_UP = 200
"""Steps until the rate is reached."""
SHARES = ((0.55, 0.20, 0.25), (0.70, 0.10, 0.20))
"""Deck, plain English and people in a batch: at the beginning, at the end."""
NATURAL_SHARE = 0.5  # of the made speech is by voices like people's
SMOOTH = 0.03
CODED = 0.33
"""Share of the batches that came through Opus."""
_CODED_KEPT = 90
THROATS = (0.87, 1.15)
THROATS_KEPT = 0.3
"""Factors of the frequencies, and the share of recordings that keep theirs."""
LONGEST_S, MOST_TOKENS = 15.5, 76
"""Length of a recording at most, and of what is written of it."""
_TAILS_S = (0.0, 0.4, 0.8, 0.8, 0.8, 1.5, 3.0)
"""Silence laid behind a recording."""
_PART_BYTES = 14_500_000
_READ_S, _KEEP_S = 55, 110
"""Seconds after which new speech is taken in, and after which weights are written."""


def main(argv: list[str]) -> int:
    """Train, within a number of seconds from the start."""
    parser = argparse.ArgumentParser(prog="python -m bot.bench ear_train", description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--seconds", type=float, default=540)
    parser.add_argument("--since", type=float, default=time.time())
    parser.add_argument("--speak", type=float, default=450, help="seconds of making speech at most")
    parser.add_argument("--first", type=float, default=70, help="seconds of it before training")
    parser.add_argument("--batch", type=int, default=BATCH)
    parser.add_argument("--clips", type=Path, default=Path("/tmp/clips"))
    parser.add_argument("--cores", type=int, default=16)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--rate", type=float, default=RATE_OF_LEARNING)
    parser.add_argument("--small", action="store_true", help="a few steps, to try the whole way")
    args = parser.parse_args(argv)
    args.out.mkdir(parents=True, exist_ok=True)
    maker = None
    if args.speak > 0:
        texts = json.loads((args.folder / "texts.json").read_text("utf-8"))
        maker = Process(
            target=speak_all, args=(texts, args.clips),
            kwargs={"limit_s": args.speak, "seed": args.seed, "cores": args.cores},
        )  # fmt: skip
        maker.start()
    with Pool(args.cores) as pool:  # all processes begin before the device is touched
        kinds = [*MADE * 7, *["coloured"] * 22] if not args.small else ["diesel", "coloured"]
        made = pool.map_async(made_noise, [(k, n) for n, k in enumerate(kinds)])
        _Run(args, pool).go(made)
        pool.terminate()
    if maker is not None:
        maker.join()
    return 0


class _Trained:
    """The weights, how they change, and their running mean, which is what is kept."""

    def __init__(self, original: net.Parameters, begun: Path, device: str) -> None:
        self.names = [n for n in original if net.is_trained(n)]
        self.p = {n: t.clone().requires_grad_(n in self.names) for n, t in original.items()}
        for file in sorted(begun.glob("*.npz")):
            for name, weight in ear_weights.whole(dict(np.load(file))).items():
                self.p[name].data.copy_(torch.from_numpy(weight))
        self.kept = {n: self.p[n].detach().clone() for n in self.names}
        self.steps = 0
        self._all = [self.p[n] for n in self.names]
        self._optimiser = torch.optim.AdamW(
            self._all, betas=(0.9, 0.98), eps=1e-7, weight_decay=0.0, fused=device == "cuda"
        )

    def learn(self, loss: Tensor, rate: float) -> None:
        """Change the weights by one batch."""
        for group in self._optimiser.param_groups:
            group["lr"] = rate * min(1, (self.steps + 1) / WARM_UP)
        self._optimiser.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(self._all, 1.0)
        self._optimiser.step()
        self.steps += 1
        ease = 1 - min(0.998, self.steps / (self.steps + 20))
        with torch.no_grad():
            now = [w.detach() for w in self._all]
            torch._foreach_lerp_([self.kept[n] for n in self.names], now, ease)

    def mean(self) -> net.Parameters:
        """Return the running mean, with what is not trained."""
        return self.p | self.kept


class _Run:
    """One training."""

    def __init__(self, args: argparse.Namespace, pool: Any) -> None:
        self.args = args
        self.pool = pool
        self.began = args.since
        self.device = "cuda" if torch.cuda.is_available() else "cpu"
        torch.manual_seed(args.seed)
        np.random.seed(args.seed)
        random.seed(args.seed)
        torch.backends.cuda.matmul.allow_tf32 = True
        torch.backends.cudnn.allow_tf32 = True
        self.batch = 8 if args.small else args.batch
        self.tokenizer = tokenizer_of(args.folder)
        self.bands = net.Bands(self.device)
        weights = ear_weights.read(args.folder / "model/model.bin").weights
        self.original = net.parameters(weights, self.device)
        self.never = torch.tensor(unwritten_tokens(self.tokenizer), device=self.device)
        self.few = 24 if args.small else None
        self.most = 20 if args.small else 1 << 30
        self.coded: list[Any] = []
        self.sent: list[Any] = []

    def say(self, *what: Any) -> None:
        """Print something after the seconds since the start."""
        print(round(time.time() - self.began), *what, flush=True)

    def go(self, made: Any) -> None:
        """Take in what is learnt from, and train."""
        people = heard_before(self.args.folder, self.few)
        if not people:
            clips = packed_clips(self.args.folder / "people.ogg", self.few)
            people = self._teacher().people([(s, (n, *r)) for n, (s, r) in enumerate(clips)])
        self.say("people are heard")
        self.reader = Reader(
            self.args.clips,
            Corpus.of_people(people, self.device),
            lambda texts: written_tokens(self.tokenizer, texts),
            self.device,
        )
        if not self.args.speak:
            self.reader.begin()
        bank = np.stack([*made.get(), *self.recorded()])
        noises = torch.from_numpy(bank).to(self.device)
        self.say("noises", tuple(noises.shape))
        if self.args.speak:
            time.sleep(max(0.0, self.args.first - (time.time() - self.began)))
        corpus = self.reader.wait()
        while not len(corpus.deck) or not len(corpus.apart):
            time.sleep(1)
            corpus = self.reader.wait()
        self.train(corpus, noises)

    # What is learnt from

    def _teacher(self) -> Teacher:
        return Teacher(self.device, self.bands, self.original, self.never, self.tokenizer)

    def recorded(self) -> Iterator[npt.NDArray[np.int16]]:
        """Return recorded noises, each as long as those of the bank, some three times."""
        for sound, _ in packed_clips(self.args.folder / "noise.ogg", self.few):
            for _ in range(2):
                start = np.random.randint(0, max(1, len(sound)))
                yield np.resize(np.roll(sound, -start), NOISE_S * RATE)

    # The steps

    def _half(self) -> Any:
        return torch.autocast(self.device, torch.bfloat16)

    def rows(self, corpus: Corpus, part: float) -> Iterator[Rows]:
        """Return rows of clips of about one length, eight batches of each drawing."""
        many = self.batch * 8
        (a, b, c), (x, y, z) = SHARES
        counts = [int(many * (p + (q - p) * part)) for p, q in ((a, x), (b, y), (c, z))]
        general = corpus.general if len(corpus.general) else corpus.deck
        made = zip((corpus.deck, general), counts, strict=False)
        parts = [draw_rows(rows, corpus.natural, count, NATURAL_SHARE) for rows, count in made]
        if len(corpus.people):
            parts.append(np.random.choice(corpus.people, counts[2], p=corpus.weights))
        whole = np.concatenate(parts)
        whole = whole[np.argsort(corpus.lengths[whole] + np.random.rand(len(whole)) * 6000)]
        for n in np.random.permutation(len(whole) // self.batch):
            yield whole[n * self.batch : (n + 1) * self.batch]

    def train(self, corpus: Corpus, noises: Tensor) -> None:
        args = self.args
        trained = _Trained(self.original, args.folder / "begun", self.device)
        deck = self.deck(corpus, noises)
        self.judge(corpus, deck, trained.p, "begun")
        start = read = written = time.time()
        lasts = args.seconds - (start - self.began) - 20
        while (part := (time.time() - start) / lasts) < 1 and trained.steps < self.most:
            for rows in self.rows(corpus, part):
                part = min(1.0, (time.time() - start) / lasts)
                loss = self.step(corpus, deck, trained.p, rows)
                trained.learn(loss, args.rate * (0.02 + 0.49 * (1 + math.cos(math.pi * part))))
                if trained.steps % (5 if args.small else 200) == 0:
                    each = 1000 * (time.time() - start) / trained.steps
                    self.say(
                        trained.steps, "loss", round(loss.item(), 3), "coded", len(self.coded),
                        f"{each:.0f} ms a step",
                    )  # fmt: skip
                if part >= 1 or trained.steps >= self.most:
                    break
            if time.time() - read > _READ_S:
                read = time.time()
                self.reader.begin()
            if (grown := self.reader.newest()) is not None:
                corpus = grown
                deck = self.deck(corpus, noises)
            if time.time() - written > _KEEP_S:
                written = time.time()
                self.keep(trained)
        self.say("steps", trained.steps)
        self.keep(trained)
        self.judge(corpus, deck, trained.mean(), "trained", (20.0, 10.0, 5.0, 0.0))

    def deck(self, corpus: Corpus, noises: Tensor) -> Deck:
        """Return what lays noise over the clips."""
        self.say("speech", dict(corpus.counts))
        return Deck(corpus.clips, noises, np.concatenate([corpus.deck, corpus.general]))

    def step(self, corpus: Corpus, deck: Deck, p: Any, rows: Rows) -> Tensor:
        """Return the loss of one batch."""
        if self.coded and np.random.rand() < CODED:
            rows, empty, sound = self.coded[np.random.randint(len(self.coded))]
            sound = sound.float() / 32767
        else:
            count = int(
                min(
                    corpus.lengths[rows].max() + RATE * np.random.uniform(0.3, 1.3),
                    LONGEST_S * RATE,
                )
            )
            sound, empty = deck.heard(rows, count // 320 * 320)
            self._code(rows, empty, sound)
        with torch.no_grad():
            tail = int(np.random.choice(_TAILS_S) * RATE) // 320 * 320
            bands = self.bands(torch.nn.functional.pad(sound, (0, tail)))
            bands = self._masked(net.throats(bands, self._factors(len(bands))))
        given, wanted = self._targets(corpus, rows, empty.tolist())
        with self._half():
            scores = net.decode(given, net.encode(bands, p, 0.05), p, 0.1)
        logs = scores.float().log_softmax(-1)
        there = (wanted >= 0).float()
        hard = -logs.gather(-1, wanted.clamp(min=0)[..., None])[..., 0]
        each = (1 - SMOOTH) * hard - SMOOTH * logs.mean(-1)
        each = self._softened(corpus, rows, empty.tolist(), logs, hard, each)
        return (each * there).sum() / there.sum()

    def _code(self, rows: Rows, empty: Any, sound: Tensor) -> None:
        """Send now and then a batch through Opus, beside the training, and take in what is done."""
        if len(self.sent) < 3 and (len(self.coded) < _CODED_KEPT or np.random.rand() < 0.1):
            file = self.args.clips / f"coded_{time.time_ns()}.npy"
            np.save(file, (sound * 32767).short().cpu().numpy())
            jobs = [(str(file), at, at + 8) for at in range(0, len(rows), 8)]
            self.sent.append((rows, empty, file, self.pool.map_async(through_opus, jobs, 1)))
        for one in [w for w in self.sent if w[3].ready()]:
            self.sent.remove(one)
            rows, empty, file, result = one
            if all(result.get()):
                sounds = torch.from_numpy(np.load(file)).to(self.device)
                self.coded.append((rows, empty, sounds))
                del self.coded[:-_CODED_KEPT]
            file.unlink()

    def _factors(self, rows: int) -> Tensor:
        """Return how much higher each recording's throat sounds; some are left as they are."""
        low, high = THROATS
        factors = torch.rand(rows, device=self.device) * (high - low) + low
        kept = torch.rand(rows, device=self.device) < THROATS_KEPT
        return torch.where(kept, torch.ones_like(factors), factors)

    def _masked(self, bands: Tensor) -> Tensor:
        """Hide a band of frequencies, and stretches of time, in some recordings."""
        rows, _, frames = bands.shape
        chance = torch.rand(rows, 1, device=bands.device)
        low = torch.randint(0, 72, (rows, 1), device=bands.device)
        wide = torch.randint(0, 13, (rows, 1), device=bands.device) * (chance < 0.5)
        band = torch.arange(80, device=bands.device)[None]
        hidden = (band >= low) & (band < low + wide)
        bands = torch.where(hidden[:, :, None], bands.mean((1, 2), keepdim=True), bands)
        time_ = torch.arange(frames, device=bands.device)[None]
        for _ in range(2):
            start = (torch.rand(rows, 1, device=bands.device) * frames).long()
            often = torch.rand(rows, 1, device=bands.device) < 0.3
            long = (torch.rand(rows, 1, device=bands.device) * 18 * often).long()
            hidden = (time_ >= start) & (time_ < start + long)
            bands = torch.where(hidden[:, None], bands.amin((1, 2), keepdim=True), bands)
        return bands

    def _targets(self, corpus: Corpus, rows: Rows, empty: Sequence[bool]) -> tuple[Tensor, Tensor]:
        lines = [
            [net.START, net.NO_TIMES, *([] if none else corpus.tokens[k][:MOST_TOKENS]), net.END]
            for k, none in zip(rows, empty, strict=True)
        ]
        longest = max(map(len, lines)) - 1
        given = torch.full((len(lines), longest), net.END)
        wanted = torch.full((len(lines), longest), -100)
        for n, line in enumerate(lines):
            given[n, : len(line) - 1] = torch.tensor(line[:-1])
            wanted[n, 1 : len(line) - 1] = torch.tensor(line[2:])
        return stage(given.numpy(), self.device), stage(wanted.numpy(), self.device)

    def _softened(
        self,
        corpus: Corpus,
        rows: Rows,
        empty: Sequence[bool],
        logs: Tensor,
        hard: Tensor,
        each: Tensor,
    ) -> Tensor:
        """Count for people, by halves, all that the model held likely and not the likeliest alone."""
        chosen = [(n, k) for n, k in enumerate(rows) if not empty[n] and int(k) in corpus.soft]
        if not chosen:
            return each
        length = logs.shape[1]
        tokens = torch.zeros(len(chosen), length, LIKELIEST, dtype=torch.long)
        shares = torch.zeros(len(chosen), length, LIKELIEST)
        for n, (_, k) in enumerate(chosen):
            likeliest, share = corpus.soft[int(k)]
            many = min(len(likeliest), length - 1)
            tokens[n, 1 : 1 + many], shares[n, 1 : 1 + many] = likeliest[:many], share[:many]
        at = stage(np.array([n for n, _ in chosen]), self.device)
        shares = stage(shares.numpy(), self.device)
        softly = -(logs[at].gather(-1, stage(tokens.numpy(), self.device)) * shares).sum(-1)
        has = (shares.sum(-1) > 0).float()
        return each.index_put((at,), has * (0.5 * hard[at] + 0.5 * softly) + (1 - has) * hard[at])

    # What came of it

    def keep(self, trained: "_Trained") -> None:
        """Write the weights, in parts of a size that travels."""
        part: dict[str, Any] = {}
        number = 0
        for name, weight in net.back(trained.kept, trained.names).items():
            if part and sum(w.nbytes for w in part.values()) + weight.nbytes > _PART_BYTES:
                np.savez(self.args.out / f"part{number}.npz", **part)
                part, number = {}, number + 1
            part[name] = weight
        np.savez(self.args.out / f"part{number}.npz", **part)
        self.say("written", number + 1, "parts")

    def judge(
        self, corpus: Corpus, deck: Deck, p: Any, name: str,
        snrs_db: Sequence[float] = (20.0, 5.0), most: int = 400,
    ) -> None:  # fmt: skip
        """Say how many words are wrong in sentences that were not trained on."""
        rows = corpus.apart[: 8 if self.args.small else most]
        rows = rows[np.argsort(corpus.lengths[rows])]
        for snr_db in snrs_db:
            wrong = words = 0
            for at in range(0, len(rows), 200):
                part = rows[at : at + 200]
                count = int(corpus.lengths[part].max() + RATE) // 320 * 320
                sound, _ = deck.heard(part, count, snr_db)
                with self._half(), torch.no_grad():
                    tail = int(0.8 * RATE)
                    bands = self.bands(torch.nn.functional.pad(sound, (0, tail)))
                    tokens, _ = net.likeliest_tokens(
                        net.encode(bands, p), p, self.never, MOST_TOKENS
                    )
                for k, row in zip(part, tokens.tolist(), strict=True):
                    ours = plain_words(self.tokenizer.decode([t for t in row if t < net.END]))
                    theirs = plain_words(self.tokenizer.decode(corpus.tokens[k]))
                    wrong += word_errors(theirs, ours)
                    words += len(theirs)
            self.say(name, f"{snr_db:g} dB, wrong words {100 * wrong / max(1, words):.1f} %")
