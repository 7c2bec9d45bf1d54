"""What readings give, and how sure it is.

Map of what must hold:
  a direct reading and its limits = the closed form and its first derivatives
  what is not read is the recipe's, within its tolerances; a tighter reading gives tighter limits
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from helix.geometry.twist.strands import coil_gap, even_radius, touching_pitch, uneven_radii
from helix.mechanics import limits
from helix.model.joint.joint import build_joint
from helix.studies.inspect.made_joint import derived, evenness_of
from helix.studies.shape.joint_sizes import finished_mm
from tests.studies.inspect.inspected_joints import D, found, recipe


def test_lay_and_its_limits_are_those_of_a_quotient() -> None:
    sizes = found(twist_length="11.6 mm +- 0.1 mm", turns="5").sizes
    lay = sizes["lay"]
    assert lay.value == pytest.approx(11.6 / 5, rel=1e-9)
    assert lay.sd == pytest.approx(0.1 / 5, rel=1e-6)
    assert lay.high - lay.value == pytest.approx(limits.SURE * 0.02, rel=1e-6)
    # the angle follows tan = pi d / lay; the wire's own half per cent counts too
    slope = -math.pi * D / (lay.value**2 + (math.pi * D) ** 2)
    by_lay, by_wire = slope * 0.02, slope * lay.value * 0.005
    assert sizes["angle"].value == pytest.approx(math.atan(math.pi * D / lay.value), rel=1e-9)
    assert sizes["angle"].sd == pytest.approx(math.hypot(by_lay, by_wire), rel=1e-4)
    uncertain = found(twist_length="11.6 mm +- 0.1 mm", turns="5 +- 0.1").sizes["lay"]
    assert uncertain.sd == pytest.approx(11.6 / 5 * math.hypot(0.1 / 11.6, 0.1 / 5), rel=1e-3)


def test_crossings_are_half_turns() -> None:
    assert (
        found(twist_length="14.7 mm +- 0.1 mm", crossings="10").sizes["lay"]
        == found(twist_length="14.7 mm +- 0.1 mm", turns="5").sizes["lay"]
    )


def test_gap_between_wraps() -> None:
    sizes = found(barrel_length="5.2 mm +- 0.05 mm", wraps="5", wire="0.7366 mm +- 0.001 mm").sizes
    pitch = (5.2 - D) / 5
    assert sizes["gap"].value == pytest.approx(coil_gap(1.0, pitch / D) * D, rel=1e-4)
    # the wraps are inclined: their gap is a little less than that of their pitch
    assert 0.9 < sizes["gap"].value / (pitch - touching_pitch() * D) < 1.0
    assert sizes["gap"].sd == pytest.approx(0.05 / 5, rel=0.05)


@pytest.mark.parametrize("evenness", [0.0, 0.25, 0.6, 0.9])
@pytest.mark.parametrize("lay", [2.6, 3.3, 4.0, 6.0])
def test_evenness_is_the_inverse_of_the_radii(evenness: float, lay: float) -> None:
    assert evenness_of(max(uneven_radii(lay, evenness)), lay) == pytest.approx(evenness, abs=1e-9)
    assert evenness_of(even_radius(lay) - 0.01, lay) == pytest.approx(1.02, abs=1e-9)


def test_evenness_of_a_thick_twist() -> None:
    result = found(twist_diameter="1.62 mm +- 0.01 mm")
    assert result.doubts == ()  # a ring is of four strands
    sizes = result.sizes["evenness"]
    assert sizes.value == pytest.approx(3.0 - 1.62 / D, abs=1e-6)
    assert sizes.sd == pytest.approx(math.hypot(0.01 / D, 1.62 / D * 0.005), rel=1e-3)
    assert sizes.off


def test_what_is_not_read_is_the_recipe_s() -> None:
    result = found(eye="6.1 mm +- 0.01 mm")
    lay = result.sizes["lay"]
    assert not lay.read
    assert lay.value == pytest.approx(recipe().twist.lay_mm)
    assert lay.sd == pytest.approx(recipe().tolerance.lay_mm, rel=1e-6)
    assert result.sizes["pin"].value == pytest.approx(6.1, abs=1e-6)
    assert result.made.eye.pin_mm == pytest.approx(6.1, abs=1e-6)


def test_a_closer_reading_gives_closer_limits() -> None:
    wide, close = (found(twist_length=f"14.7 mm +- {sd} mm", turns="5").sizes["finished"] for sd in (0.3, 0.03))
    assert close.sd < wide.sd
    measured = found(twist_length="14.7 mm +- 0.03 mm", turns="5", length="31 mm +- 0.03 mm").sizes["finished"]
    assert measured.sd < 0.2 * close.sd
    assert measured.value == pytest.approx(31.0, abs=0.01)


def test_the_finished_length_follows_the_twist() -> None:
    """A twist that is a millimetre longer makes the joint a millimetre longer, but for the eye and the exit."""
    base, longer = (found(twist_length=f"{mm} mm +- 0.01 mm", turns="5").sizes["finished"].value for mm in (14.5, 15.5))
    exact = [
        finished_mm(build_joint(replace(recipe(), twist=replace(recipe().twist, lay_mm=mm / 5)))) for mm in (14.5, 15.5)
    ]
    assert longer - base == pytest.approx(exact[1] - exact[0], abs=0.02)


def test_derived_sizes_of_the_recipe_itself() -> None:
    pitch = touching_pitch() * D
    v = np.array([D, 4 * D, 0.5, 5.0, pitch, 5.0, 1.0, 6.0, 0.0])
    angle, gap, evenness, length = derived(v, None)
    assert math.degrees(angle) == pytest.approx(38.14603, abs=1e-5)
    assert abs(gap) < 1e-12
    assert evenness == pytest.approx(1.0, abs=1e-12)
    assert math.isnan(length)
