"""Joints at fault as a picture shows them, for the tests of the picture, its marks and its close-ups."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from helix.output.canvas.canvas import Canvas
from helix.output.canvas.primitives import Stroke
from helix.output.shape.colouring import METAL, rgb
from helix.studies.shape.shape import ShapeResult, shape

VERMILLION = np.array([0xD5, 0x5E, 0x00])
METAL_RGB = rgb(METAL)
MANY_FAULTS = "many faults"
# what hands should do, or what is missing, is drawn into the close-up of a joint at fault
HANDS = {
    "wide-throat": ("push", "closer together"),
    "overbent-120": ("hand", ""),
    "short-exit": ("span", "too short"),
    "loose-twist": ("hand", "wind it steeper"),
    "over-twist": ("hand", "stop sooner"),
    "uneven-zero": ("hand", "turn both legs"),
    "uneven-half": ("hand", "turn both legs"),
    "open-barrel": ("push", "wind tight"),
    "opposite-hand-barrel": ("slant", "left-hand: wrong way"),
    "tight-pitch": ("gap", "no room for them"),
    "twist-only": ("ghost", "wraps missing"),
    "wraps-only": ("missing", "the twist is missing here"),
    "small-entry-radius": ("card leader", "no kink here"),
}
# what stands in a picture, by the roles of its shapes
FAULTS_SEEN = ("few-wraps", "few-turns", "long-lay", "small-eye", "quick-swing", *HANDS)


def seen(example: Callable[[str], ShapeResult], name: str) -> ShapeResult:
    """A joint at fault, of the examples or the good one made otherwise."""
    good = example("faults/good").recipe
    match name:
        case "few-wraps":
            return shape(good.variant(barrel=replace(good.barrel, wraps=2.0)))
        case "few-turns":
            return shape(good.variant(twist=replace(good.twist, turns=2.5, length_mm=None)))
        case "long-lay":
            lay_mm = 8.0 * good.wire.diameter_mm
            return shape(good.variant(twist=replace(good.twist, lay_mm=lay_mm, length_mm=None)))
        case "small-eye":
            return shape(good.variant(eye=replace(good.eye, pin_mm=2.0 * good.wire.diameter_mm)))
        case "quick-swing":
            return shape(good.variant(exit=replace(good.exit, style="given", swing_turns=0.1)))
    return example(f"faults/{name}")


def strokes(canvas: Canvas, *roles: str) -> list[Stroke]:
    return [item for item in canvas.over if isinstance(item, Stroke) and item.role.split(" ")[0] in roles]
