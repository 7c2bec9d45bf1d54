"""A legend as shapes: swatches with words, or a scale with ticks; true to the colours on the wire."""

from __future__ import annotations

import numpy as np

from helix.output.canvas.lettering import fitted_line, text_width, wrapped
from helix.output.canvas.primitives import INK, SOFT, Area, Primitive, Stroke, Text, rectangle
from helix.output.shape.colouring import Legend, hex_of, ramp

_STEPS = 64


def legend_height(legend: Legend, f: float, width: float) -> float:
    """Height that :func:`legend_shapes` takes at a font of height f and a width."""
    if legend.scale is not None:
        return (1.6 + 1.3 + 1.6 + 1.35 * len(wrapped(legend.note, 0.9 * f, width))) * f
    return (_title_height(legend) + 1.5 * (_rows(legend, f, width)[-1][0] + 1)) * f if legend.entries else 0.0


def _title_height(legend: Legend) -> float:
    return 1.6 if legend.title else 0.1


def legend_shapes(legend: Legend, x: float, y: float, f: float, width: float) -> list[Primitive]:
    """The legend with its upper left corner at (x, y)."""
    if legend.scale is not None:
        return _scale(legend, x, y, f, width)
    if not legend.entries:
        return []
    title = fitted_line(legend.title, 0.9 * f, width)
    shapes: list[Primitive] = [Text(x, y + 0.9 * f, title, 0.9 * f, SOFT)] if title else []
    for (row, left), entry in zip(_rows(legend, f, width), legend.entries, strict=True):
        top, at = y + (_title_height(legend) + 1.5 * row) * f, x + left
        wide = 1.6 * f / len(entry.colours)
        for k, colour in enumerate(entry.colours):
            shapes.append(
                Area(rectangle(at + k * wide, top, at + (k + 1) * wide, top + 0.9 * f), colour, role="swatch")
            )
        shapes.append(Area(rectangle(at, top, at + 1.6 * f, top + 0.9 * f), None, SOFT, 0.06 * f))
        shapes.append(Text(at + 2.0 * f, top + 0.8 * f, entry.text, 0.95 * f))
    return shapes


def _scale(legend: Legend, x: float, y: float, f: float, width: float) -> list[Primitive]:
    low, high = legend.scale or (0.0, 1.0)
    shapes: list[Primitive] = [Text(x, y + 0.9 * f, fitted_line(legend.title, 0.9 * f, width), 0.9 * f, SOFT)]
    top, long = y + 1.6 * f, min(width, 24.0 * f)
    edges = np.linspace(0.0, long, _STEPS + 1)
    colours = ramp((np.arange(_STEPS) + 0.5) / _STEPS)
    for a, b, colour in zip(edges[:-1], edges[1:], colours, strict=True):
        shapes.append(Area(rectangle(x + a, top, x + b + 0.3, top + 1.1 * f), hex_of(colour), role="scale"))
    for value, label in legend.ticks:
        at = x + long * (value - low) / (high - low)
        shapes.append(Stroke(((at, top), (at, top + 1.5 * f)), 0.1 * f, INK, f"tick {label}"))
        anchor = "start" if at < x + f else "end" if at > x + long - f else "middle"
        shapes.append(Text(at, top + 2.5 * f, label, 0.9 * f, INK, anchor=anchor))
    for k, line in enumerate(wrapped(legend.note, 0.9 * f, width)):
        shapes.append(Text(x, top + (4.0 + 1.35 * k) * f, line, 0.9 * f, SOFT))
    return shapes


def _rows(legend: Legend, f: float, width: float) -> list[tuple[int, float]]:
    """Row and left edge of each entry, as many in a row as fit."""
    places, row, x = [], 0, 0.0
    for entry in legend.entries:
        wide = 2.0 * f + text_width(entry.text, 0.95 * f)
        if x > 0.0 and x + wide > width:
            row, x = row + 1, 0.0
        places.append((row, x))
        x += wide + 1.2 * f
    return places
