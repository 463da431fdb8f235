"""The phone network of bot/speech/phones.py in torch, so that it can be trained: the same sums."""

import math
from collections.abc import Mapping

import numpy as np
import torch
from torch import Tensor
from torch.nn import functional

from bot.speech import phones
from bot.speech.phones import Floats

_FIXED = ("mel_fb", "stft_real_kernel", "stft_imag_kernel")
"""How sound becomes bands is not trained."""


class PhoneNetwork:
    """Sound in, log shares of the outputs out; the weights carry the names that `phones` knows them by."""

    def __init__(self, weights: Mapping[str, Floats]) -> None:
        self._all = {name: torch.tensor(np.array(w)) for name, w in weights.items()}
        self.trained = [w for name, w in self._all.items() if name not in _FIXED]
        for w in self.trained:
            w.requires_grad_(True)

    def weights(self) -> dict[str, Floats]:
        """Return the weights by name, as `phones.Network` takes them."""
        return {name: w.detach().numpy().copy() for name, w in self._all.items()}

    def bands(self, sounds: Tensor) -> Tensor:
        """Return log mel bands, sounds by frames of 10 ms by bands."""
        half = phones.WINDOW // 2
        padded = functional.pad(sounds[:, None], (half, half), mode="reflect")[:, 0]
        frames = padded.unfold(1, phones.WINDOW, phones.HOP)
        real = frames @ self._w("stft_real_kernel")[:, 0].T
        power = real**2 + (frames @ self._w("stft_imag_kernel")[:, 0].T) ** 2
        return torch.log(torch.clamp(power @ self._w("mel_fb"), min=phones.FLOOR))

    def blocks(self, bands: Tensor) -> Tensor:
        """Return what the network makes of each frame of 20 ms."""
        first, bias = (self._w(f"onnx::Conv_{n}") for n in phones.FIRST)
        y = functional.conv1d(bands.transpose(1, 2), first, bias, stride=2, padding=1)
        y = torch.relu(y).transpose(1, 2)
        for number in range(phones.BLOCKS):
            y = self._block(y, number)
        return y

    def named(self, hidden: Tensor) -> Tensor:
        """Return the log shares of the outputs."""
        named = hidden @ self._w("acoustic_model.model.proj.weight")[:, :, 0].T
        return torch.log_softmax(named + self._w("acoustic_model.model.proj.bias"), -1)

    def _w(self, name: str) -> Tensor:
        return self._all[name]

    def _block(self, y: Tensor, number: int) -> Tensor:
        at = f"acoustic_model.model.blocks.{number}."
        into, out, qkv, joined, into2, out2 = (
            self._w(f"onnx::MatMul_{n}") for n in phones.PRODUCTS[number]
        )
        y = y + 0.5 * self._fed(y, f"{at}ffn1", into, out)
        mixed = self._attended(self._normed(y, f"{at}attn_norm") @ qkv, f"{at}attn.in_proj_bias")
        y = y + mixed @ joined + self._w(f"{at}attn.out_proj.bias")
        y = y + self._filtered(y, f"{at}conv", *phones.FILTERS[number])
        y = y + 0.5 * self._fed(y, f"{at}ffn2", into2, out2)
        return self._normed(y, f"{at}norm")

    def _normed(self, y: Tensor, name: str) -> Tensor:
        return functional.layer_norm(
            y, (phones.WIDTH,), self._w(f"{name}.weight"), self._w(f"{name}.bias")
        )

    def _fed(self, y: Tensor, name: str, up: Tensor, down: Tensor) -> Tensor:
        inner = self._normed(y, f"{name}.norm") @ up + self._w(f"{name}.fc1.bias")
        return functional.silu(inner) @ down + self._w(f"{name}.fc2.bias")

    def _attended(self, qkv: Tensor, bias: str) -> Tensor:
        many, count, _ = qkv.shape
        q, k, v = (
            part.reshape(many, count, phones.HEADS, -1).transpose(1, 2)
            for part in (qkv + self._w(bias)).chunk(3, -1)
        )
        scores = torch.softmax(q @ k.transpose(-1, -2) / math.sqrt(q.shape[-1]), -1)
        return (scores @ v).transpose(1, 2).reshape(many, count, -1)

    def _filtered(self, y: Tensor, name: str, taps: int, bias: int) -> Tensor:
        h = self._normed(y, f"{name}.norm") @ self._w(f"{name}.pointwise1.weight")[:, :, 0].T
        h = functional.glu(h + self._w(f"{name}.pointwise1.bias"), -1).transpose(1, 2)
        filters, width = self._w(f"onnx::Conv_{taps}"), phones.WIDTH
        h = functional.conv1d(
            h, filters, self._w(f"onnx::Conv_{bias}"), padding=phones.TAPS // 2, groups=width
        )
        h = functional.silu(h.transpose(1, 2)) @ self._w(f"{name}.pointwise2.weight")[:, :, 0].T
        return h + self._w(f"{name}.pointwise2.bias")
