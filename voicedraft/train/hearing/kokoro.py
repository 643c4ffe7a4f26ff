"""Kokoro-82M in PyTorch, so that an accelerator speaks: the published ONNX graph computed node by node.

The file's weights are int8; inputs of layers, which ONNX Runtime makes int8 on the way, are left as they are here, so
that the voice is at least as clean. Operators as the ONNX specification (opset 20) and ONNX Runtime's own operators
(`com.microsoft`) say. One sentence at a time.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import torch
from torch.nn import functional

TYPES = {1: torch.float32, 6: torch.int32, 7: torch.int64, 9: torch.bool}
"""ONNX's numbers for types that the graph casts to."""
RATE = 24_000
"""Samples a second that Kokoro speaks with."""


class Kokoro:
    """The model on a device; numbers of pieces and shapes stay on the processor."""

    def __init__(self, file: Path, device: str) -> None:
        import onnx
        from onnx import numpy_helper

        graph = onnx.load(str(file)).graph
        self._device = device
        self._held = {i.name: self._placed(torch.tensor(numpy_helper.to_array(i))) for i in graph.initializer}
        self._nodes = [_Node(n, onnx.helper.get_attribute_value, self._held, device) for n in graph.node]
        self._out = graph.output[0].name
        last = {name: n for n, node in enumerate(self._nodes) for name in node.inputs}
        self._done = [[name for name in dict.fromkeys(node.inputs) if last[name] == n and name not in self._held]
                      for n, node in enumerate(self._nodes)]

    def _placed(self, tensor: torch.Tensor) -> torch.Tensor:
        return tensor.to(self._device) if tensor.is_floating_point() and tensor.dim() else tensor

    def __call__(self, pieces: Sequence[int], style: torch.Tensor, speed: float) -> torch.Tensor:
        """Samples at RATE. pieces: of the vocabulary, 0 first and last; style: (1, 256)."""
        with torch.no_grad():
            return self._said({"tokens": torch.tensor([list(pieces)]), "style": style.to(self._device),
                               "speed": torch.tensor([speed])})

    def _said(self, held: dict[str, Any]) -> torch.Tensor:
        for node, done in zip(self._nodes, self._done, strict=True):
            given = [held.get(name, self._held.get(name)) if name else None for name in node.inputs]
            found = node(given)
            placed = [self._placed(x) for x in (found if isinstance(found, tuple) else (found,))]
            held.update(zip(node.outputs, placed, strict=False))
            for name in done:
                held.pop(name, None)
        out: torch.Tensor = held[self._out]
        return out.reshape(-1)


class _Node:
    """One operator with what it keeps from one sentence to the next."""

    def __init__(self, node: Any, read: Callable[[Any], Any], held: dict[str, torch.Tensor], device: str) -> None:
        self.inputs, self.outputs = list(node.input), list(node.output)
        self._set = {a.name: read(a) for a in node.attribute}
        self._count = len(self.outputs)
        self._run: Callable[..., Any] = OPERATORS[node.op_type]
        self._kept: Any = None
        fixed: list[Any] = [held.get(name) for name in node.input]
        if node.op_type in ("MatMulInteger", "ConvInteger"):
            self._kept = (fixed[1].float() - _column(fixed[3], fixed[1])).to(device)
        elif node.op_type == "DynamicQuantizeLSTM":
            self._kept = _lstm(fixed).to(device)
        elif node.op_type == "ConstantOfShape":
            from onnx import numpy_helper

            self._kept = torch.tensor(numpy_helper.to_array(self._set["value"]))

    def __call__(self, given: list[Any]) -> Any:
        return self._run(self, *given)

    def get(self, name: str, other: Any) -> Any:
        """An attribute."""
        return self._set.get(name, other)


def _column(zero: torch.Tensor, weight: torch.Tensor) -> torch.Tensor:
    zero = zero.float()
    return zero.reshape(-1, *[1] * (weight.dim() - 1)) if zero.dim() and weight.dim() == 3 else zero


def _lstm(fixed: Sequence[Any]) -> torch.nn.LSTM:
    """ONNX has the gates as input, output, forget, cell; PyTorch as input, forget, cell, output."""
    def gates(x: torch.Tensor) -> torch.Tensor:
        i, o, f, c = x.chunk(4, 0)
        return torch.cat([i, f, c, o])

    w, r, b, w_scale, w_zero, r_scale, r_zero = (fixed[n].cpu() for n in (1, 2, 3, -4, -3, -2, -1))
    layer = torch.nn.LSTM(w.shape[1], r.shape[1], bidirectional=True)
    for way, name in enumerate(("", "_reverse")):
        for kind, held, scale, zero, bias in (("ih", w, w_scale, w_zero, b[way].chunk(2)[0]),
                                              ("hh", r, r_scale, r_zero, b[way].chunk(2)[1])):
            matrix = (held[way].float() - zero[way].float()) * scale[way]
            getattr(layer, f"weight_{kind}_l0{name}").data = gates(matrix.T.contiguous())
            getattr(layer, f"bias_{kind}_l0{name}").data = gates(bias)
    return layer


def _same(a: torch.Tensor, b: torch.Tensor) -> tuple[torch.Tensor, torch.Tensor]:
    if a.device != b.device and a.dim() and b.dim():
        return (a.to(b.device), b) if a.device.type == "cpu" else (a, b.to(a.device))
    return a, b


def _pair(run: Callable[[torch.Tensor, torch.Tensor], torch.Tensor]) -> Callable[..., torch.Tensor]:
    return lambda node, a, b: run(*_same(a, b))


def _div(a: torch.Tensor, b: torch.Tensor) -> torch.Tensor:
    """Nothing by nothing is nothing: the graph takes the phase of silence so."""
    if not a.is_floating_point():
        return torch.div(a, b, rounding_mode="trunc")
    return torch.nan_to_num(a / b, nan=0.0, posinf=torch.inf, neginf=-torch.inf)


def _list(x: torch.Tensor | None) -> list[int]:
    return [] if x is None else [int(i) for i in x.reshape(-1).tolist()]


def _gather(node: _Node, data: torch.Tensor, index: torch.Tensor) -> torch.Tensor:
    axis = node.get("axis", 0)
    flat = index.reshape(-1).long()
    flat = torch.where(flat < 0, flat + data.shape[axis], flat).to(data.device)
    shape = (*data.shape[:axis], *index.shape, *data.shape[axis + 1 :])
    return data.index_select(axis, flat).reshape(shape)


def _slice(node: _Node, data: torch.Tensor, start: torch.Tensor, end: torch.Tensor, axes: torch.Tensor | None = None,
           steps: torch.Tensor | None = None) -> torch.Tensor:
    for at, (a, z) in enumerate(zip(_list(start), _list(end), strict=True)):
        axis = _list(axes)[at] if axes is not None else at
        step = _list(steps)[at] if steps is not None else 1
        if step < 0:
            data, step, a, z = data.flip(axis), -step, 0, data.shape[axis]
        cut: list[Any] = [slice(None)] * data.dim()
        cut[axis] = slice(a, min(z, data.shape[axis]) if z > 0 else z, step)
        data = data[tuple(cut)]
    return data


def _reshape(node: _Node, data: torch.Tensor, shape: torch.Tensor) -> torch.Tensor:
    wanted = _list(shape)
    return data.reshape([data.shape[n] if size == 0 else size for n, size in enumerate(wanted)])


def _expand(node: _Node, data: torch.Tensor, shape: torch.Tensor) -> torch.Tensor:
    return data.expand(torch.broadcast_shapes(data.shape, tuple(_list(shape))))


def _unsqueeze(node: _Node, data: torch.Tensor, axes: torch.Tensor) -> torch.Tensor:
    for axis in sorted(_list(axes)):
        data = data.unsqueeze(axis)
    return data


def _squeeze(node: _Node, data: torch.Tensor, axes: torch.Tensor) -> torch.Tensor:
    for axis in sorted((a % data.dim() for a in _list(axes)), reverse=True):
        data = data.squeeze(axis)
    return data


def _split(node: _Node, data: torch.Tensor, sizes: torch.Tensor | None = None) -> tuple[torch.Tensor, ...]:
    axis = node.get("axis", 0)
    return tuple(data.split(_list(sizes), axis) if sizes is not None else data.chunk(len(node.outputs), axis))


def _conv(node: _Node, x: torch.Tensor, weight: torch.Tensor, bias: torch.Tensor | None, across: bool) -> torch.Tensor:
    low = node.get("pads", [0, 0])[0]
    step, group, wide = node.get("strides", [1])[0], node.get("group", 1), node.get("dilations", [1])[0]
    if across:
        extra = node.get("output_padding", [0])[0]
        return functional.conv_transpose1d(x, weight, bias, step, low, extra, group, wide)
    return functional.conv1d(x, weight, bias, step, low, wide, group)


def _resize(node: _Node, x: torch.Tensor, _: Any, scales: torch.Tensor) -> torch.Tensor:
    size = int(x.shape[-1] * float(scales.reshape(-1)[-1]) + 1e-4)
    return functional.interpolate(x, size, mode=node.get("mode", b"nearest").decode())


def _pad(node: _Node, x: torch.Tensor, pads: torch.Tensor) -> torch.Tensor:
    low, high = _list(pads)[x.dim() - 1], _list(pads)[-1]
    shape = x.shape
    return functional.pad(x.reshape(1, -1, shape[-1]), (low, high), node.get("mode", b"constant").decode()).reshape(
        *shape[:-1], -1)


def _stft(node: _Node, x: torch.Tensor, step: torch.Tensor, window: torch.Tensor, *_: Any) -> torch.Tensor:
    pieces = x.reshape(x.shape[0], -1).unfold(-1, len(window), int(step)) * window.to(x.device)
    return torch.view_as_real(torch.fft.rfft(pieces))


def _lstm_run(node: _Node, x: torch.Tensor, *_: Any) -> tuple[torch.Tensor, ...]:
    y, (h, c) = node._kept(x.to(next(node._kept.parameters()).device))
    return y.reshape(*y.shape[:2], 2, -1).transpose(1, 2), h, c


def _scatter(node: _Node, data: torch.Tensor, index: torch.Tensor, updates: torch.Tensor) -> torch.Tensor:
    out = data.clone()
    out[tuple(index.to(data.device).unbind(-1))] = updates.to(data.device)
    return out


def _matmul(node: _Node, a: torch.Tensor, b: torch.Tensor) -> torch.Tensor:
    a, b = _same(a, b)
    return (a.transpose(-1, -2) if node.get("transA", 0) else a) @ b * node.get("alpha", 1.0)


def _where(node: _Node, yes: torch.Tensor, a: torch.Tensor, b: torch.Tensor) -> torch.Tensor:
    place = next((x.device for x in (yes, a, b) if x.device.type != "cpu"), yes.device)
    return torch.where(yes.to(place), a.to(place), b.to(place))


def _norm(x: torch.Tensor, gamma: torch.Tensor, beta: torch.Tensor, least: float) -> torch.Tensor:
    return functional.layer_norm(x.to(gamma.device), x.shape[-1:], gamma, beta, least)


def _mean(node: _Node, x: torch.Tensor, axes: torch.Tensor) -> torch.Tensor:
    return x.mean(_list(axes), keepdim=bool(node.get("keepdims", 1)))


OPERATORS: dict[str, Callable[..., Any]] = {
    "Add": _pair(torch.add), "Sub": _pair(torch.sub), "Mul": _pair(torch.mul), "Div": _pair(_div),
    "Pow": _pair(torch.pow), "Equal": _pair(torch.eq), "Less": _pair(torch.lt), "Greater": _pair(torch.gt),
    "GreaterOrEqual": _pair(torch.ge), "And": _pair(torch.logical_and), "MatMul": _matmul, "FusedMatMul": _matmul,
    "Sqrt": lambda n, x: x.sqrt(), "Sin": lambda n, x: x.sin(), "Cos": lambda n, x: x.cos(),
    "Exp": lambda n, x: x.exp(), "Floor": lambda n, x: x.floor(), "Round": lambda n, x: x.round(),
    "Tanh": lambda n, x: x.tanh(), "Sigmoid": lambda n, x: x.sigmoid(), "Atan": lambda n, x: x.atan(),
    "Softmax": lambda n, x: x.softmax(n.get("axis", -1)),
    "LeakyRelu": lambda n, x: functional.leaky_relu(x, n.get("alpha", 0.01)),
    "FastGelu": lambda n, x, b: functional.gelu(x + b, approximate="tanh"),
    "LayerNormalization": lambda n, x, g, b: _norm(x, g, b, n.get("epsilon", 1e-5)),
    "SkipLayerNormalization": lambda n, x, more, g, b: _norm(x + more, g, b, n.get("epsilon", 1e-5)),
    "Cast": lambda n, x: x.to(TYPES[n.get("to", 1)]),
    "Shape": lambda n, x: torch.tensor(x.shape)[n.get("start", 0) : n.get("end", None)],
    "Gather": _gather, "Slice": _slice, "Reshape": _reshape, "Expand": _expand, "Unsqueeze": _unsqueeze,
    "Squeeze": _squeeze, "Split": _split, "Resize": _resize, "Pad": _pad, "STFT": _stft, "ScatterND": _scatter,
    "Where": _where, "Transpose": lambda n, x: x.permute(n.get("perm", None)),
    "Concat": lambda n, *xs: torch.cat([x.to(next((y.device for y in xs if y.device.type != "cpu"), x.device))
                                        for x in xs], n.get("axis", 0)),
    "ReduceMean": _mean,
    "ReduceSum": lambda n, x, axes: x.sum(_list(axes), keepdim=bool(n.get("keepdims", 1))),
    "Clip": lambda n, x, low=None, high=None: x.clamp(*(None if y is None else float(y) for y in (low, high))),
    "CumSum": lambda n, x, axis: x.cumsum(int(axis)),
    "Range": lambda n, a, z, step: torch.arange(int(a), int(z), int(step)),
    "NonZero": lambda n, x: torch.nonzero(x).T,
    "ConstantOfShape": lambda n, shape: n._kept.expand(_list(shape)),
    "DequantizeLinear": lambda n, x, scale, zero: (x.to(scale.device).float() - zero.to(scale.device).float()) * scale,
    "DynamicQuantizeLinear": lambda n, x: (x, torch.tensor(1.0), torch.tensor(0.0)),
    "MatMulInteger": lambda n, x, *_: x.to(n._kept.device) @ n._kept,
    "ConvInteger": lambda n, x, *_: _conv(n, x.to(n._kept.device), n._kept, None, False),
    "Conv": lambda n, x, w, b=None: _conv(n, x, w, b, False),
    "ConvTranspose": lambda n, x, w, b=None: _conv(n, x, w, b, True),
    "DynamicQuantizeLSTM": _lstm_run,
}
