"""The numbers that the docs quote, worked out again.

Tables are read from the page and compared cell by cell at the digits they show. A number in a sentence is
looked for in the page as text.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

import helix
from helix.findings import Severity
from helix.geometry.joint import eye as eye_module
from helix.geometry.joint.exits import mean_sine, riding_lay
from helix.geometry.joint.eye import FADE, Throat, closed_eye
from helix.geometry.twist.coils import touching_pitch
from helix.geometry.twist.helices import helix_curvature, lay_angle
from helix.geometry.twist.strands import even_radius
from helix.geometry.wire.curves import curvature_vectors, derivatives
from helix.geometry.wire.distance import nearest
from helix.mechanics.bends.bending import sprung_radius
from helix.model.joint.joint import Joint, build_joint, least_gap, shortened
from helix.model.recipe.recipe import Recipe, read_recipe, recipe_from_text
from helix.studies.shape.bends import Bend, four_bends, strains
from helix.studies.shape.shape import ShapeResult, shape

DOCS = Path(__file__).resolve().parents[2] / "docs"
WIRE = '[wire]\nsize = "MWG 12"\nmaterial = "302 stainless"\n'
PIN = '[eye]\npin = "6 mm"\n'


def page(name: str) -> str:
    """A page in one line, so that a sentence is found however it is broken."""
    return re.sub(r"\s+", " ", (DOCS / name).read_text(encoding="utf-8"))


def table(name: str, heading: str) -> list[list[str]]:
    """The rows of the table whose first heading is this."""
    lines = (DOCS / name).read_text(encoding="utf-8").splitlines()
    start = next(k for k, line in enumerate(lines) if line.startswith(f"| {heading} |"))
    rows = []
    for line in lines[start + 2 :]:
        if not line.startswith("|"):
            break
        rows.append([cell.strip() for cell in line.strip("|").split("|")])
    return rows


def shown_as(cell: str, value: float) -> bool:
    """Whether the cell is the value rounded to the digits that the cell shows."""
    return abs(float(cell) - value) <= 0.5000001 * 10.0 ** -len(cell.partition(".")[2])


@cache
def with_lay(lay: str, rest: str = "") -> tuple[Joint, dict[str, Bend]]:
    """The joint of a lay and its bends, without the rest of the answer."""
    joint = build_joint(
        recipe_from_text(WIRE + f'[twist]\nlay_length = "{lay} d"\n' + (rest if "[eye]" in rest else PIN + rest))
    )
    return joint, {each.name: each for each in four_bends(joint, strains(joint, shortened(joint)))}


@cache
def example(name: str) -> ShapeResult:
    return shape(read_recipe(DOCS / "examples" / "faults" / f"{name}.toml"))


# ------------------------------------------------------------------ exit, bends


@pytest.mark.parametrize("row", table("theory/exit.md", "lay"), ids=lambda row: f"lay {row[0]}")
def test_the_table_of_gradual_exits(row: list[str]) -> None:
    joint, bends = with_lay(row[0])
    plan = joint.layout.planned.plan
    (swing,) = plan.swings
    after = swing.length * mean_sine(swing.lay_from, swing.lay_to) / (2.0 * math.pi)
    values = [
        plan.open_length,
        plan.leg,
        swing.length,
        after,
        abs(joint.layout.exits.run_in_turn) / (2.0 * math.pi) + after,
        1.0 / (bends["exit_standing"].min_radius_d or math.inf),
        1.0 / (bends["exit_tag"].min_radius_d or math.inf),
    ]
    for cell, value in zip(row[1:], values, strict=True):
        assert shown_as(cell, value), (row, value)


def test_numbers_of_the_exit_in_sentences() -> None:
    text = page("theory/exit.md")
    assert f"{math.sin(lay_angle(1.0, touching_pitch())) ** 2:.6f}, and the twist's own" in text
    assert f"a lay of {with_lay('3')[0].layout.planned.plan.open_lay:.3f} for an even" in text
    for lay, share in (("2.5", "0.5 %"), ("2.2", "6.5 %")):
        joint, bends = with_lay(lay)
        over = 1.0 / (bends["exit_tag"].min_radius_d or math.inf) / joint.layout.planned.cap - 1.0
        assert f"{100.0 * over:.1f} %" == share
        assert f"{share} at" in text and share in page("limits.md")
    riding = page("theory/riding.md")
    assert f"{math.degrees(riding_lay(0.5, 4.0)):.2f} deg at a lay of 4" in riding
    assert f"had {math.degrees(lay_angle(0.5, 4.0)):.2f}" in riding


@pytest.mark.parametrize("row", table("theory/bends.md", "lay"), ids=lambda row: f"lay {row[0]}")
def test_the_table_of_turns(row: list[str]) -> None:
    lay = float(row[0])
    turns = [with_lay(row[0], rest)[1]["exit_tag"].turn_deg for rest in ("", '[barrel]\nhand = "opposite"\n')]
    for cell, value in zip(row[1:], [math.degrees(lay_angle(0.5, lay)), *turns], strict=True):
        assert shown_as(cell, value), (row, value)


def test_the_two_limits_disagree() -> None:
    first = with_lay("4", '[eye]\npin = "6 mm"\nthroat = "100 deg"\nthroat_made = "spread"\n')[1]["entry_tag"]
    swung = with_lay("6", '[exit]\nstyle = "bench"\n')[1]["exit_tag"]
    opposite = with_lay("4", '[barrel]\nhand = "opposite"\n')[1]["exit_tag"]
    kinked = with_lay("4", '[entry]\nradius = "0.6 d"\n[eye]\npin = "6 mm"\nthroat = "80 deg"\n')[1]["entry_tag"]
    assert (first.governing, first.severity) == ("angle", Severity.SHARP) and first.strain < 0.5
    assert (swung.governing, swung.severity) == ("strain", Severity.CAUTION) and swung.visible_angle_deg < 90.0
    assert opposite.governing == "hand" and opposite.strain < 0.5 and opposite.visible_angle_deg < 90.0
    assert f"{opposite.turn_deg:.2f} deg" in page("decisions/0006-two-limits-and-kinks.md")
    assert kinked.severity is Severity.CAUTION and kinked.strain < 0.5 and (kinked.outer_fibre_strain or 0.0) > 0.75


# ------------------------------------------------------------------ eye and cut


def own_wire_d(recipe: Recipe) -> float:
    joint = build_joint(recipe)
    return joint.layout.path.length - joint.layout.sizes.standing


def demo() -> Recipe:
    return read_recipe(DOCS / "examples" / "logger-tether.toml")


def test_what_the_choices_of_the_eye_are_worth(monkeypatch: pytest.MonkeyPatch) -> None:
    recipe = demo()
    usual = own_wire_d(recipe)
    sizes = build_joint(recipe).layout.sizes
    throats = (sizes.tag_throat, sizes.standing_throat)
    eye = closed_eye(sizes.pin, *throats).planar_length
    changes = [closed_eye(sizes.pin, *throats, ramp=ramp).planar_length - eye for ramp in (0.25, 4.0)]
    for name, values in (("FADE", (0.1, 1.5)), ("SPREAD", (2.0, 6.0))):
        for value in values:
            with monkeypatch.context() as patched:
                patched.setattr(eye_module, name, value)
                changes.append(own_wire_d(recipe) - usual)
    worst = max(abs(change) for change in changes) / usual
    assert 0.0025 < worst < 0.003
    assert "RAMP from 0.25 to 4, FADE from 0.1 to 1.5 and SPREAD from 2 to 6" in page("theory/eye.md")


def test_the_side_slope_is_small() -> None:
    radii = {lay: even_radius(lay) for lay in np.linspace(2.05, 10.0, 60)}
    slopes = [Throat(a, helix_curvature(a, lay), lay_angle(a, lay), 0.6, 1.0).side_slope for lay, a in radii.items()]
    assert 0.21 < max(slopes) < 0.23
    assert "the slope is at most 0.23" in page("decisions/0008-planar-eye-with-a-side-offset.md")
    assert f"`helix.geometry.joint.eye.FADE` = {FADE:g}" in page("theory/eye.md")


def test_what_other_ramps_cost() -> None:
    recipe = demo()
    usual, d = own_wire_d(recipe), recipe.wire.diameter_mm
    text = page("theory/cutting.md")
    for leg, swing, words in (
        (3.3, 0.25, "a leg of 3.3 d and a swing of a quarter turn take {:.1f} % less"),
        (5.0, 0.5, "a leg of 5 d and half a turn {:.1f} % more"),
    ):
        other = replace(recipe, exit=replace(recipe.exit, style="given", leg_mm=leg * d, swing_turns=swing))
        share = 100.0 * abs(own_wire_d(other) / usual - 1.0)
        assert share < 3.0 and words.format(share) in text


@pytest.mark.parametrize("name", ["good", "short-exit", "uneven-half", "wraps-only", "twist-only"])
def test_sections_add_up_to_the_cut(name: str) -> None:
    result = example(name)
    handle = result.recipe.finish.handle_mm
    assert math.fsum(row.wire_mm for row in result.sections) + handle == pytest.approx(result.cut.total_mm, rel=1e-13)
    standing = result.sections[0].wire_mm
    assert result.cut.joint_mm == pytest.approx(result.cut.total_mm - standing - handle, rel=1e-12)


def test_the_interval_is_the_root_of_the_sum_of_squares() -> None:
    cut = example("good").cut
    width = math.sqrt(math.fsum(size**2 for _, size in cut.shares))
    assert (cut.total_mm - cut.low_mm, cut.high_mm - cut.total_mm) == pytest.approx((width, width), rel=1e-12)
    causes = {cause for row in table("theory/cutting.md", "cause") for cause in row[0].split(", ")}
    assert causes == {cause for cause, _ in cut.shares}


# ------------------------------------------------------------------ finished sizes


def hole(result: ShapeResult) -> tuple[float, float]:
    """Length of the eye's hole and its lowest point's height [mm], from the wire's inner edge as seen along the pin."""
    d, names = result.joint.diameter_mm, result.joint.section_names
    line = result.joint.sample(0.005, straight_step_d=10.0)
    loop = np.isin(line.section, [names.index(name) for name in ("entry_standing", "eye", "entry_tag")])
    points, along = line.points_mm[loop][:, [0, 2]], line.tangents[loop][:, [0, 2]]
    normal = np.stack([-along[:, 1], along[:, 0]], axis=1) / np.linalg.norm(along, axis=1, keepdims=True)
    edge = points + 0.5 * d * normal
    k = np.flatnonzero(np.diff(np.sign(edge[:, 0])))
    share = edge[k, 0] / (edge[k, 0] - edge[k + 1, 0])
    heights = edge[k, 1] + share * (edge[k + 1, 1] - edge[k, 1])
    return float(heights.max() - heights.min()), float(points[:, 1].min())


def test_the_finished_sizes_by_plane_geometry() -> None:
    result = example("good")
    d, finished = result.joint.diameter_mm, result.finished
    length, low = hole(result)
    assert finished.eye_inside_length_mm == pytest.approx(length, abs=1e-5)
    assert finished.eye_inside_width_mm == pytest.approx(6.0, abs=1e-5)
    assert finished.eye_crossing_to_bight_mm - finished.eye_inside_length_mm == pytest.approx(
        0.5 * d / math.sin(lay_angle(0.5, 4.0)), rel=1e-9
    )
    assert finished.length_mm == pytest.approx(result.joint.axial["top"] - low, abs=1e-5)
    assert finished.widest_mm - finished.eye_inside_width_mm == pytest.approx(2.0 * d, rel=1e-12)
    wide = example("wide-throat")
    assert wide.finished.eye_inside_length_mm == pytest.approx(hole(wide)[0], abs=1e-5)


def test_springback_of_barrel_and_eye() -> None:
    result = example("good")
    d, wire, finished = result.joint.diameter_mm, result.recipe.wire, result.finished
    wound = d / math.sin(lay_angle(1.0, touching_pitch())) ** 2
    ratio = sprung_radius(wound, d, wire.strength_mpa[1], wire.modulus_mpa) / wound
    assert finished.sprung_barrel_inside_mm == pytest.approx((2.0 * ratio - 1.0) * d, rel=1e-12)
    arc = (6.0 + d) / 2.0
    opened = sprung_radius(arc, d, wire.strength_mpa[1], wire.modulus_mpa)
    assert finished.sprung_eye_width_mm == pytest.approx(2.0 * opened - d, rel=1e-12)
    assert f"{wound / d:.3f} D" in page("theory/finished.md")


# ------------------------------------------------------------------ clearance, jets


@pytest.mark.parametrize(
    "rest",
    [
        "turns = 7.25\n[barrel]\nwraps = 6.5\n",
        'turns = 6\n[barrel]\nwraps = 7\npitch = "1 d"\n',
        'turns = 5.5\n[exit]\nleg = "2 d"\n[barrel]\nwraps = 5\n',
        "turns = 6\nevenness = 0.6\n",
    ],
)
def test_the_shortened_joint_has_the_same_least_gap(rest: str) -> None:
    joint = build_joint(recipe_from_text(WIRE + PIN + "[twist]\n" + rest))
    short = shortened(joint)
    assert short.path.length < joint.layout.path.length - 10.0
    whole, (found, _) = nearest([joint.layout.path]), least_gap(short)
    assert found.gap == pytest.approx(whole.gap, abs=1e-9)


def test_a_thousand_turns_are_no_longer_than_ten_to_search() -> None:
    lengths = [
        shortened(
            build_joint(recipe_from_text(WIRE + PIN + f"[twist]\nturns = {n}\n[barrel]\nwraps = {n}\n"))
        ).path.length
        for n in (10, 1000)
    ]
    assert lengths[0] == pytest.approx(lengths[1], rel=1e-9)


def test_differences_stop_at_seven_digits() -> None:
    """The table of decision 0003, to the power of ten: rounding differs a little from machine to machine."""
    curve = next(piece.curve for piece in build_joint(demo()).layout.path.pieces if piece.section == "exit_tag")
    u = np.linspace(0.3, curve.span - 0.3, 41)
    exact = np.linalg.norm(curvature_vectors(derivatives(curve, u, 2)), axis=1)
    errors = []
    for row in table("decisions/0003-taylor-jets.md", "way"):
        step, claimed = float(row[0].split()[-2]), float(row[1])
        low, middle, high = (derivatives(curve, u + shift, 0)[0] for shift in (-step, 0.0, step))
        by_differences = np.stack([middle, (high - low) / (2 * step), (high - 2 * middle + low) / step**2])
        errors.append(np.abs(np.linalg.norm(curvature_vectors(by_differences), axis=1) - exact).max())
        assert claimed / 4.0 < errors[-1] < claimed * 4.0, row
    assert min(errors) > 1e-8


def test_the_changes_name_the_schema_and_the_version() -> None:
    number = helix.__version__.partition(".dev")[0]
    assert f"## {number} " in (DOCS / "changelog.md").read_text(encoding="utf-8")
    assert f"schema {example('good').schema}" in page("changelog.md")


def test_each_decision_has_a_number_of_its_own() -> None:
    numbers = [path.name[:4] for path in (DOCS / "decisions").glob("[0-9]*.md")]
    assert len(set(numbers)) == len(numbers)
