"""Coils on two wires side by side.

Map of what must hold:
  core wires that merge (spacing 0) give the coil of as many starts on one wire, exactly
  the touching pitch has a gap of 0; a larger pitch opens it, a smaller one overlaps
  the gap is that of a dense brute force on the curve itself, on half circles and flats together
  the length of a turn is the integral of its speed (mpmath, 30 digits)
  a coil of touching wraps stands off along the flats, never closer than on the half circles
"""

from __future__ import annotations

import math

import mpmath
import numpy as np
import pytest

from helix.geometry.twist.coils import coil_core_contact_length, coil_gap, touching_pitch
from helix.geometry.twist.ovals import (
    oval_core_contact_length,
    oval_flat_gap,
    oval_gap,
    oval_length,
    oval_touching_pitch,
    oval_turn_contact_length,
    oval_turn_length,
)

SPACINGS = (0.25, 1.0, 3.0)


def centre_line(place, pitch: float, spacing: float):
    """The coil at places round the oval [d], turn after turn, from its definition: circles about two wires, and flats."""
    place = np.asarray(place)
    length = 2.0 * math.pi + 2.0 * spacing
    half = length / 2.0
    number, along = np.divmod(place + math.pi / 2.0, half)
    angle = np.minimum(along, math.pi) - math.pi / 2.0
    back = np.maximum(along - math.pi, 0.0)
    sign = np.where(number % 2 == 0, 1.0, -1.0)
    x = sign * (np.cos(angle) + spacing / 2.0 - back)
    y = sign * np.sin(angle)
    return np.stack([x, y, pitch * place / length], axis=-1)


@pytest.mark.parametrize("starts", [1, 2])
def test_merged_core_wires_are_one(starts: int) -> None:
    assert oval_touching_pitch(0.0, starts) == pytest.approx(touching_pitch(1.0, starts), rel=1e-14)
    for pitch in (1.05 * starts, 1.3 * starts):
        assert oval_gap(pitch, 0.0, starts) == pytest.approx(coil_gap(1.0, pitch, starts), abs=1e-14)
    pitch = touching_pitch(1.0, starts)
    assert oval_core_contact_length(pitch, 0.0) == pytest.approx(coil_core_contact_length(1.0, pitch), rel=1e-14)


@pytest.mark.parametrize("spacing", SPACINGS)
@pytest.mark.parametrize("starts", [1, 2, 3])
def test_the_gap_is_that_of_brute_force(spacing: float, starts: int) -> None:
    from scipy.spatial import cKDTree

    touching = oval_touching_pitch(spacing, starts)
    length = oval_length(spacing)
    step = 2e-3
    for pitch in (touching, 0.9 * touching, 1.2 * touching):
        one = centre_line(np.arange(-0.25 * length, 0.25 * length, step), pitch, spacing)
        other = centre_line(np.arange(-0.35 * length, 0.35 * length, step), pitch, spacing) + [0.0, 0.0, pitch / starts]
        least = float(cKDTree(other).query(one)[0].min()) - 1.0
        # two places each up to half a step off along the wire are further apart by up to step^2/4
        assert oval_gap(pitch, spacing, starts) == pytest.approx(least, abs=step**2)


@pytest.mark.parametrize("spacing", SPACINGS)
def test_touching_is_a_gap_of_nothing(spacing: float) -> None:
    pitch = oval_touching_pitch(spacing)
    assert oval_gap(pitch, spacing) == pytest.approx(0.0, abs=1e-14)
    assert oval_gap(0.999 * pitch, spacing) < 0.0 < oval_gap(1.001 * pitch, spacing)
    assert 0.0 < oval_flat_gap(pitch, spacing) < 1e-3


def test_a_wider_core_has_a_smaller_lead() -> None:
    pitches = [oval_touching_pitch(spacing) for spacing in (0.0, 0.5, 1.0, 2.0, 10.0)]
    assert pitches == sorted(pitches, reverse=True)
    assert pitches[-1] > 2.0  # two wires side by side, at last


@pytest.mark.parametrize("spacing", SPACINGS)
def test_the_length_of_a_turn_is_the_integral_of_its_speed(spacing: float) -> None:
    pitch = 2.3
    climb = mpmath.mpf(pitch) / (2 * mpmath.pi + 2 * mpmath.mpf(spacing))
    arc = mpmath.quad(lambda t: mpmath.sqrt(mpmath.sin(t) ** 2 + mpmath.cos(t) ** 2 + climb**2), [0, mpmath.pi])
    flat = mpmath.quad(lambda t: mpmath.sqrt(1 + climb**2), [0, spacing])
    assert oval_turn_length(pitch, spacing) == pytest.approx(float(2 * arc + 2 * flat), rel=1e-14)


def test_lines_of_contact_are_those_of_the_curve() -> None:
    """Midway between coil and core wire, and between neighbouring turns, summed along the curve."""
    pitch, spacing = oval_touching_pitch(), 1.0
    length = oval_length(spacing)
    angle = np.linspace(-math.pi / 2.0, math.pi / 2.0, 4001)
    on_core = np.stack([0.5 * np.cos(angle), 0.5 * np.sin(angle), pitch * angle / length], axis=1)
    along = float(np.linalg.norm(np.diff(on_core, axis=0), axis=1).sum())
    assert oval_core_contact_length(pitch) == pytest.approx(2.0 * along, rel=1e-6)
    from scipy.spatial import cKDTree

    place = np.arange(-math.pi / 2.0, math.pi / 2.0, 1e-3)
    own = centre_line(place, pitch, spacing)
    other = centre_line(np.arange(-0.6 * length, 0.6 * length, 1e-3), pitch, spacing) + [0.0, 0.0, pitch / 2.0]
    apart, foot = cKDTree(other).query(own)
    touching = apart < 1.0 + 1e-6
    middle = 0.5 * (own + other[foot])[touching]
    assert oval_turn_contact_length(pitch) == pytest.approx(
        2.0
        * float(np.linalg.norm(middle[-1] - middle[0]) and np.linalg.norm(np.diff(middle[::20], axis=0), axis=1).sum()),
        rel=0.02,  # the ends of the line are found to the nearest of 20 samples
    )


def test_what_cannot_be_is_refused() -> None:
    for call in (lambda: oval_length(-1.0), lambda: oval_touching_pitch(1.0, 0), lambda: oval_touching_pitch(0.0, 9)):
        with pytest.raises(ValueError, match=r"must be|do not fit"):
            call()
