"""A curve in a pose: lengths scale, curvature does so inversely, and a straight line stays known as one."""

from __future__ import annotations

import numpy as np
import pytest

from helix.geometry.wire.curves import Line, Strand, curvature_vectors, curve_length, derivatives, is_straight, speeds
from helix.geometry.wire.placed import Placed, Pose, pose
from helix.geometry.wire.planar import PlanarPiece

TURN = np.linalg.qr(np.array([[0.3, 1.0, -0.4], [0.9, -0.2, 0.5], [0.1, 0.7, 1.1]]))[0]
AT = pose(TURN * np.sign(np.linalg.det(TURN)), np.array([3.0, -1.0, 2.0]), 2.5)
CURVES = (
    Strand((0.5,), (1.2,), 0.3, 0.0, 4.0),
    Strand((0.0, 1.0), (1.0, 0.4), 0.0, 0.0, 3.0),
    PlanarPiece((0.2, 0.5), (0.0, 0.1, 0.05), 0.0, 0.0, 3.0),
    Line((0.0, 1.0, 0.0), (0.0, 0.0, 1.0), 50.0),
)


@pytest.mark.parametrize("curve", CURVES)
def test_a_pose_moves_turns_and_scales(curve) -> None:
    there, u = Placed(curve, AT), np.linspace(0.0, curve.span, 7)
    own, seen = derivatives(curve, u), derivatives(there, u)
    assert seen[0] == pytest.approx(AT.points(own[0]), abs=1e-12)
    assert seen[1:] == pytest.approx(AT.scale * own[1:] @ np.array(AT.turn).T, abs=1e-12)
    assert speeds(there, u) == pytest.approx(AT.scale * speeds(curve, u))
    assert curve_length(there) == pytest.approx(AT.scale * curve_length(curve), rel=1e-12)
    bent = [np.linalg.norm(curvature_vectors(d), axis=1) for d in (own, seen)]
    assert bent[1] == pytest.approx(bent[0] / AT.scale, abs=1e-12)
    assert is_straight(there) == is_straight(curve)


def test_a_swing_keeps_the_line_it_turns_about_and_undoes_itself() -> None:
    swung = AT.swung(0.7, 5.0)
    back = swung.swung(-0.7, 5.0)
    assert back.points(np.eye(3)) == pytest.approx(AT.points(np.eye(3)), abs=1e-12)
    on_line = np.array([[0.0, 9.0, 5.0]])
    assert Pose().swung(0.7, 5.0).points(on_line) == pytest.approx(on_line, abs=1e-12)
    away = Pose().swung(0.1, 0.0).points(np.array([[0.0, 0.0, 1.0]]))[0]
    assert away[0] == pytest.approx(np.sin(0.1)) and away[2] == pytest.approx(np.cos(0.1))  # from z towards x
