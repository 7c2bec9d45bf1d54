"""Identities that hold for every joint, whatever its numbers.

Map
    mirrored        the other hand is the mirror image: torsion and writhe change sign, nothing else changes
    scaled          a wire k times as thick: lengths k times as long; gaps, angles, strains, verdicts as they were
    moved           rigid motion changes no length, no curvature, no gap
    reversed        nor does running the wire from its other end
    added up        sections sum to the cut; turns and wraps add the wire of a turn and of a wrap, no more
    halved          halving the step divides the chords' shortfall by four and the curvature's largest step by two
    joined          place, direction and curvature are continuous at every join, at every size
    compared        the fast least gap is brute force's, with and without overlap
    touching        a touching pitch gives no gap on every way in; legs and wraps touch at every lay
    linked          the two legs wind round each other exactly as often as there are turns
    even            an even joint has two legs of one length and maps to itself by half a turn
    units           the same recipe in inches, millimetres or wire diameters is the same joint
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise

import numpy as np
import pytest

from helix.geometry.maths.jets import Jet
from helix.geometry.twist.strands import coil_gap, touching_pitch
from helix.geometry.wire.curves import Curve, Reversed, Strand, curvature_vectors, curve_length, derivatives
from helix.geometry.wire.distance import nearest
from helix.geometry.wire.frames import gauge_curvature
from helix.geometry.wire.path import CurvePiece, Path
from helix.model.joint.joint import Joint, rebuilt, shortened
from helix.model.joint.section_names import SECTIONS
from helix.model.recipe.recipe import recipe_from_text
from helix.studies.shape.shape import ShapeResult, shape
from helix.values import to_plain
from tests.attack.random_checks import scaled
from tests.tools.brute import answer, brute_gap, recipe

SHAPES = {
    "gradual": {},
    "uneven": {"evenness": 0.4, "turns": 2.5},
    "wide throat": {"throat": 85, "entry": 0.9},
    "overbent, opposite": {"barrel_hand": "opposite", "exit": 'leg = "4 d"\npeak_angle = "100 deg"'},
    "overlapping": {"exit": 'leg = "2 d"\nswing = 0.3'},
    "wraps only": {"turns": 0, "pitch": 1.3},
}
every = pytest.mark.parametrize("name", SHAPES)


def found(name: str) -> ShapeResult:
    return answer(**SHAPES[name])


def numbers(result: ShapeResult) -> dict[str, float]:
    """Every number of an answer by its name; lengths in wire diameters."""
    d = result.joint.diameter_mm
    out = {f"cut {cause}": size / d for cause, size in result.cut.shares}
    out |= {"cut": result.cut.total_mm / d, "joint": result.cut.joint_mm / d, "low": result.cut.low_mm / d}
    for row in result.sections:
        out |= {f"{row.name} wire": row.wire_mm / d, f"{row.name} axial": row.axial_mm / d}
        out |= {f"{row.name} strain": row.max_strain, f"{row.name} gauge": row.gauge_strain}
    for bend in result.bends:
        for key in ("turn_deg", "visible_angle_deg", "length_d", "advance_deg", "strain"):
            out[f"{bend.name} {key}"] = getattr(bend, key)
        out[f"{bend.name} s"] = bend.s_mm / d
    for thing in (result.finished, result.contact):
        out |= {k: v / d for k, v in to_plain(thing).items() if k.endswith("_mm") and v is not None}
    out |= {k: getattr(result.clearance, k) for k in ("least_d", "curvature_limited_d", "lift_off_d", "reach_d")}
    return out | to_plain(result.counts)


def same(one: ShapeResult, other: ShapeResult, tolerance: float) -> None:
    a, b = numbers(one), numbers(other)
    assert a.keys() == b.keys()
    for key, value in a.items():
        assert b[key] == pytest.approx(value, rel=tolerance, abs=tolerance), key
    assert [(x.severity, x.governing) for x in one.bends] == [(x.severity, x.governing) for x in other.bends]
    assert [f.code for f in one.findings] == [f.code for f in other.findings]
    assert one.judgement.is_ok is other.judgement.is_ok


# ------------------------------------------------------------------ mirrored


@cache
def mirrored(name: str) -> ShapeResult:
    return answer(**SHAPES[name], hand="left")


@every
def test_mirrored_numbers(name):
    same(found(name), mirrored(name), 1e-9)


@every
def test_mirrored_points(name):
    one, other = (r.joint.sample(0.2).points_mm for r in (found(name), mirrored(name)))
    assert np.abs(one - other * [1.0, -1.0, 1.0]).max() < 1e-9


def torsion(joint: Joint, section: str) -> np.ndarray:
    """(r' x r'').r''' over |r' x r''|^2 inside a section [1/d]."""
    out = []
    for piece in joint.layout.path.pieces:
        if piece.section == section:
            d = derivatives(piece.curve, np.linspace(0.2, 0.8, 7) * piece.curve.span, 3)
            cross = np.cross(d[1], d[2])
            out.append(np.sum(cross * d[3], axis=1) / np.sum(cross**2, axis=1))
    return np.concatenate(out)


def writhe(points: np.ndarray) -> float:
    """Writhe of an open polygon: the signed solid angles of all pairs of its segments, over 4 pi."""
    a, b = points[:-1], points[1:]
    total = 0.0
    for i in range(len(a) - 2):
        j = slice(i + 2, len(a))
        ac, ad, bc, bd = a[j] - a[i], b[j] - a[i], a[j] - b[i], b[j] - b[i]
        n = [np.cross(p, q) for p, q in ((ac, ad), (ad, bd), (bd, bc), (bc, ac))]
        n = [v / np.maximum(np.linalg.norm(v, axis=1, keepdims=True), 1e-300) for v in n]
        angle = sum(np.arcsin(np.clip(np.sum(n[k] * n[(k + 1) % 4], axis=1), -1.0, 1.0)) for k in range(4))
        total += float(np.sum(angle * np.sign(np.sum(np.cross(b[j] - a[j], b[i] - a[i]) * ac, axis=1))))
    return total / (2.0 * np.pi)


def test_mirrored_torsion_and_writhe():
    one, other = found("gradual").joint, mirrored("gradual").joint
    for section in ("twist_tag", "exit_tag", "barrel"):
        assert torsion(other, section) == pytest.approx(-torsion(one, section), rel=1e-9)
    assert np.all(torsion(one, "twist_tag") > 0.0)
    # legs that run opposite ways cross by the other sign than their hand
    w = [writhe(joint.sample(0.25).points_mm) for joint in (one, other)]
    assert w[0] < -5.0 and w[1] == pytest.approx(-w[0], rel=1e-9)


# ------------------------------------------------------------------ scaled


@pytest.mark.parametrize(("name", "k"), list(zip(SHAPES, (0.25, 3.0, 0.1, 2.0, 0.5, 40.0), strict=True)))
def test_scaled(name, k):
    result = found(name)
    off = replace(scaled(result.recipe, k), tolerance=scaled(result.recipe.tolerance, k))
    other = shape(off)
    same(result, other, 1e-7)
    assert other.cut.total_mm == pytest.approx(k * result.cut.total_mm, rel=1e-9)


# ------------------------------------------------------------------ moved and reversed


@dataclass(frozen=True)
class Moved:
    """A curve turned and shifted."""

    base: Curve
    turn: tuple[tuple[float, ...], ...]
    shift: tuple[float, ...]

    @property
    def span(self) -> float:
        return self.base.span

    @property
    def speed(self) -> float | None:
        return self.base.speed

    def jets(self, u: np.ndarray, order: int) -> tuple[Jet, Jet, Jet]:
        x, y, z = self.base.jets(u, order)
        a, b, c = (
            x * float(r[0]) + y * float(r[1]) + z * float(r[2]) + float(s)
            for r, s in zip(self.turn, self.shift, strict=True)
        )
        return a, b, c


def changed(path: Path, how: str) -> Path:
    if how == "reversed":
        return Path(tuple(CurvePiece(p.section, Reversed(p.curve)) for p in reversed(path.pieces)))
    axis = np.array([0.36, 0.48, 0.8])
    cross = np.array([[0.0, -axis[2], axis[1]], [axis[2], 0.0, -axis[0]], [-axis[1], axis[0], 0.0]])
    turn = np.eye(3) + np.sin(1.1) * cross + (1.0 - np.cos(1.1)) * cross @ cross
    return Path(
        tuple(CurvePiece(p.section, Moved(p.curve, tuple(map(tuple, turn)), (3.0, -20.0, 7.0))) for p in path.pieces)
    )


@every
@pytest.mark.parametrize("how", ["moved", "reversed"])
def test_motion_and_reversal_change_nothing(name, how):
    path = shortened(found(name).joint).path
    other = changed(path, how)
    assert other.length == pytest.approx(path.length, rel=1e-12)
    gaps = [nearest([p]).gap for p in (path, other)]
    assert gaps[1] == pytest.approx(gaps[0], abs=1e-9)
    one, two = path.sample(0.02), other.sample(0.02)  # finer than the fewest steps of a short piece
    if how == "reversed":
        two = replace(
            two,
            s=(two.s[-1] - two.s)[::-1],
            curvature=two.curvature[::-1],
            points=two.points[::-1],
            tangents=-two.tangents[::-1],
        )
    bent = [np.linalg.norm(line.curvature, axis=1) for line in (one, two)]
    assert two.s == pytest.approx(one.s, abs=1e-9)
    assert bent[1] == pytest.approx(bent[0], abs=1e-7 * (1.0 + bent[0].max()))
    mean = [gauge_curvature(line.s, line.points, line.tangents, line.curvature, 0.5) for line in (one, two)]
    assert mean[1] == pytest.approx(mean[0], abs=1e-6 * (1.0 + bent[0].max()))


# ------------------------------------------------------------------ added up


@every
def test_sections_sum_to_the_cut(name):
    result = found(name)
    total = sum(row.wire_mm for row in result.sections) + result.recipe.finish.handle_mm
    assert total == pytest.approx(result.cut.total_mm, rel=1e-13)
    path = result.joint.layout.path
    assert sum(curve_length(p.curve) for p in path.pieces) == pytest.approx(path.length, rel=1e-12)


@pytest.mark.parametrize("evenness", [1, 0.4])
def test_a_turn_and_a_wrap_add_their_own_wire(evenness):
    one = answer(evenness=evenness).joint
    sizes = one.layout.sizes
    turn = sum(np.hypot(2.0 * np.pi * a, sizes.lay) for a in (sizes.standing_radius, sizes.tag_radius))
    wrap = np.hypot(2.0 * np.pi, sizes.pitch) + sizes.pitch  # and the core under it
    for more, wire in (
        ({"turns": 6.7}, 1.7 * turn),
        ({"wraps": 7.2}, 2.2 * wrap),
        ({"standing": 13.5}, 1.5),
        ({"stub": 2.25}, 1.25),
    ):
        other = rebuilt(one, recipe(evenness=evenness, **more))
        assert other.wire_mm - one.wire_mm == pytest.approx(wire, rel=1e-10)


# ------------------------------------------------------------------ halved and joined


@every
def test_halving_the_step(name):
    """Chords fall short by kappa^2 step^2/24 of the length; curvature, being continuous, steps half as far."""
    joint = found(name).joint
    short, jumps = [], []
    fine = 0.25 if name == "wide throat" else 1.0  # its kinks are so short that they always have their fewest steps
    for step in (0.01 * fine, 0.005 * fine, 0.0025 * fine):
        line = joint.sample(step)
        short.append(joint.wire_mm - np.linalg.norm(np.diff(line.points_mm, axis=0), axis=1).sum())
        jumps.append(np.abs(np.diff(line.curvature_per_mm)).max())
    assert short[1] / short[2] == pytest.approx(4.0, rel=0.03)
    assert jumps[1] / jumps[2] == pytest.approx(2.0, rel=0.12)


@every
@pytest.mark.parametrize("pin", [12, 90])
def test_curvature_is_continuous_at_every_join(name, pin):
    joint = rebuilt(found(name).joint, recipe(**SHAPES[name] | {"pin": pin, "stub": 0.3}))
    for before, after in pairwise(joint.layout.path.pieces):
        ends = []
        for curve, u in ((before.curve, before.curve.span), (after.curve, 0.0)):
            d = derivatives(curve, np.array([u]), 2)
            ends.append(np.array([d[0, 0], d[1, 0] / np.linalg.norm(d[1, 0]), curvature_vectors(d)[0]]))
        assert ends[0] == pytest.approx(ends[1], abs=1e-9)


# ------------------------------------------------------------------ compared


@every
def test_the_fast_least_gap_is_brute_forces(name):
    result = found(name)
    assert result.clearance.least_d == pytest.approx(brute_gap(result), abs=1e-7)


# ------------------------------------------------------------------ touching


@pytest.mark.parametrize("pitch", [None, touching_pitch()])
@pytest.mark.parametrize(
    "more", [{}, {"turns": 0}, {"barrel_hand": "opposite"}, {"hand": "left"}, {"diameter": 0.7366}]
)
def test_a_touching_pitch_gives_no_gap_on_every_way_in(pitch, more):
    result = answer(pitch=pitch, wraps=3, **more)
    names = [p.section for p in result.joint.layout.path.pieces]
    gaps = nearest([shortened(result.joint).path]).gaps
    barrel = [gap for (a, b), gap in gaps.items() if names[a] == names[b] == "barrel"]
    assert min(barrel) == pytest.approx(0.0, abs=1e-12)
    assert result.clearance.least_d == pytest.approx(0.0, abs=1e-9)
    assert result.contact.wrap_on_wrap_mm > 0.0
    assert not any(flag.code in ("open-barrel", "overlap") for flag in result.findings)


def test_a_touching_pitch_in_the_kernels():
    pitch = touching_pitch()
    coil = Path((CurvePiece("", Strand((1.0,), (2.0 * np.pi / pitch,), 0.0, 0.0, 3.0 * pitch)),))
    assert coil_gap(1.0, pitch) == pytest.approx(0.0, abs=1e-15)
    assert nearest([coil]).gap == pytest.approx(0.0, abs=1e-12)


def test_a_touching_pitch_stated_in_millimetres_and_inches():
    results = []
    for unit, size in (("mm", 1.0), ("in", 25.4)):
        text = f"""
        wire = {{diameter = "0.8 mm", material = "302 stainless"}}
        eye = {{pin = "6 mm"}}
        barrel = {{pitch = "{touching_pitch() * 0.8 / size!r} {unit}"}}
        """
        results.append(shape(recipe_from_text(text)))
    for result in results:
        assert result.clearance.least_d == pytest.approx(0.0, abs=1e-9)
        assert result.contact.wrap_on_wrap_mm > 0.0 and result.findings == ()


@pytest.mark.parametrize("lay", [2.2, 2.7, 3.1, 3.4, 4, 7, 20])
@pytest.mark.parametrize("evenness", [1, 0.5, 0])
def test_legs_touch_at_every_lay(lay, evenness):
    joint = rebuilt(answer(pin=30).joint, recipe(pin=30, lay=lay, evenness=evenness, turns=2, wraps=0.5))
    pieces = [p for p in joint.layout.path.pieces if p.section in ("twist_standing", "twist_tag")]
    assert nearest([Path((p,)) for p in pieces]).gap == pytest.approx(0.0, abs=1e-11)


# ------------------------------------------------------------------ linked


@pytest.mark.parametrize("turns", [0.5, 2, 5.25])
@pytest.mark.parametrize(("hand", "sign"), [("right", 1.0), ("left", -1.0)])
@pytest.mark.parametrize("evenness", [1, 0.3])
def test_the_legs_wind_round_each_other_as_often_as_there_are_turns(turns, hand, sign, evenness):
    """The vector from leg to leg at one height turns by 360 deg a turn, by the twist's hand."""
    joint = rebuilt(answer(evenness=evenness).joint, recipe(evenness=evenness, turns=turns, hand=hand))
    line = joint.sample(0.02)
    legs = []
    for section in ("twist_standing", "twist_tag"):
        rows = np.flatnonzero(line.section == SECTIONS.index(section))
        p = line.points_mm[rows[0] : rows[-1] + 2]
        legs.append(p[np.argsort(p[:, 2])])
    z = np.linspace(0.0, joint.axial["exit"], 400 + int(100 * turns))
    x, y = (np.interp(z, legs[1][:, 2], legs[1][:, k]) - np.interp(z, legs[0][:, 2], legs[0][:, k]) for k in (0, 1))
    turned = np.unwrap(np.arctan2(y, x))
    assert (turned[-1] - turned[0]) / (2.0 * np.pi) == pytest.approx(sign * turns, abs=1e-4)


# ------------------------------------------------------------------ even


def test_an_even_joint_has_two_legs_of_one_length():
    rows = {row.name: row for row in found("gradual").sections}
    for part in ("twist", "entry"):
        one, other = rows[f"{part}_standing"], rows[f"{part}_tag"]
        assert one.wire_mm == pytest.approx(other.wire_mm, rel=1e-12)
        assert one.max_strain == pytest.approx(other.max_strain, rel=1e-9)
    first, second = found("gradual").bends[:2]
    assert first.strain == pytest.approx(second.strain, abs=1e-2)  # a join counts to the later section


def test_the_twist_and_eye_of_an_even_joint_map_to_themselves_by_half_a_turn():
    joint = found("gradual").joint
    curves = [p.curve for p in joint.layout.path.pieces if SECTIONS.index(p.section) in range(3, 8)]
    for one, other in zip(curves, reversed(curves), strict=True):
        u = np.linspace(0.0, 1.0, 33)
        a, b = derivatives(one, u * one.span, 0)[0], derivatives(other, (1.0 - u) * other.span, 0)[0]
        assert np.abs(a - b * [-1.0, -1.0, 1.0]).max() < 1e-11


# ------------------------------------------------------------------ units


def test_the_same_recipe_in_other_units_is_the_same_joint():
    def text(length) -> str:
        return f"""
        wire = {{diameter = "{length(1.0)}", material = "302 stainless"}}
        eye = {{pin = "{length(6.0)}", throat = "80 deg"}}
        twist = {{lay_length = "{length(4.2)}"}}
        entry = {{radius = "{length(1.1)}"}}
        exit = {{leg = "{length(3.9)}", swing = 0.4}}
        finish = {{stub = "{length(1.5)}", handle = "{length(60.0)}", standing = "{length(20.0)}"}}
        """

    def diameters(value: float) -> str:
        return f"{value!r} mm" if value == 1.0 else f"{value!r} d"

    one = shape(recipe_from_text(text(diameters)))
    for unit, size in (("mm", 1.0), ("in", 25.4), ("um", 1e-3)):
        same(one, shape(recipe_from_text(text(lambda v, u=unit, s=size: f"{v / s!r} {u}"))), 1e-8)
