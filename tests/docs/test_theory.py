"""What the theory pages derive: by symbols where symbols help, and on the curves themselves.

docs/theory/riding.md   the frame's turning, the other leg of a helix, C2 at every join
docs/theory/exit.md     curvature on a cylinder
docs/theory/eye.md      gap beside the throat, entry bend, closing
docs/theory/bends.md    mean curvature, order of the frame
docs/theory/contact.md  wrap on wrap and tag on leg by counting and by chords
docs/decisions/0003     Taylor arithmetic
"""

from __future__ import annotations

import math
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
import sympy as sp

from helix.geometry.joint.exits import mean_sine, psi_rate
from helix.geometry.joint.eye import KINK, Throat, closed_eye
from helix.geometry.joint.riding import ContactCurve, starting_angle
from helix.geometry.maths.jets import CUBIC_STEP, SEPTIC_STEP, Jet, polynomial
from helix.geometry.twist.coils import coil_turn_contact_length, touching_pitch
from helix.geometry.twist.helices import helix_curvature, lay_angle
from helix.geometry.wire.curves import CoreCoil, Strand, curvature_vectors, derivatives, positions
from helix.geometry.wire.frames import frame_angles, gauge_curvature
from helix.model.joint.joint import Joint, build_joint, least_gap, shortened
from helix.model.recipe.recipe import recipe_from_text
from helix.studies.shape.shape import shape

WIRE = '[wire]\ndiameter = "1 mm"\nmaterial = "302 stainless"\n[eye]\npin = "8 mm"\n'
JOINTS = {
    "gradual": "",
    "wide throat": 'throat = "100 deg"\n',
    "kinked entry": '[entry]\nradius = "0.8 d"\n',
    "bench": '[exit]\nstyle = "bench"\n',
    "overbent": '[exit]\npeak_angle = "110 deg"\n',
    "tight": '[twist]\nlay_length = "3 d"\nturns = 2\nhand = "left"\n',
    "uneven": "[twist]\nevenness = 0.4\nturns = 1.5\n",
    "opposite": '[barrel]\nhand = "opposite"\nwraps = 2.25\n',
    "wraps only": "[twist]\nturns = 0\n",
    "no barrel": "[barrel]\nwraps = 0\n",
}


@cache
def joint(name: str) -> Joint:
    return build_joint(recipe_from_text(WIRE + JOINTS[name]))


# ------------------------------------------------------------------ riding


def test_the_turning_of_the_smallest_rotation_frame() -> None:
    s = sp.symbols("s")
    p, q = sp.Function("p")(s), sp.Function("q")(s)  # the tangent, by stereographic projection
    t = sp.Matrix([2 * p, 2 * q, 1 - p**2 - q**2]) / (1 + p**2 + q**2)
    u = sp.Matrix([1 - t[0] ** 2 / (1 + t[2]), -t[0] * t[1] / (1 + t[2]), -t[0]])
    v = sp.Matrix([-t[0] * t[1] / (1 + t[2]), 1 - t[1] ** 2 / (1 + t[2]), -t[1]])
    for one, other, product in ((t, t, 1), (u, u, 1), (v, v, 1), (u, v, 0), (u, t, 0), (v, t, 0)):
        assert sp.cancel(one.dot(other) - product) == 0
    swept = (t[0] * t[1].diff(s) - t[1] * t[0].diff(s)) / (1 + t[2])
    assert sp.cancel(u.diff(s).dot(v) + swept) == 0
    theta, phi = sp.Function("theta")(s), sp.Function("phi")(s)
    x, y = sp.sin(theta) * sp.cos(phi), sp.sin(theta) * sp.sin(phi)
    assert sp.simplify(x * y.diff(s) - y * x.diff(s) - (1 - sp.cos(theta) ** 2) * phi.diff(s)) == 0


@pytest.mark.parametrize("a", [0.5, 0.35, 0.0])
def test_riding_on_a_helix_is_the_other_leg(a: float) -> None:
    lay = 4.2
    leg = Strand((a,), (2.0 * math.pi / lay,), 0.3 + math.pi, 0.0, 5.0)
    other = Strand((1.0 - a,), (2.0 * math.pi / lay,), 0.3, 0.0, 5.0)
    start = positions(other, np.zeros(1))[0]
    tag = ContactCurve(leg, psi_rate(a, lay), starting_angle(leg, start))
    u = np.linspace(0.0, 5.0, 23)
    assert positions(tag, u) == pytest.approx(positions(other, u), abs=1e-12)


def test_a_riding_tag_is_one_diameter_off_and_square_to_the_leg() -> None:
    leg = Strand(tuple(0.5 * c for c in (2.0, *(-2.0 * c for c in SEPTIC_STEP[1:]))), (1.6,), 0.0, 0.0, 3.0)
    tag = ContactCurve(leg, 0.97, 1.0)
    u = np.linspace(0.0, 3.0, 40)
    apart = positions(tag, u) - positions(leg, u)
    assert np.linalg.norm(apart, axis=1) == pytest.approx(np.ones(40), abs=1e-14)
    assert np.sum(apart * derivatives(leg, u, 1)[1], axis=1) == pytest.approx(np.zeros(40), abs=1e-13)


@pytest.mark.parametrize("name", JOINTS)
def test_curvature_is_continuous_at_every_join(name: str) -> None:
    """Position, tangent and curvature vector of neighbouring pieces agree where they meet."""
    pieces = joint(name).layout.path.pieces
    for before, after in pairwise(pieces):
        ends = [derivatives(before.curve, np.array([before.curve.span]), 2), derivatives(after.curve, np.zeros(1), 2)]
        where = f"{before.section} to {after.section}"
        tangents = [end[1, 0] / np.linalg.norm(end[1, 0]) for end in ends]
        assert ends[0][0, 0] == pytest.approx(ends[1][0, 0], abs=1e-10), where
        assert tangents[0] == pytest.approx(tangents[1], abs=1e-10), where
        assert curvature_vectors(ends[0])[0] == pytest.approx(curvature_vectors(ends[1])[0], abs=1e-9), where


# ------------------------------------------------------------------ exit


def test_curvature_on_a_cylinder() -> None:
    s = sp.symbols("s")
    lay, chi = sp.Function("lay")(s), sp.Function("chi")(s)
    around = sp.Matrix([-sp.sin(chi), sp.cos(chi), 0])
    tangent = sp.sin(lay) * around + sp.cos(lay) * sp.Matrix([0, 0, 1])
    turned = tangent.diff(s).subs(chi.diff(s), sp.sin(lay))
    assert sp.simplify(turned.dot(turned) - lay.diff(s) ** 2 - sp.sin(lay) ** 4) == 0


def test_a_swing_past_square_has_that_curvature_and_that_rotation() -> None:
    start, end, length = math.radians(44.0), math.radians(120.0), 3.1
    coil = CoreCoil((start, *((end - start) * c for c in CUBIC_STEP[1:])), 0.4, 1.0, length)
    u = np.linspace(0.0, length, 31)
    lay = np.polynomial.Polynomial(coil.lay)
    expected = np.hypot(lay.deriv()(u / length) / length, np.sin(lay(u / length)) ** 2)
    assert np.linalg.norm(curvature_vectors(derivatives(coil, u, 2)), axis=1) == pytest.approx(expected, abs=1e-13)
    assert coil.chi_end - coil.chi0 == pytest.approx(length * mean_sine(start, end), abs=1e-12)


# ------------------------------------------------------------------ eye


def test_the_gap_beside_the_throat() -> None:
    first, second, beta, fade, e = sp.symbols("first second beta fade e", positive=True)
    kappa, t = 2 * sp.sin(beta) ** 2, sp.symbols("t")

    def offset(sigma: sp.Expr) -> sp.Expr:
        slope = sp.integrate(-kappa * (1 - t / fade) ** 3, (t, 0, t))
        return sp.Rational(1, 2) + sp.integrate(slope, (t, 0, sigma))

    a, b = e * first, e * second
    apart = (sp.sin(beta) * (a + b)) ** 2 + (offset(a) + offset(b)) ** 2 + (sp.cos(beta) * (a - b)) ** 2
    series = sp.expand(apart)
    claimed = (1, 0, sp.cos(2 * beta) * (first - second) ** 2, kappa / fade * (first**3 + second**3))
    for order, value in enumerate(claimed):
        assert sp.simplify(series.coeff(e, order) - value) == 0


@pytest.mark.parametrize("lay", ["3.141592653589793 d", "3.3 d", "4 d", "8 d"])
def test_the_entry_does_not_overlap(lay: str) -> None:
    text = WIRE + f'[twist]\nturns = 1\nlay_length = "{lay}"\n[barrel]\nwraps = 0\n'
    layout = shortened(build_joint(recipe_from_text(text)))
    found, _ = least_gap(layout)
    names = [piece.section for piece in layout.path.pieces]
    gaps = {pair: gap for pair, gap in found.gaps.items() if any(names[k].startswith("entry") for k in pair)}
    assert gaps and min(gaps.values()) > -1e-12


def throat(lay: float, angle_deg: float, radius: float, kinked: bool = False) -> Throat:
    return Throat(0.5, helix_curvature(0.5, lay), lay_angle(0.5, lay), math.radians(angle_deg), radius, kinked)


def test_the_entry_bend_has_its_radius_in_space() -> None:
    k, y, theta = sp.symbols("k y theta")
    first = sp.Matrix([sp.sin(theta), y, -sp.cos(theta)])
    second = k * sp.Matrix([sp.cos(theta), 0, sp.sin(theta)])
    square = first.cross(second).dot(first.cross(second)) / first.dot(first) ** 3
    assert sp.simplify(square - (k / (1 + y**2)) ** 2) == 0
    eye = closed_eye(8.0, throat(4.0, 50.0, 0.7), throat(4.0, 50.0, 0.9))
    for pieces, radius in ((eye.entry_tag, 0.7), (eye.entry_standing[::-1], 0.9)):
        level = pieces[2]  # fade, curvature rises, stays, falls
        sharpest = np.linalg.norm(curvature_vectors(derivatives(level, np.linspace(0.0, level.span, 5), 2)), axis=1)
        assert 1.0 / sharpest == pytest.approx(np.full(5, radius), rel=1e-12)


def heading(piece: object, u: float) -> float:
    return float(np.polynomial.polynomial.polyval(u, piece.theta))  # type: ignore[attr-defined]


@pytest.mark.parametrize("kinked", [False, True])
@pytest.mark.parametrize("angle", [30.0, 38.146025987222544, 55.0])
def test_a_bend_turns_as_far_as_it_should(angle: float, kinked: bool) -> None:
    side = throat(4.0, angle, 0.6, kinked)
    eye = closed_eye(12.0, side, side)
    ends = [heading(eye.entry_tag[0], 0.0), *(heading(piece, piece.span) for piece in eye.entry_tag)]
    assert ends[0] == pytest.approx(side.lay, abs=1e-14)
    wanted = side.lay + (0.0 if kinked else side.bend)
    assert ends[-1] == pytest.approx(wanted, abs=1e-12)
    if kinked:
        assert max(ends) - side.lay == pytest.approx(KINK, abs=1e-12)


@pytest.mark.parametrize("pin", [5.0, 9.0])
@pytest.mark.parametrize("a_tag", [0.5, 0.7, 1.0])
def test_the_eye_joins_both_throats(a_tag: float, pin: float) -> None:
    """Both ends lie at the throat, on their own sides, level, with the twist's curvature; the arc is on the pin."""
    lay = 4.0
    sides = [
        Throat(a, helix_curvature(a, lay) if a else 0.0, lay_angle(a, lay) if a else 0.0, angle, 1.0)
        for a, angle in ((a_tag, 0.8), (1.0 - a_tag, 0.3))
    ]
    eye = closed_eye(pin, *sides)
    pieces = (*eye.entry_tag, *eye.eye, *eye.entry_standing)
    first = derivatives(pieces[0], np.zeros(1), 2)[:, 0]
    last = derivatives(pieces[-1], np.array([pieces[-1].span]), 2)[:, 0]
    for end, side, sign in ((first, sides[0], 1.0), (last, sides[1], -1.0)):
        assert end[0] == pytest.approx([0.0, sign * side.radius, 0.0], abs=1e-12)
        assert end[1] == pytest.approx([math.sin(side.lay), 0.0, -sign * math.cos(side.lay)], abs=1e-12)
        assert end[2] == pytest.approx([0.0, -sign * side.curvature, 0.0], abs=1e-12)
    arcs = [piece for piece in eye.eye if len(np.trim_zeros(piece.theta, "b")) == 2]
    assert arcs and {piece.theta[1] for piece in arcs} == {-1.0 / eye.arc_radius}
    start = arcs[0].theta[0]
    centre = np.array([arcs[0].x0, arcs[0].z0]) - eye.arc_radius * np.array([math.cos(start), math.sin(start)])
    for piece in pieces:
        from_pin = np.hypot(*(positions(piece, np.linspace(0.0, piece.span, 40))[:, [0, 2]] - centre).T)
        if piece in arcs:
            assert from_pin == pytest.approx(np.full(40, eye.arc_radius), abs=1e-12)
        assert from_pin.min() > eye.arc_radius - 1e-12


# ------------------------------------------------------------------ bends


def helix_samples(step: float) -> tuple[np.ndarray, ...]:
    a, lay = 0.5, 4.0
    curve = Strand((a,), (2.0 * math.pi / lay,), 0.2, 0.0, 6.0)
    u = np.linspace(0.0, 6.0, round(6.0 / step) + 1)
    d = derivatives(curve, u, 2)
    speed = float(np.linalg.norm(d[1, 0]))
    return u * speed, d[0], d[1] / speed, curvature_vectors(d)


def test_the_mean_curvature_of_a_helix() -> None:
    kappa, tau, gauge = helix_curvature(0.5, 4.0), psi_rate(0.5, 4.0), 0.5
    x = tau * gauge / 2.0
    errors = []
    for step in (0.02, 0.01, 0.005):
        s, points, tangents, curvature = helix_samples(step)
        middle = gauge_curvature(s, points, tangents, curvature, gauge)[s.size // 2]
        errors.append(middle - kappa * math.sin(x) / x)
    assert abs(errors[-1]) < 5e-6
    assert errors[0] / errors[1] == pytest.approx(4.0, rel=0.1)  # trapezoids
    assert errors[1] / errors[2] == pytest.approx(4.0, rel=0.1)


def test_the_frame_is_of_fourth_order() -> None:
    """Against the exact rotation-minimising frame of a helix: its normal turned back by the torsion."""
    errors = []
    for step in (0.2, 0.1, 0.05):
        s, points, tangents, curvature = helix_samples(step)
        u, v, phi = frame_angles(points, tangents)
        vector = np.cos(phi)[:, None] * u + np.sin(phi)[:, None] * v
        normal = curvature / np.linalg.norm(curvature, axis=1, keepdims=True)
        angle = np.unwrap(
            np.arctan2(np.sum(vector * np.cross(tangents, normal), axis=1), np.sum(vector * normal, axis=1))
        )
        errors.append(abs(angle[-1] - angle[0] + psi_rate(0.5, 4.0) * s[-1]))
    assert errors[0] / errors[1] == pytest.approx(16.0, rel=0.1)
    assert errors[1] / errors[2] == pytest.approx(16.0, rel=0.1)


# ------------------------------------------------------------------ contact


def test_wrap_on_wrap_contact_by_counting_places() -> None:
    """The share of places on a barrel of 3 wraps that touch a later place, a quarter turn or more away."""
    wraps, count = 3, 3000
    pitch = touching_pitch()
    coil = Strand((1.0,), (2.0 * math.pi / pitch,), 0.0, 0.0, wraps * pitch)
    u = np.linspace(0.0, coil.span, count + 1)
    points = positions(coil, u)
    ahead = count // (4 * wraps)
    touching = 0
    for k in range(0, count - ahead, 2):
        apart = np.linalg.norm(points[k + ahead :] - points[k], axis=1).min()
        touching += apart < 1.0 + 2e-5  # chords of 0.0064
    turns = touching / (count / 2 / wraps)
    found = shape(recipe_from_text(WIRE + f"[barrel]\nwraps = {wraps}\n")).contact.wrap_on_wrap_mm
    assert turns == pytest.approx(found / coil_turn_contact_length(1.0, pitch), abs=3.0 * 2 * wraps / count)


@pytest.mark.parametrize("name", ["gradual", "wraps only"])
def test_tag_on_leg_contact_on_the_straight_leg(name: str) -> None:
    """The line midway between tag and leg, by chords; extrapolated, as their error goes with the square."""
    exits = joint(name).layout.exits
    totals = []
    for count in (200, 400):
        total = 0.0
        for k, tag in enumerate(exits.tag):
            u = np.linspace(0.0, tag.span, count + 1)
            middle = positions(tag, u)
            if k < len(exits.standing):
                middle = (middle + positions(exits.standing[k], u)) / 2.0
            else:
                middle[:, :2] /= 2.0
            total += float(np.linalg.norm(np.diff(middle, axis=0), axis=1).sum())
        totals.append(total)
    chords = totals[1] + (totals[1] - totals[0]) / 3.0
    assert shape(joint(name).recipe).contact.tag_on_leg_mm == pytest.approx(chords, abs=1e-8)


# ------------------------------------------------------------------ Taylor arithmetic


def test_jets_against_symbols() -> None:
    x = sp.symbols("x")
    u = Jet.variable(np.array([0.3, 1.1]), 3)
    sin, cos = (u * u + 0.5).sin_cos()
    cases = {
        sp.sin(x**2 + sp.Rational(1, 2)): sin,
        sp.cos(x**2 + sp.Rational(1, 2)) / (1 + x): cos / (u + 1.0),
        sp.sqrt(2 + x**3): (u * u * u + 2.0).sqrt(),
        3 - x + 2 * x**4: polynomial((3.0, -1.0, 0.0, 0.0, 2.0), u),
    }
    for formula, jet in cases.items():
        exact = [[float(formula.diff(x, order).subs(x, value)) for value in (0.3, 1.1)] for order in range(4)]
        assert jet.derivatives() == pytest.approx(np.array(exact), rel=1e-12, abs=1e-12)
