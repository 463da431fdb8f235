"""The training of the phone network: noisy sound in, what the network before made of the clean sound out."""

import math
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import torch
from torch import Tensor
from torch.nn import functional

from bot.bench.hear_noise import RATE
from bot.bench.phones_data import Noises, Speech, through_microphone
from bot.bench.phones_model import PhoneNetwork
from bot.speech.audio import Pcm
from bot.speech.phone_search import sum_alignments
from bot.speech.phones import PHONES, Floats, Network, outputs

_STEP = 3200
BATCH_S = 40.0
"""Seconds of sound looked at before the weights move."""
PEAK = 4e-4
"""Most that the weights move."""
WARM_UP = 150
KEEP = 0.998
"""Share of the running mean of the weights kept at each step; the mean is what is used."""
QUIET_WEIGHT = 0.3
"""How much a frame counts in which the network before heard no phone."""
WORDS_WEIGHT = 0.4
"""How much the known phones (CTC) count beside what the network before heard."""
CODED = 0.12
"""Share of the recordings coded as a messenger does: it costs as much time as the training."""


@dataclass(frozen=True, slots=True, eq=False)
class Lesson:
    """A clean recording, what the network before makes of it, and its phones where they are known."""

    speech: Speech
    target: npt.NDArray[np.float16]
    """Log shares, frames by outputs."""
    phones: tuple[int, ...]


def lesson(speech: Speech, before: Network) -> Lesson:
    """Return what the network of before hears in a clean recording; of several ways the likeliest counts."""
    named = outputs(Pcm(speech.sound), before)
    named = named - named.max(-1, keepdims=True)
    target = named - np.log(np.exp(named).sum(-1, keepdims=True))
    return Lesson(speech, target.astype(np.float16), _likeliest(speech, target, before.columns))


def _likeliest(speech: Speech, target: Floats, columns: Floats) -> tuple[int, ...]:
    if not speech.ways:
        return ()
    shares = np.exp(target) @ columns
    scores = np.log(np.delete(shares, -2, axis=1) + 0.01)
    return speech.ways[int(np.argmax(sum_alignments(speech.ways, np.asarray(scores, np.float32))))]


def train(
    model: PhoneNetwork,
    lessons: Sequence[Lesson],
    noises: Noises,
    minutes: float,
    columns: Floats,
    seed: int,
    look: Callable[[Mapping[str, Floats], float], None],
    look_every_min: float,
) -> dict[str, Floats]:
    """Train for so many minutes; every now and then `look` gets the weights and the minutes gone."""
    rng = np.random.default_rng(seed)
    torch.manual_seed(seed)
    parameters = model.trained
    mover = torch.optim.AdamW(parameters, PEAK, betas=(0.9, 0.98), weight_decay=0.01)
    mean = [p.detach().clone() for p in parameters]
    started, looked, losses = time.monotonic(), 0.0, [0.0, 0.0]
    table = torch.tensor(columns)
    for step, batch in enumerate(_batches(lessons, rng)):
        gone = (time.monotonic() - started) / 60
        if gone >= minutes:
            break
        pace = 0.5 * (1 + math.cos(math.pi * gone / minutes)) + 0.01
        for group in mover.param_groups:
            group["lr"] = PEAK * min(1.0, (step + 1) / WARM_UP) * pace
        near, words = _losses(model, batch, noises, rng, table)
        mover.zero_grad()
        torch.autograd.backward(near + WORDS_WEIGHT * words)
        torch.nn.utils.clip_grad_norm_(parameters, 1.0)
        mover.step()
        kept = min(KEEP, (step + 1) / (step + 10))
        torch._foreach_lerp_(mean, [p.detach() for p in parameters], 1 - kept)
        losses = [0.98 * a + 0.02 * b.item() for a, b in zip(losses, (near, words), strict=True)]
        if step % 100 == 0:
            print(f"{gone:5.1f} min  step {step}  {losses[0]:.3f} {losses[1]:.3f}", flush=True)
        if gone - looked >= look_every_min:
            looked = gone
            look(_with(model, parameters, mean), gone)
    return _with(model, parameters, mean)


def _losses(
    model: PhoneNetwork,
    batch: Sequence[Lesson],
    noises: Noises,
    rng: np.random.Generator,
    table: Tensor,
) -> tuple[Tensor, Tensor]:
    """Return how far the outputs are from those before (per frame), and from the phones (per phone)."""
    longest = max(len(one.speech.sound) for one in batch)
    count = -(-longest // _STEP) * _STEP  # a length whose Fourier transform is quick
    sounds = np.stack([through_microphone(one.speech, count, noises, rng, CODED) for one in batch])
    with torch.no_grad():
        bands = model.bands(torch.tensor(sounds))
    said = model.named(model.blocks(bands))
    width = said.shape[1]
    wanted = torch.full(said.shape, -30.0)
    wanted[:, :, -1] = 0.0
    for row, one in enumerate(batch):
        frames = min(width, len(one.target))
        wanted[row, :frames] = torch.tensor(one.target[:frames].astype(np.float32))
    shares = wanted.exp()
    apart = (shares * (wanted - said)).sum(-1)
    weights = QUIET_WEIGHT + (1 - QUIET_WEIGHT) * (1 - shares[:, :, -1])
    near = (apart * weights).sum() / weights.sum()
    known = [row for row, one in enumerate(batch) if one.phones]
    if not known:
        return near, near.new_zeros(())
    phones = [one.phones for one in batch if one.phones]
    columns = said[known].exp() @ table
    spread = columns[..., -2:-1] / len(PHONES)
    whole = torch.cat((columns[..., :-2] + spread, columns[..., -1:]), -1)
    lengths = [len(p) for p in phones]
    words = functional.ctc_loss(
        torch.log(whole + 1e-6).transpose(0, 1),
        torch.tensor([p for one in phones for p in one]),
        torch.tensor([width] * len(known)),
        torch.tensor(lengths),
        blank=len(PHONES),
        reduction="none",
        zero_infinity=True,
    )
    return near, torch.clamp(words / torch.tensor(lengths), max=4.0).mean()


def _batches(lessons: Sequence[Lesson], rng: np.random.Generator) -> Iterator[list[Lesson]]:
    """Yield the lessons again and again, those of like length together."""
    while True:
        order = rng.permutation(len(lessons))
        for at in range(0, len(order), 512):
            chunk = sorted(
                (lessons[n] for n in order[at : at + 512]), key=lambda one: len(one.speech.sound)
            )
            groups: list[list[Lesson]] = [[]]
            for one in chunk:
                if len(one.speech.sound) * (len(groups[-1]) + 1) > BATCH_S * RATE:
                    groups.append([])
                groups[-1].append(one)
            for which in rng.permutation(len(groups)):
                if groups[which]:
                    yield groups[which]


def _with(
    model: PhoneNetwork, parameters: Sequence[Tensor], mean: Sequence[Tensor]
) -> dict[str, Floats]:
    """Return the weights as they would be with other values of the parameters."""
    now = [p.detach().clone() for p in parameters]
    with torch.no_grad():
        for p, m in zip(parameters, mean, strict=True):
            p.copy_(m)
        found = model.weights()
        for p, n in zip(parameters, now, strict=True):
            p.copy_(n)
    return found
