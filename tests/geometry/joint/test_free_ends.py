"""Both ends of what is formed, at many moments at once.

Map of what must hold:
  at every moment they are where the wire of that moment, laid piece by piece, has them: end, rise, and straight rest
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from helix.geometry.joint.free_ends import free_ends
from helix.geometry.joint.partly_formed import FormedPlace, Rising, partly_formed, place_at
from helix.geometry.wire.curves import positions
from helix.geometry.wire.path import Path
from tests.geometry.joint.test_partly_formed import PATH

HANDLE = 6.0
MIDDLE = FormedPlace(1, 1.0)


def at(path: Path, s: float) -> np.ndarray:
    place = place_at(path, s)
    return positions(path.pieces[place.piece].curve, np.array([place.u]))[0]


@settings(max_examples=20)
@given(
    st.lists(
        st.tuples(st.sampled_from([1, 2]), st.floats(0.0, 1.0), st.sampled_from([0.0, 0.4, 0.9]), st.floats(0.0, 0.2)),
        min_size=1, max_size=4,
    )
)  # fmt: skip
def test_they_are_those_of_the_wire_laid_for_one_moment(rows: list[tuple[int, float, float, float]]) -> None:
    up = (0.0, 0.6, 0.8)
    risings = [Rising(fade, lift, up) for _, _, fade, lift in rows]
    highs = [FormedPlace(k, max(u, 0.51 if k == 1 else 0.0) * PATH.pieces[k].curve.span) for k, u, _, _ in rows]
    lows = [FormedPlace(1, 0.5 * u * PATH.pieces[1].curve.span) for _, u, _, _ in rows]
    low = free_ends(PATH, lows, risings, HANDLE, low=True)
    high = free_ends(PATH, highs, risings, HANDLE, low=False)
    for k, rising in enumerate(risings):
        made = partly_formed(PATH, lows[k], highs[k], HANDLE, (rising, rising))
        total = PATH.length + HANDLE
        for side, ends, room in ((-1.0, low, float(low.s[k])), (1.0, high, total - float(high.s[k]))):
            s0 = float(ends.s[k])
            for j in (0, 4, 8):
                there = at(made, s0 + side * float(ends.along[k, j]))
                assert ends.points[k, j] == pytest.approx(there, abs=1e-9)
            far = float(ends.along[k, -1]) + 0.9 * (room - float(ends.along[k, -1]))
            assert ends.place(np.full(len(rows), far))[k] == pytest.approx(at(made, s0 + side * far), abs=1e-9)
