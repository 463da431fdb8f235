"""Which sounds of English a recording holds, frame by frame: a small neural network in plain numpy.

Log mel bands, a halving convolution, four Conformer blocks (Gulati and others, 2020) and a CTC output over
phones. The weights, phones.npz, began as those of the package `hama` 1.7.0 (Seongmin Park, Apache-2.0,
kept in phones_licence.txt) and were changed: trained on in noise by `python -m bot.bench phones_fit`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import as_file, files

import numpy as np
import numpy.typing as npt
from threadpoolctl import threadpool_limits

from bot.speech.audio import Pcm

Floats = npt.NDArray[np.float32]

FRAME_S = 0.02
"""Seconds of sound that one frame stands for."""
HOP, WINDOW = 160, 400
BLOCKS = 4
HEADS = 4
TAPS = 31
WIDTH = 144
FLOOR = 1e-10
"""Least power in a band, before the logarithm."""
# The exporter gave these weights running numbers, block by block.
PRODUCTS = ((829, 830, 831, 835, 836, 837), (838, 839, 840, 844, 845, 846),
             (847, 848, 849, 853, 854, 855), (856, 857, 858, 862, 863, 864))  # fmt: skip
FILTERS = ((804, 805), (807, 808), (810, 811), (813, 814))
FIRST = (801, 802)

# The network writes phones in IPA, and some in more than one way.
_IPA: Mapping[str, str] = {
    "AA": "ɑ ɒ a ä", "AE": "æ", "AH": "ʌ ə ɐ ɤ ɘ", "AO": "ɔ o", "AW": "aʊ", "AY": "aɪ", "B": "b ɓ",
    "CH": "t͡ʃ t͡ɕ t͡ɕʰ", "D": "d ɖ ɗ", "DH": "ð", "EH": "ɛ e eə", "ER": "ɝ ɚ ɜ", "EY": "eɪ", "F": "f ɸ",
    "G": "g ɡ", "HH": "h ɦ ħ", "IH": "ɪ ɪə ɨ", "IY": "i", "JH": "d͡ʒ", "K": "k kʰ", "L": "l ɫ",
    "M": "m ɱ", "N": "n", "NG": "ŋ", "OW": "oʊ", "OY": "ɔɪ", "P": "p pʰ", "R": "ɹ r ɻ ɾ", "S": "s",
    "SH": "ʃ ɕ", "T": "t tʰ", "TH": "θ", "UH": "ʊ", "UW": "u ʉ ju", "V": "v", "W": "w wa we wi wʌ",
    "Y": "j ja je jo ju", "Z": "z", "ZH": "ʒ",
}  # fmt: skip
PHONES: tuple[str, ...] = tuple(sorted(_IPA))
"""The phones of the CMU dictionary, in the order of the columns of `phone_shares`."""
SILENT = ("<wb>", "<blank>")
"""The last outputs: between words, and no phone."""
OUTPUTS = "outputs"
"""Name under which the file of weights holds the names of the outputs."""


@dataclass(frozen=True, slots=True)
class Network:
    """The weights by name, and which output stands for which phone."""

    weights: Mapping[str, Floats]
    columns: Floats
    """Outputs by columns: each phone, whatever else there is, no phone."""


def phone_shares(pcm: Pcm, found: Network) -> Floats:
    """Return the share of each phone in each frame, and last that of no phone; they add to 1."""
    shares = _softmax(outputs(pcm, found)) @ found.columns
    spread = shares[:, -2:-1] / len(PHONES)  # a sound of another language may be any of ours
    return np.concatenate((shares[:, :-2] + spread, shares[:, -1:]), axis=1)


def outputs(pcm: Pcm, found: Network) -> Floats:
    """Return what the network says of each output in each frame, before they are made to add to 1."""
    w = found.weights
    named = hidden_layer(pcm, found) @ w["acoustic_model.model.proj.weight"][:, :, 0].T
    return np.asarray(named + w["acoustic_model.model.proj.bias"])


def hidden_layer(pcm: Pcm, found: Network) -> Floats:
    """Return what the network makes of each frame, before it names phones."""
    w = found.weights
    bands = np.pad(_log_mel(pcm, w), ((1, 1), (0, 0)))
    count = (len(bands) - 3) // 2 + 1
    first = w[f"onnx::Conv_{FIRST[0]}"]
    y = w[f"onnx::Conv_{FIRST[1]}"] + np.zeros((count, 1), np.float32)
    for tap in range(3):
        y = y + bands[tap : tap + 2 * count - 1 : 2] @ first[:, :, tap].T
    y = np.maximum(y, 0)
    for number in range(BLOCKS):
        y = _block(y, w, number)
    return y


def _log_mel(pcm: Pcm, w: Mapping[str, Floats]) -> Floats:
    sound = np.pad(pcm.samples.astype(np.float32) / 32768, WINDOW // 2, mode="reflect")
    frames = np.lib.stride_tricks.sliding_window_view(sound, WINDOW)[::HOP]
    power = (frames @ w["stft_real_kernel"][:, 0].T) ** 2
    power += (frames @ w["stft_imag_kernel"][:, 0].T) ** 2
    return np.asarray(np.log(np.maximum(power @ w["mel_fb"], FLOOR)))


def _block(y: Floats, w: Mapping[str, Floats], number: int) -> Floats:
    """Run one Conformer block: half a feed-forward, attention, convolution, the other half."""
    at = f"acoustic_model.model.blocks.{number}."
    into, out, qkv, joined, into2, out2 = (w[f"onnx::MatMul_{n}"] for n in PRODUCTS[number])

    def normed(x: Floats, name: str) -> Floats:
        centred = x - x.mean(-1, keepdims=True)
        spread = np.sqrt((centred**2).mean(-1, keepdims=True) + 1e-5)
        return np.asarray(centred / spread * w[f"{at}{name}.weight"] + w[f"{at}{name}.bias"])

    def fed(x: Floats, name: str, up: Floats, down: Floats) -> Floats:
        inner = normed(x, f"{name}.norm") @ up + w[f"{at}{name}.fc1.bias"]
        return np.asarray(_swish(inner) @ down + w[f"{at}{name}.fc2.bias"])

    y = y + 0.5 * fed(y, "ffn1", into, out)
    mixed = _attended(normed(y, "attn_norm") @ qkv + w[f"{at}attn.in_proj_bias"])
    y = y + mixed @ joined + w[f"{at}attn.out_proj.bias"]
    h = normed(y, "conv.norm") @ w[f"{at}conv.pointwise1.weight"][:, :, 0].T
    h = h + w[f"{at}conv.pointwise1.bias"]
    h = np.pad(h[:, :WIDTH] * _sigmoid(h[:, WIDTH:]), ((TAPS // 2, TAPS // 2), (0, 0)))
    taps, bias = (w[f"onnx::Conv_{n}"] for n in FILTERS[number])
    h = _filtered(h, taps[:, 0], len(y))
    h = _swish(h + bias) @ w[f"{at}conv.pointwise2.weight"][:, :, 0].T
    y = y + h + w[f"{at}conv.pointwise2.bias"]
    y = y + 0.5 * fed(y, "ffn2", into2, out2)
    return normed(y, "norm")


def _attended(qkv: Floats) -> Floats:
    count = len(qkv)
    q, k, v = (
        part.reshape(count, HEADS, -1).transpose(1, 0, 2) for part in np.split(qkv, 3, axis=1)
    )
    scores = _softmax(q @ k.transpose(0, 2, 1) / np.float32(np.sqrt(q.shape[-1])))
    return np.asarray((scores @ v).transpose(1, 0, 2).reshape(count, -1))


def _filtered(padded: Floats, taps: Floats, count: int) -> Floats:
    """Run a filter of its own over each channel."""
    total = padded[:count] * taps[:, 0]
    for tap in range(1, TAPS):
        total += padded[tap : tap + count] * taps[:, tap]
    return total


def _sigmoid(x: Floats) -> Floats:
    return np.asarray(1 / (1 + np.exp(-np.clip(x, -60, 60))), np.float32)


def _swish(x: Floats) -> Floats:
    return np.asarray(x * _sigmoid(x))


def _softmax(x: Floats) -> Floats:
    raised = np.exp(x - x.max(-1, keepdims=True))
    return np.asarray(raised / raised.sum(-1, keepdims=True))


@lru_cache(maxsize=1)
def network() -> Network:
    """Read the network, once."""
    with as_file(files("bot.speech") / "phones.npz") as path, np.load(path) as kept:
        names = [str(name) for name in kept[OUTPUTS]]
        weights = {n: kept[n].astype(np.float32) for n in kept.files if n != OUTPUTS}
    # The products are so small that threads for them wait for each other most of the time.
    threadpool_limits(limits=1, user_api="blas")
    return Network(weights, columns_of(names))


def columns_of(outputs: Sequence[str]) -> Floats:
    """Return which output, named in IPA or silent, belongs to which column."""
    table = np.zeros((len(outputs), len(PHONES) + 2), np.float32)
    for column, phone in enumerate(PHONES):
        for written in _IPA[phone].split():
            if written in outputs:
                table[outputs.index(written), column] = 1.0
    for silent in SILENT:
        table[outputs.index(silent), -1] = 1.0
    table[:, -2] = table.sum(axis=1) == 0
    return np.asarray(table / np.maximum(table.sum(axis=1, keepdims=True), 1.0), np.float32)
