"""The shape of two wires worked as one.

Map of what must hold:
  each wire has its own cut and sections, which sum to it; one wire is a list of one
  nothing overlaps, by brute force on samples of both wires
  the other hand has the same lengths; a thicker wire the same joint in wire diameters
  side by side both are alike but for the exits; one over the other the outer is longer by what it turns through
  what is not modelled is refused, one line each
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest
from scipy.spatial import cKDTree

from helix.errors import ValidationError
from helix.findings import Severity
from helix.model.joint.joint import build_joint
from helix.model.recipe.recipe import recipe_from_text, recipe_from_values
from helix.model.recipe.recipe_writing import recipe_file_text
from helix.studies.shape.outline import draft
from helix.studies.shape.remedies import remedies
from helix.studies.shape.shape import ShapeResult, shape

BASE = {"size": "MWG 12", "material": "302 stainless", "pin_mm": 6.0, "count": 2}


@lru_cache
def two(**values: object) -> ShapeResult:
    return shape(recipe_from_values({**BASE, **values}))


def test_each_wire_has_its_cut_and_sections() -> None:
    result = two()
    assert len(result.wires) == 2
    for wire in result.wires:
        handle = result.recipe.finish.handle_mm
        assert sum(row.wire_mm for row in wire.sections) + handle == pytest.approx(wire.cut_mm, rel=1e-12)
        assert wire.low_mm < wire.cut_mm < wire.high_mm
    assert result.cut.total_mm == max(wire.cut_mm for wire in result.wires)
    one = shape(recipe_from_values({**BASE, "count": 1}))
    assert [wire.cut_mm for wire in one.wires] == [one.cut.total_mm] and one.sections == one.wires[0].sections


@pytest.mark.parametrize("pair", ["side by side", "one over the other"])
def test_nothing_overlaps(pair: str) -> None:
    result = two(pair=pair)
    assert result.clearance.least_d > -1e-9
    samples = [path.sample(0.02, 0.5) for path in result.joint.layout.paths]
    assert cKDTree(samples[0].points).query(samples[1].points)[0].min() > 1.0 - 1e-9
    for own in samples:
        near = cKDTree(own.points).query_pairs(1.0 - 1e-9, output_type="ndarray")
        assert not near.size or np.abs(np.subtract(*own.s[near].T)).max() < 1.6


def test_how_much_longer_the_outer_wire_is() -> None:
    beside, over = two(), two(pair="one over the other")
    d = beside.recipe.wire.diameter_mm
    apart = {result.recipe.eye.pair: [w.sections for w in result.wires] for result in (beside, over)}

    def eye_mm(sections) -> float:
        return sum(row.wire_mm for row in sections if row.name in ("eye", "entry_tag", "entry_standing"))

    one, other = (eye_mm(sections) for sections in apart["side by side"])
    assert one == pytest.approx(other, rel=1e-9)
    outer, inner = (eye_mm(sections) for sections in apart["one over the other"])
    turned = np.pi + 2.0 * over.joint.layout.sizes.tangent_half
    assert (outer - inner) / d == pytest.approx(turned, rel=0.02)  # the joins at the throat are part of it


def test_hand_and_size() -> None:
    def cuts_d(values: dict[str, object]) -> list[float]:
        joint = build_joint(recipe_from_values({**BASE, **values}))
        handle_mm = joint.recipe.finish.handle_mm
        return [(wire.wire_mm + handle_mm - 360.0) / joint.diameter_mm for wire in joint.wires]

    right = [(wire.cut_mm - 360.0) / two().recipe.wire.diameter_mm for wire in two().wires]
    assert cuts_d({"twist": {"hand": "left"}}) == pytest.approx(right, rel=1e-11)
    d = two().recipe.wire.diameter_mm
    thicker = {"size": None, "diameter_mm": 2.0 * d, "pin_mm": 12.0}
    assert cuts_d(thicker) == pytest.approx(right, rel=1e-9)


def test_the_file_of_a_recipe_reads_as_it_was() -> None:
    recipe = two(pair="one over the other").recipe
    again = recipe_from_text(recipe_file_text(recipe))
    assert (again.wire.count, again.eye.pair, again.twist) == (2, "one over the other", recipe.twist)


def test_no_model_says_that_it_holds() -> None:
    judgement = two().judgement
    assert (judgement.code, judgement.severity) == ("two-wires", Severity.CAUTION)


@pytest.mark.parametrize(
    ("lay_d", "code"), [(5.0, "over-twist"), pytest.param(20.0, "loose-lay", marks=pytest.mark.slow)]
)
def test_a_lay_that_is_off_is_answered_with_the_usual_one_of_two(lay_d: float, code: str) -> None:
    """It was answered with that of one wire, 3.5 d, which four strands cannot be laid to."""
    result = two(lay_d=lay_d, pin_mm=30.0)
    assert code in {finding.code for finding in result.findings}
    ways = [remedy for remedy in remedies(result) if "twist.lay_length" in remedy.changes]
    assert ways and all(remedy.changes["twist.lay_length"] == "6.7 d" for remedy in ways)


def test_a_draft_is_the_joint() -> None:
    sketched = draft(two().recipe)
    assert sketched.cut_mm == pytest.approx(two().wires[0].cut_mm, abs=0.01)


def test_unequal_wires_are_told_that_a_pair_is_of_one_size() -> None:
    text = '[wire]\nsize = ["MWG 12", "MWG 14"]\nmaterial = "302 stainless"\ncount = 2\n[eye]\npin = "8 mm"\n'
    with pytest.raises(ValidationError) as refused:
        recipe_from_text(text)
    assert [(fault.path.name, fault.code, "alike" in fault.message) for fault in refused.value.faults] == [
        ("wire.size", "wrong-type", True)
    ]


@pytest.mark.parametrize(
    ("values", "key", "code"),
    [
        ({"count": 0}, "wire.count", "out-of-range"),
        ({"count": 3}, "wire.count", "out-of-range"),
        ({"count": 2.5}, "wire.count", "out-of-range"),
        ({"evenness": 0.9}, "twist.evenness", "not-for-two"),
        ({"turns": 0}, "twist.turns", "not-for-two"),
        ({"entry": {"radius": "1 d"}}, "entry.radius", "not-for-two"),
        ({"peak_angle_deg": 100}, "exit.peak_angle", "not-for-two"),
        ({"barrel": {"hand": "opposite"}}, "barrel.hand", "not-for-two"),
        ({"wraps": 51}, "barrel.wraps", "not-for-two"),
        ({"lay_angle_deg": 38}, "twist.lay_angle", "not-for-two"),
        ({"lay_d": 4}, "twist.lay_d", "lay-too-short"),
        ({"pin_d": 2}, "eye.pin", "eye-cannot-close"),
    ],
)
def test_what_is_not_modelled_is_refused(values: dict[str, object], key: str, code: str) -> None:
    with pytest.raises(ValidationError) as refused:
        shape(
            recipe_from_values(
                {**{k: v for k, v in BASE.items() if not (k == "pin_mm" and "pin_d" in values)}, **values}
            )
        )
    found = [(fault.path.name.replace("lay_angle_deg", "lay_angle").replace("peak_angle_deg", "peak_angle"), fault.code)
             for fault in refused.value.faults]  # fmt: skip
    assert found == [(key, code)]
