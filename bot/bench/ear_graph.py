"""An ONNX graph run by PyTorch, on the device that trains, where ONNX Runtime has only the processor.

Knows the operations of Kokoro's graph. Weights that were quantised are taken as they are kept; what comes
through is not quantised, so the sound is a little better than by ONNX Runtime. Wants torch and onnx.
"""

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import onnx
import torch
from onnx import helper, numpy_helper
from torch.nn import functional

Tensor = Any
_FLOAT = {onnx.TensorProto.FLOAT, onnx.TensorProto.FLOAT16}


class Graph:
    """A graph whose numbers with a point lie on the device, and whose whole numbers on the processor."""

    def __init__(self, path: Path, device: str, also: str = "") -> None:
        graph = onnx.load(str(path)).graph
        self._device = device
        self._kept = {
            one.name: self._placed(numpy_helper.to_array(one)) for one in graph.initializer
        }
        self._steps = [self._step(node) for node in graph.node]
        self._outputs = [graph.output[0].name, *([also] if also else [])]
        self._last = {name: n for n, (_, names, _) in enumerate(self._steps) for name in names}
        for name in self._outputs:
            self._last.pop(name, None)

    @torch.inference_mode()  # type: ignore[untyped-decorator,unused-ignore]
    def __call__(self, **inputs: np.ndarray[Any, Any]) -> Sequence[Tensor]:
        """Return the first output for inputs by name, and what was asked for besides."""
        found = {name: self._placed(value) for name, value in inputs.items()}
        for number, (does, names, outs) in enumerate(self._steps):
            given = [self._kept.get(n, found.get(n)) if n else None for n in names]
            made = does(*given)
            found.update(zip(outs, made if isinstance(made, tuple) else (made,), strict=False))
            for name in names:
                if self._last.get(name) == number:
                    found.pop(name, None)
        return [found[name] for name in self._outputs]

    def _placed(self, value: np.ndarray[Any, Any]) -> Tensor:
        tensor = torch.from_numpy(np.array(value))
        whole = tensor.dtype in (torch.int64, torch.int32, torch.bool)
        return tensor if whole else tensor.to(self._device)

    def _step(self, node: Any) -> tuple[Callable[..., Any], Sequence[str], Sequence[str]]:
        given = {one.name: helper.get_attribute_value(one) for one in node.attribute}
        names = list(node.input)
        if node.op_type == "Constant":
            value = self._placed(numpy_helper.to_array(given["value"]))
            return (lambda: value), names, list(node.output)
        if node.op_type == "DynamicQuantizeLSTM":
            lstm = _Lstm(self._kept, names, self._device)
            return lstm, [names[0], names[5], names[6]], list(node.output)
        if node.op_type in ("MatMulInteger", "ConvInteger"):
            weight = self._kept[names[1]].float()
            if len(names) > 3 and names[3]:
                weight = weight - self._kept[names[3]].float()
            does = _matmul if node.op_type == "MatMulInteger" else partial(_conv, **_conv_of(given))
            return (lambda x: does(x, weight)), [names[0]], list(node.output)
        return partial(_DOES[node.op_type], **given), names, list(node.output)


class _Lstm:
    """One quantised layer, both ways."""

    def __init__(self, kept: Mapping[str, Tensor], names: Sequence[str], device: str) -> None:
        ways = []
        for weight, scale, zero in ((1, 8, 9), (2, 10, 11)):
            whole = kept[names[weight]].float() - _wide(kept[names[zero]])
            ways.append(whole * _wide(kept[names[scale]]))
        bias = kept[names[3]]
        size = ways[1].shape[1]
        self._lstm = torch.nn.LSTM(ways[0].shape[1], size, bidirectional=len(bias) == 2).to(device)
        order = [0, 2, 3, 1]  # input, output, forget, cell -> input, forget, cell, output
        with torch.no_grad():
            for way in range(len(bias)):
                end = "l0" + "_reverse" * way
                for name, value in (("ih", ways[0]), ("hh", ways[1])):
                    rows = value[way].T.reshape(4, size, -1)[order].reshape(4 * size, -1)
                    getattr(self._lstm, f"weight_{name}_{end}").copy_(rows)
                for name, part in zip(("ih", "hh"), bias[way].reshape(2, 4, size), strict=True):
                    getattr(self._lstm, f"bias_{name}_{end}").copy_(part[order].reshape(-1))
        self._lstm.flatten_parameters()

    def __call__(self, x: Tensor, first: Tensor, cell: Tensor) -> tuple[Tensor, ...]:
        out, (last, cells) = self._lstm(x, (first.to(x.device), cell.to(x.device)))
        length, rows, _ = out.shape
        return out.view(length, rows, 2, -1).transpose(1, 2), last, cells


def _wide(scale: Tensor) -> Tensor:
    """Return scales or offsets of (ways, columns), to lie over (ways, rows, columns)."""
    scale = scale.float()
    return scale[:, None, :] if scale.ndim == 2 else scale[:, None, None] if scale.ndim else scale


def _together(*values: Tensor) -> list[Tensor]:
    """Return tensors on the device where one of them lies."""
    for value in values:
        if value.is_cuda:
            return [one.to(value.device) if one.ndim or one.is_cuda else one for one in values]
    return list(values)


def _numbers(value: Tensor) -> list[int]:
    return [int(one) for one in value.reshape(-1).tolist()]


def _both(does: Callable[..., Tensor]) -> Callable[..., Tensor]:
    return lambda a, b, **_: does(*_together(a, b))


def _matmul(a: Tensor, b: Tensor, **_: Any) -> Tensor:
    return a.float() @ b


def _div(a: Tensor, b: Tensor) -> Tensor:
    return a / b if a.is_floating_point() else torch.div(a, b, rounding_mode="trunc")


def _fused_matmul(a: Tensor, b: Tensor, **given: Any) -> Tensor:
    a, b = _together(a, b)
    a, b = a.mT if given.get("transA") else a, b.mT if given.get("transB") else b
    return given.get("alpha", 1.0) * (a @ b)


def _gather(data: Tensor, at: Tensor, axis: int = 0) -> Tensor:
    if at.ndim == 0:
        return data.select(axis, int(at))
    rows = data.index_select(axis, at.reshape(-1).to(data.device))
    axis %= data.ndim
    return rows.reshape(*data.shape[:axis], *at.shape, *data.shape[axis + 1 :])


def _cast(x: Tensor, to: int, **_: Any) -> Tensor:
    if to in _FLOAT:
        return x.float()
    kinds = {6: torch.int32, 7: torch.int64, 9: torch.bool}
    return x.to(kinds[to]).cpu() if to in (6, 7) else x.to(kinds[to])


def _conv_of(given: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "stride": given["strides"],
        "dilation": given["dilations"],
        "groups": given["group"],
        "pads": given["pads"],
    }


def _conv(
    x: Tensor, w: Tensor, b: Tensor | None = None, *, pads: Sequence[int], **how: Any
) -> Tensor:
    x = x.float()
    if pads[0] == pads[1]:
        return functional.conv1d(x, w, b, padding=pads[0], **how)
    return functional.conv1d(functional.pad(x, tuple(pads)), w, b, **how)


def _plain_conv(x: Tensor, w: Tensor, b: Tensor | None = None, **given: Any) -> Tensor:
    return _conv(x, w, b, **_conv_of(given))


def _conv_back(x: Tensor, w: Tensor, b: Tensor | None = None, **given: Any) -> Tensor:
    return functional.conv_transpose1d(
        x,
        w,
        b,
        given["strides"],
        given["pads"][0],
        given.get("output_padding", [0]),
        given["group"],
    )


def _pad(x: Tensor, pads: Tensor, *_: Any, mode: bytes = b"constant") -> Tensor:
    count = _numbers(pads)
    half = len(count) // 2
    around = [n for axis in range(half - 1, -1, -1) for n in (count[axis], count[axis + half])]
    while len(around) > 2 and around[-2:] == [0, 0]:
        del around[-2:]
    return functional.pad(x, around, mode=mode.decode())


def _resize(x: Tensor, _: Any, scales: Tensor, mode: bytes = b"nearest", **__: Any) -> Tensor:
    count = [int(n * float(s)) for n, s in zip(x.shape, scales.reshape(-1).tolist(), strict=True)][
        2:
    ]
    if mode == b"linear":
        return functional.interpolate(x, count, mode="linear", align_corners=False)
    return functional.interpolate(x, count, mode="nearest")


def _stft(x: Tensor, step: Tensor, window: Tensor, length: Tensor, **_: Any) -> Tensor:
    found = torch.stft(
        x.reshape(len(x), -1), int(length), int(step), window=window, center=False, return_complex=True
    )  # fmt: skip
    return torch.view_as_real(found.transpose(1, 2))


def _slice(
    x: Tensor, starts: Tensor, ends: Tensor, axes: Tensor | None = None, steps: Tensor | None = None
) -> Tensor:
    at = [slice(None)] * x.ndim
    over = _numbers(axes) if axes is not None else list(range(len(_numbers(starts))))
    by = _numbers(steps) if steps is not None else [1] * len(over)
    for axis, start, end, step in zip(over, _numbers(starts), _numbers(ends), by, strict=True):
        at[axis] = slice(start, end if abs(end) < 1 << 40 else None, step)
    return x[tuple(at)]


def _split(
    x: Tensor, sizes: Tensor | None = None, axis: int = 0, num_outputs: int = 2
) -> tuple[Tensor, ...]:
    if sizes is None:
        return tuple(x.chunk(num_outputs, axis))
    return tuple(x.split(_numbers(sizes), axis))


def _reshape(x: Tensor, shape: Tensor, **_: Any) -> Tensor:
    sizes = [x.shape[n] if size == 0 else size for n, size in enumerate(_numbers(shape))]
    return x.reshape(sizes)


def _unsqueeze(x: Tensor, axes: Tensor) -> Tensor:
    many = x.ndim + axes.numel()
    for axis in sorted(a % many for a in _numbers(axes)):
        x = x.unsqueeze(axis)
    return x


def _squeeze(x: Tensor, axes: Tensor | None = None) -> Tensor:
    return x.squeeze() if axes is None else x.squeeze(tuple(_numbers(axes)))


def _reduced(does: str) -> Callable[..., Tensor]:
    def one(x: Tensor, axes: Tensor | None = None, keepdims: int = 1, **given: Any) -> Tensor:
        over = _numbers(axes) if axes is not None else list(given.get("axes", range(x.ndim)))
        return getattr(x.float() if does == "mean" else x, does)(over, keepdim=bool(keepdims))

    return one


def _normal(x: Tensor, gain: Tensor, offset: Tensor, epsilon: float = 1e-5, **_: Any) -> Tensor:
    return functional.layer_norm(x, (x.shape[-1],), gain, offset, epsilon)


def _skip_normal(
    x: Tensor, skip: Tensor, gain: Tensor, offset: Tensor, bias: Any = None, epsilon: float = 1e-5
) -> Tensor:
    total = x + skip if bias is None else x + skip + bias
    return functional.layer_norm(total, (x.shape[-1],), gain, offset, epsilon)


def _fast_gelu(x: Tensor, bias: Tensor | None = None) -> Tensor:
    return functional.gelu(x if bias is None else x + bias, approximate="tanh")


def _filled(shape: Tensor, value: Any = None) -> Tensor:
    one = numpy_helper.to_array(value).reshape(-1)[0] if value is not None else np.float32(0)
    return torch.from_numpy(np.full(_numbers(shape), one))


def _range(start: Tensor, end: Tensor, step: Tensor) -> Tensor:
    return torch.arange(start.item(), end.item(), step.item())


def _scattered(data: Tensor, at: Tensor, new: Tensor, **_: Any) -> Tensor:
    data = data.clone()
    data[tuple(at.to(data.device).unbind(-1))] = new.to(data.device)
    return data


def _clip(x: Tensor, low: Tensor | None = None, high: Tensor | None = None) -> Tensor:
    return x.clamp(None if low is None else low.item(), None if high is None else high.item())


def _dequantised(x: Tensor, scale: Tensor, zero: Tensor | None = None, **_: Any) -> Tensor:
    x, scale = _together(x.float(), scale)
    return x * scale if zero is None else (x - zero.float()) * scale


def _expanded(x: Tensor, shape: Tensor) -> Tensor:
    return x * torch.ones(_numbers(shape), dtype=x.dtype, device=x.device)


def _where(cond: Tensor, a: Tensor, b: Tensor) -> Tensor:
    return torch.where(*_together(cond, a, b))


_DOES: Mapping[str, Callable[..., Any]] = {
    "Add": _both(torch.add), "Sub": _both(torch.sub), "Mul": _both(torch.mul), "Div": _both(_div),
    "Pow": _both(torch.pow), "Equal": _both(torch.eq), "Greater": _both(torch.gt), "Less": _both(torch.lt),
    "GreaterOrEqual": _both(torch.ge), "And": _both(torch.logical_and), "MatMul": _both(torch.matmul),
    "FusedMatMul": _fused_matmul, "Gather": _gather, "Cast": _cast, "Conv": _plain_conv,
    "ConvTranspose": _conv_back, "Pad": _pad, "Resize": _resize, "STFT": _stft, "Slice": _slice,
    "Split": _split, "Reshape": _reshape, "Unsqueeze": _unsqueeze, "Squeeze": _squeeze,
    "ReduceMean": _reduced("mean"), "ReduceSum": _reduced("sum"), "LayerNormalization": _normal,
    "SkipLayerNormalization": _skip_normal, "FastGelu": _fast_gelu, "ConstantOfShape": _filled,
    "Range": _range, "ScatterND": _scattered, "Clip": _clip, "DequantizeLinear": _dequantised,
    "Where": _where,
    "DynamicQuantizeLinear": lambda x: (x, torch.ones(()), torch.zeros(())),
    "Shape": lambda x, **_: torch.tensor(x.shape),
    "Concat": lambda *x, axis: torch.cat(_together(*x), axis),
    "Transpose": lambda x, perm: x.permute(perm), "Expand": _expanded,
    "Softmax": lambda x, axis=-1: x.softmax(axis),
    "LeakyRelu": lambda x, alpha=0.01: functional.leaky_relu(x, alpha),
    "CumSum": lambda x, axis, **_: x.cumsum(int(axis)), "NonZero": lambda x: x.nonzero().T,
    "Sqrt": torch.sqrt, "Floor": torch.floor, "Sin": torch.sin, "Cos": torch.cos, "Exp": torch.exp,
    "Atan": lambda x: x.nan_to_num().atan(),  # nought over nought, as ONNX Runtime does not give
    "Tanh": torch.tanh, "Sigmoid": torch.sigmoid, "Round": torch.round,
}  # fmt: skip
