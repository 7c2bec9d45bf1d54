"""The wire while it is formed: one length, one tangent, what is done rigid and the rest straight.

Map of what must hold:
  whatever is formed, the length is that of path and handle, section by section
  the tangent goes on through every join; curvature too where the rest rises off what it lies on
  what is formed is the finished curve itself; the rest is straight, tangent at both ends
  an arc has its radius and turns by its angle; a trimmed curve is the curve
  places are found at their arc length
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from helix.geometry.joint.partly_formed import (
    Arc,
    Crank,
    FormedPlace,
    Rising,
    Trimmed,
    cranked,
    partly_formed,
    place_at,
)
from helix.geometry.wire.curves import Line, Strand, curvature_vectors, curve_length, derivatives
from helix.geometry.wire.path import CurvePiece, Path

COIL = Strand((1.0,), (2.0,), 0.3, 0.0, 3.0)
WINDING = Strand((0.5, 0.5), (1.0, 0.4), 0.0, 0.0, 2.0)  # its speed changes
PATH = Path(
    (
        CurvePiece("standing", Line((0.0, 0.0, -4.0), (0.0, 0.0, 1.0), 4.0)),
        CurvePiece("twist_tag", WINDING),
        CurvePiece("barrel", COIL),
    )
)
SINGLE = Path((CurvePiece("barrel", COIL),))


def lengths(path: Path) -> dict[str, float]:
    found: dict[str, float] = {}
    for piece, length in zip(path.pieces, path.lengths, strict=True):
        found[piece.section] = found.get(piece.section, 0.0) + float(length)
    return found


@settings(max_examples=40)
@given(st.integers(1, 2), st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 20.0))
def test_every_section_keeps_its_length(piece: int, low: float, high: float, fade: float, handle: float) -> None:
    first, second = sorted((low, high))
    span = PATH.pieces[piece].curve.span
    rising = Rising(0.0, 0.0), Rising(0.5 * fade, 0.1 * fade)
    made = partly_formed(PATH, FormedPlace(piece, first * span), FormedPlace(piece, second * span), handle, rising)
    wanted = lengths(PATH) | {"handle": handle}
    assert made.length == pytest.approx(PATH.length + handle, abs=1e-10)
    for name, length in lengths(made).items():
        if name == "standing" or fade == 0.0:  # a rising bend keeps the name of where it begins
            assert length == pytest.approx(wanted[name], abs=1e-9), name


@pytest.mark.parametrize("rising", [Rising(0.0, 0.0), Rising(0.6, 0.14)])
@pytest.mark.parametrize("crank", [None, Crank(2.0, 1.0, 1.2)])
def test_the_tangent_goes_on_through_every_join(rising: Rising, crank: Crank | None) -> None:
    made = partly_formed(SINGLE, FormedPlace(0, 0.7), FormedPlace(0, 2.1), 9.0, (Rising(0.0, 0.0), rising), crank)
    assert [piece.section for piece in made.pieces][-1] == "handle"
    for one, other in zip(made.pieces[:-1], made.pieces[1:], strict=True):
        a = derivatives(one.curve, np.array([one.curve.span]), 2)[:, :1]
        b = derivatives(other.curve, np.array([0.0]), 2)
        assert np.allclose(a[0], b[0], atol=1e-10)
        assert np.allclose(a[1] / np.linalg.norm(a[1]), b[1] / np.linalg.norm(b[1]), atol=1e-10)
    if rising.fade and crank is None:  # and the curvature at the tag's end
        pieces = list(made.pieces)
        k = next(k for k, piece in enumerate(pieces) if isinstance(piece.curve, Trimmed))
        for one, other in ((pieces[k], pieces[k + 1]), (pieces[k + 1], pieces[k + 2])):
            a = curvature_vectors(derivatives(one.curve, np.array([one.curve.span]), 2))
            b = curvature_vectors(derivatives(other.curve, np.array([0.0]), 2))
            assert np.allclose(a, b, atol=1e-10)


def test_what_is_formed_is_the_finished_curve_and_the_rest_is_straight() -> None:
    made = partly_formed(SINGLE, FormedPlace(0, 0.7), FormedPlace(0, 2.1), 5.0)
    found = made.sample(0.05)
    start, stop = (curve_length(Trimmed(COIL, 0.0, u)) for u in (0.7, 2.1))
    inside = (found.s >= start - 1e-9) & (found.s <= stop + 1e-9)
    exact = SINGLE.sample(0.01)
    away = np.linalg.norm(found.points[inside][:, None] - exact.points[None], axis=2).min(axis=1)
    assert away.max() < 0.006
    for part, u in ((found.s < start - 1e-9, 0.7), (found.s > stop + 1e-9, 2.1)):
        assert np.abs(found.curvature[part]).max() < 1e-12
        ahead = derivatives(COIL, np.array([u]), 1)[1, 0]
        assert np.allclose(found.tangents[part], ahead / np.linalg.norm(ahead), atol=1e-12)


def test_nothing_formed_is_one_straight_wire() -> None:
    made = partly_formed(PATH, FormedPlace(1, 0.8), FormedPlace(1, 0.8), 3.0)
    found = made.sample(0.5)
    assert np.ptp(found.tangents, axis=0).max() < 1e-12
    assert np.linalg.norm(found.points[-1] - found.points[0]) == pytest.approx(PATH.length + 3.0)


def test_a_crank_turns_by_its_angle_at_its_radius() -> None:
    made = partly_formed(
        SINGLE, FormedPlace(0, 0.0), FormedPlace(0, 3.0), 12.0, crank=Crank(3.0, 1.5, np.pi / 2, (0.0, 0.0, 1.0))
    )
    found = made.sample(0.01)
    bent = np.linalg.norm(found.curvature, axis=1)
    corner = (bent > 0.0) & (found.s > SINGLE.length + 2.9)
    assert np.allclose(bent[corner], 1 / 1.5, rtol=1e-9)
    before = found.tangents[np.flatnonzero(corner)[0] - 1]
    assert found.tangents[-1] @ before == pytest.approx(0.0, abs=1e-9)
    assert found.tangents[-1][2] > 0.0
    assert found.s[-1] == pytest.approx(SINGLE.length + 12.0)


def test_an_arc_is_an_arc() -> None:
    arc = Arc((1.0, 2.0, 3.0), (0.0, 0.0, 1.0), (0.0, 1.0, 0.0), 2.0, np.pi)
    u = np.linspace(0.0, np.pi, 9)
    d = derivatives(arc, u, 2)
    assert np.allclose(np.linalg.norm(d[0] - [1.0, 4.0, 3.0], axis=1), 2.0)
    assert np.allclose(np.linalg.norm(d[1], axis=1), 1.0)
    assert np.allclose(np.linalg.norm(d[2], axis=1), 0.5)


@given(st.floats(0.0, 1.0))
def test_places_are_found_at_their_arc_length(share: float) -> None:
    s = share * PATH.length
    place = place_at(PATH, s)
    there = PATH.starts[place.piece] + curve_length(Trimmed(PATH.pieces[place.piece].curve, 0.0, place.u))
    assert there == pytest.approx(s, abs=1e-9)


def test_a_stretch_the_wrong_way_round_is_refused() -> None:
    with pytest.raises(ValueError, match="low must not come after high"):
        partly_formed(PATH, FormedPlace(2, 0.0), FormedPlace(1, 0.0), 1.0)


def test_a_cranked_handle_keeps_its_length() -> None:
    crank = Crank(arm=4.0, radius=1.5, angle=1.2, rocked=0.4)
    laid = cranked(np.array([1.0, 2.0, 3.0]), np.array([1.0, 0.0, 0.0]), 20.0, crank)
    assert len(laid) == 4 and sum(curve_length(curve) for curve in laid) == pytest.approx(20.0, abs=1e-12)
