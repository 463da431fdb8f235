"""The network of the reader in torch, and its weights from and to files; for `reader_train.py`.

Needs torch and numpy and nothing of deckcall: it runs where the network is trained.
"""

import math
from pathlib import Path
from typing import Any

import numpy as np
import torch
from reader_weights import in_eight_bits, rows_of_both, weight_of  # type: ignore[import-not-found]
from torch import nn
from torch.nn import functional as F  # noqa: N812 - its usual name

LONGEST = 80
"""Pieces of a line."""
BEFORE = 32
"""Most pieces of the lines before; they stand in the last places."""
KNOWN_BITS = 19
FIRST_PLACE = 2
"""Where MPNet begins to count places."""


class Encoder(nn.Module):  # type: ignore[misc] # torch is not typed here
    """A transformer over the pieces of a line, with three heads for each."""

    near: Any
    """What the distance of two pieces adds to how far one looks at the other, distances x heads."""

    def __init__(
        self, vocab: int, width: int, inner: int, layers: int, heads: int, acts: int, roles: int,
        flags: int, positions: int = LONGEST, dropout: float = 0.1, eps: float = 1e-12,
        nearness: bool = False,
    ) -> None:  # fmt: skip
        """Make it with random weights; `nearness`: how far apart pieces stand moves what they look at."""
        super().__init__()
        self.heads = heads
        self.word = nn.Embedding(vocab, width)
        self.place = nn.Embedding(positions, width)
        near = torch.zeros(2 * positions - 1, heads) if nearness else None
        self.register_buffer("near", near, persistent=False)
        self.known = nn.Linear(KNOWN_BITS, width, bias=False)
        self.flags = nn.Linear(flags, width, bias=False)
        self.norm = nn.LayerNorm(width, eps=eps)
        self.drop = nn.Dropout(dropout)
        self.layers = nn.ModuleList(
            _Layer(width, inner, heads, dropout, eps) for _ in range(layers)
        )
        self.act = nn.Linear(width, acts)
        self.begin = nn.Linear(width, 1)
        self.role = nn.Linear(width, roles)
        nn.init.normal_(self.known.weight, std=0.02)
        nn.init.normal_(self.flags.weight, std=0.02)

    def forward(
        self, ids: Any, known: Any, flags: Any, pad: int, places: Any = None
    ) -> tuple[Any, Any, Any]:
        """Return logits of act, beginning and role for each piece; `places`: where pieces stand."""
        bits = (known[..., None] >> torch.arange(KNOWN_BITS, device=ids.device)) & 1
        if places is None:
            places = torch.arange(ids.shape[1], device=ids.device)
        x = self.word(ids) + self.place(places)
        x = x + self.known(bits.to(x.dtype))
        count = self.flags.in_features
        on = ((flags[:, None] >> torch.arange(count, device=ids.device)) & 1).to(x.dtype)
        x = torch.cat([x[:, :1] + self.flags(on)[:, None], x[:, 1:]], 1)
        x = self.drop(self.norm(x))
        mask = (ids != pad)[:, None, None, :]
        if self.near is not None:
            apart = places[..., None, :] - places[..., :, None] + len(self.place.weight) - 1
            mask = self.near[apart].movedim(-1, -3).masked_fill(~mask, float("-inf"))
        for layer in self.layers:
            x = layer(x, mask)
        return self.act(x), self.begin(x).squeeze(-1), self.role(x)


class _Layer(nn.Module):  # type: ignore[misc] # torch is not typed here
    def __init__(self, width: int, inner: int, heads: int, dropout: float, eps: float) -> None:
        super().__init__()
        self.heads = heads
        self.qkv = nn.Linear(width, 3 * width)
        self.out = nn.Linear(width, width)
        self.norm1 = nn.LayerNorm(width, eps=eps)
        self.up = nn.Linear(width, inner)
        self.down = nn.Linear(inner, width)
        self.norm2 = nn.LayerNorm(width, eps=eps)
        self.drop = nn.Dropout(dropout)

    def forward(self, x: Any, mask: Any) -> Any:
        batch, size, width = x.shape
        q, k, v = (
            self.qkv(x).view(batch, size, 3, self.heads, width // self.heads).permute(2, 0, 3, 1, 4)
        )
        mask = mask.to(q.dtype) if mask.is_floating_point() else mask
        y = F.scaled_dot_product_attention(q, k, v, attn_mask=mask)
        x = self.norm1(x + self.drop(self.out(y.transpose(1, 2).reshape(batch, size, width))))
        return self.norm2(x + self.drop(self.down(F.gelu(self.up(x)))))


def _tensor(held: Any, name: str) -> Any:
    return torch.from_numpy(weight_of(held, name))


def teacher_of(weights: Any, rows: list[int], **sizes: int) -> Encoder:
    """Return a teacher with the weights of MPNet (base), for the pieces of words that are kept."""
    model = Encoder(len(rows), 768, 3072, 12, 12, **sizes, eps=1e-5, nearness=True)
    base = "embeddings."
    with torch.no_grad():
        model.word.weight.copy_(_tensor(weights, base + "word_embeddings.weight")[rows])
        places = _tensor(weights, base + "position_embeddings.weight")
        model.place.weight.copy_(places[FIRST_PLACE : FIRST_PLACE + len(model.place.weight)])
        buckets = _tensor(weights, "encoder.relative_attention_bias.weight")
        apart = torch.arange(1 - LONGEST, LONGEST)
        model.near.copy_(buckets[_bucket(apart, len(buckets))])
        model.norm.weight.copy_(_tensor(weights, base + "LayerNorm.weight"))
        model.norm.bias.copy_(_tensor(weights, base + "LayerNorm.bias"))
        for n, layer in enumerate(model.layers):
            at = f"encoder.layer.{n}."
            for kind in ("weight", "bias"):
                parts = [_tensor(weights, f"{at}attention.attn.{w}.{kind}") for w in "qkv"]
                getattr(layer.qkv, kind).copy_(torch.cat(parts))
                for ours, theirs in (
                    (layer.out, "attention.attn.o"), (layer.norm1, "attention.LayerNorm"),
                    (layer.up, "intermediate.dense"), (layer.down, "output.dense"),
                    (layer.norm2, "output.LayerNorm"),
                ):  # fmt: skip
                    getattr(ours, kind).copy_(_tensor(weights, f"{at}{theirs}.{kind}"))
    return model


def _bucket(apart: Any, count: int, furthest: int = 128) -> Any:
    """Return the bucket of distances as MPNet has them: one each to a quarter, then by logarithm.

    Song and others (2020), after Raffel and others (2020), from memory.
    """
    half, exact = count // 2, count // 4
    far = apart.abs()
    scale = torch.log(far.clamp(min=1).float() / exact) / math.log(furthest / exact)
    large = (exact + (scale * (half - exact)).long()).clamp(max=half - 1)
    return torch.where(far < exact, far, large) + half * (apart > 0).long()


def export(model: Encoder, pieces: list[str], acts: Any, roles: Any, path: Path) -> None:
    """Write a model in eight bits a weight, one scale a row, with its pieces and labels."""
    arrays: dict[str, Any] = {
        "pieces": np.array("\n".join(pieces)), "acts": np.array("\n".join(acts)),
        "roles": np.array("\n".join(roles)), "heads": np.array(model.heads),
        "before": np.array(BEFORE),
    }  # fmt: skip
    for name, value in model.state_dict().items():
        w = value.detach().float().cpu().numpy()
        if name == "place.weight":
            w = w[:LONGEST]
        if w.ndim == 2 and min(w.shape) > 8:
            arrays |= in_eight_bits(name, w)
        else:
            arrays[name] = w.astype(np.float32)
    np.savez(path, **arrays)  # compressed, a file of 3 MB takes three times as long to load


def go_on(model: Encoder, held: Any, pieces: list[str], acts: Any, roles: Any) -> None:
    """Put weights that were written before into a model, piece by piece and label by label."""

    by_label = {"word": (pieces, "pieces"), "act": (acts, "acts"), "role": (roles, "roles")}
    state = model.state_dict()
    for name, value in state.items():
        old = _tensor(held, name)
        if name.split(".")[0] in by_label:
            mine, theirs = by_label[name.split(".")[0]]
            to, of = rows_of_both(mine, str(held[theirs]).split("\n"))
            value[to] = old[of]
        elif name == "flags.weight":
            value[:, : old.shape[1]] = old
        elif name == "place.weight":
            value[: len(old)] = old  # the lines before stand last: their places move with the end
            value[len(old) :] = old[len(old) - (len(value) - len(old)) :]
        elif value.shape == old.shape:
            value.copy_(old)
    model.load_state_dict(state)
