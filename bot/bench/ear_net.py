"""Whisper's network in PyTorch, its parameters named as CTranslate2 names them, so that it can be trained on.

Only for training: the ear itself runs CTranslate2. Wants torch. Shapes are those of the tiny models:
4 layers, 384 values, 6 heads (Radford and others, 2022).
"""

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import torch
from torch.nn import functional

from bot.bench.ear_weights import EMBEDDINGS, Array, whole
from bot.speech.written_ear import mel_filters

Tensor = Any
Parameters = dict[str, Any]

START, END, NO_TIMES, LAST_WORD = 50257, 50256, 50362, 50257
"""Tokens of the English models; those from `LAST_WORD` on are no text."""
_LAYERS, _WIDTH, _HEADS = 4, 384, 6
_WINDOW, _HOP = 400, 160


def parameters(weights: Mapping[str, Array], device: str) -> Parameters:
    """Return the weights of a model as tensors."""
    floats = {n: w for n, w in whole(weights).items() if w.ndim > 0 and "alignment" not in n}
    return {name: torch.tensor(weight, device=device) for name, weight in floats.items()}


def is_trained(name: str) -> bool:
    """Return whether a parameter is trained: all but the places, and the vectors of the tokens."""
    return name != EMBEDDINGS and "position_encodings" not in name


class Bands:
    """Sound to the log mel bands that Whisper takes, many recordings at once."""

    def __init__(self, device: str) -> None:
        self._filters = torch.tensor(mel_filters(), device=device)
        self._window = torch.hann_window(_WINDOW, device=device)

    def __call__(self, sound: Tensor) -> Tensor:
        """Return (recordings, 80, frames) of (recordings, samples) between -1 and 1."""
        spectrum = torch.stft(
            sound, _WINDOW, _HOP, window=self._window, center=True, pad_mode="reflect",
            return_complex=True,
        )[..., :-1]  # fmt: skip
        bands = torch.log10(torch.clamp(self._filters @ spectrum.abs() ** 2, min=1e-10))
        bands = torch.maximum(bands, bands.amax((1, 2), keepdim=True) - 8)
        return ((bands + 4) / 4)[..., : bands.shape[-1] // 2 * 2]


def throats(bands: Tensor, factors: Tensor) -> Tensor:
    """Return bands as longer or shorter throats would have said them: frequencies by a factor a row.

    Vocal tract length perturbation (Jaitly and Hinton, 2013): by the factor up to 4.8 kHz over it, then in
    a straight line to the highest frequency.
    """
    step, knee, log_step = 200.0 / 3, 15.0, math.log(6.4) / 27.0
    top = knee + math.log(8.0) / log_step
    place = torch.linspace(0.0, top, bands.shape[1] + 2, device=bands.device)[1:-1]
    hertz = torch.where(place < knee, place * step, 1000 * torch.exp(log_step * (place - knee)))
    factor = factors[:, None]
    bend = 4800 / factor.clamp(min=1.0)
    above = 8000 - (8000 - bend * factor) / (8000 - bend) * (8000 - hertz[None])
    source = torch.where(hertz[None] <= bend, hertz[None] * factor, above)
    mels = torch.where(
        source < 1000, source / step, knee + torch.log(source.clamp(min=1.0) / 1000) / log_step
    )
    at = (mels / top * (bands.shape[1] + 1) - 1).clamp(0, bands.shape[1] - 1.001)
    low = at.long()
    part = (at - low)[..., None]
    rows = torch.arange(len(bands), device=bands.device)[:, None]
    return bands[rows, low] * (1 - part) + bands[rows, low + 1] * part


def encode(bands: Tensor, p: Parameters, drop: float = 0.0) -> Tensor:
    """Return the states (recordings, frames / 2, 384) of the encoder."""
    x = functional.gelu(
        functional.conv1d(bands, p["encoder/conv1/weight"], p["encoder/conv1/bias"], padding=1)
    )
    x = functional.conv1d(
        x, p["encoder/conv2/weight"], p["encoder/conv2/bias"], padding=1, stride=2
    )
    x = functional.gelu(x).transpose(1, 2)
    x = x + p["encoder/position_encodings/encodings"][: x.shape[1]]
    for layer in range(_LAYERS):
        x = _itself(x, p, f"encoder/layer_{layer}/self_attention", drop)
        x = _forward(x, p, f"encoder/layer_{layer}/ffn", drop)
    return _normal(x, p, "encoder")


def decode(tokens: Tensor, states: Tensor, p: Parameters, drop: float = 0.0) -> Tensor:
    """Return the scores (recordings, places, tokens) of what follows each token."""
    return _decoded(tokens, _keys(states, p), p, drop) @ p[EMBEDDINGS].T


def _keys(states: Tensor, p: Parameters) -> list[tuple[Tensor, Tensor]]:
    """Return what each layer of the decoder makes of the encoder's states: keys and values."""
    names = [f"decoder/layer_{layer}/attention/linear_1" for layer in range(_LAYERS)]
    return [_linear(states, p, name).chunk(2, -1) for name in names]


def _decoded(
    tokens: Tensor, keys: Sequence[tuple[Tensor, Tensor]], p: Parameters, drop: float = 0.0
) -> Tensor:
    x = functional.embedding(tokens, p[EMBEDDINGS])
    x = x + p["decoder/position_encodings/encodings"][: tokens.shape[1]]
    for layer in range(_LAYERS):
        x = _itself(x, p, f"decoder/layer_{layer}/self_attention", drop, causal=True)
        name = f"decoder/layer_{layer}/attention"
        query = _linear(_normal(x, p, name), p, f"{name}/linear_0")
        key, value = keys[layer]
        x = x + functional.dropout(
            _linear(_attended(query, key, value), p, f"{name}/linear_2"), drop
        )
        x = _forward(x, p, f"decoder/layer_{layer}/ffn", drop)
    return _normal(x, p, "decoder")


@torch.no_grad()  # type: ignore[untyped-decorator,unused-ignore]
def likeliest_tokens(
    states: Tensor, p: Parameters, never: Tensor, most: int
) -> tuple[Tensor, Tensor]:
    """Return the likeliest tokens, greedily, the end after them; and the mean log probability of each row.

    `states` are what `encode` returned.
    """
    rows, keys = len(states), _keys(states, p)
    tokens = torch.tensor([[START, NO_TIMES]], device=states.device).repeat(rows, 1)
    done = torch.zeros(rows, dtype=torch.bool, device=states.device)
    total = torch.zeros(rows, device=states.device)
    length = torch.zeros(rows, device=states.device)
    for place in range(most):
        scores = (_decoded(tokens, keys, p)[:, -1] @ p[EMBEDDINGS].T).float()
        scores[:, LAST_WORD:] = -1e9
        scores[:, never] = -1e9
        if place == 0:
            scores[:, [220, END]] = -1e9
        best, chosen = scores.log_softmax(-1).max(-1)
        total += best * ~done
        length += ~done
        chosen[done] = END
        done |= chosen == END
        tokens = torch.cat([tokens, chosen[:, None]], 1)
        if done.all():
            break
    last = torch.full((rows, 1), END, device=states.device)
    return torch.cat([tokens, last], 1)[:, 2:], total / length


def back(p: Parameters, names: Sequence[str]) -> dict[str, Array]:
    """Return parameters as arrays of 16-bit floats."""
    return {n: p[n].detach().float().cpu().numpy().astype(np.float16) for n in names}


def _itself(x: Tensor, p: Parameters, name: str, drop: float, causal: bool = False) -> Tensor:
    query, key, value = _linear(_normal(x, p, name), p, f"{name}/linear_0").chunk(3, -1)
    heard = _attended(query, key, value, causal)
    return x + functional.dropout(_linear(heard, p, f"{name}/linear_1"), drop)


def _forward(x: Tensor, p: Parameters, name: str, drop: float) -> Tensor:
    inner = functional.gelu(_linear(_normal(x, p, name), p, f"{name}/linear_0"))
    return x + functional.dropout(_linear(inner, p, f"{name}/linear_1"), drop)


def _attended(query: Tensor, key: Tensor, value: Tensor, causal: bool = False) -> Tensor:
    found = functional.scaled_dot_product_attention(
        _heads(query), _heads(key), _heads(value), is_causal=causal
    )
    return found.transpose(1, 2).reshape(query.shape)


def _heads(x: Tensor) -> Tensor:
    return x.view(x.shape[0], x.shape[1], _HEADS, _WIDTH // _HEADS).transpose(1, 2)


def _linear(x: Tensor, p: Parameters, name: str) -> Tensor:
    return functional.linear(x, p[f"{name}/weight"], p[f"{name}/bias"])


def _normal(x: Tensor, p: Parameters, name: str) -> Tensor:
    gain, offset = p[f"{name}/layer_norm/gamma"], p[f"{name}/layer_norm/beta"]
    return functional.layer_norm(x, (_WIDTH,), gain, offset, 1e-5)
