"""Linked eyes beside the only figures that are known of wire across wire: a warning, which enters no number of ours.

They are of other joints, of two pieces each, and come by a newspaper. What is held is that what helix prints as possible at the
crossing, from the least ductile wire to the most, reaches down to them: it does not say more than they let it.
"""

from __future__ import annotations

from functools import cache

import pytest

from helix import recipe_from_text
from helix.studies.link.link_result import LinkedJoint
from helix.studies.link.linking import link_joints
from validation.rows import Row, ids

FENCE = "newspaper report of an agricultural engineering institute's tests, 1980: 44 to 66 %, two pieces each"
WRAPPING = "wrapping test of EN 10218-1 by way of EN 10270-1: nominal strain d/(D + d)"


@cache
def crossing() -> LinkedJoint:
    """An eye of hard stainless wire in another of its kind, drawn tight."""
    text = 'wire = {size = "MWG 12", material = "302 stainless"}\neye = {pin = "6 mm"}\n'
    return link_joints(recipe_from_text(text)).joints[0]


ROWS = [
    Row(
        "part of the wire left where it crosses wire of its size, least ductile (a warning only: other joints; ours is 0.92 nominal)",
        FENCE, "rep", "0.55", lambda: crossing().leaves.low, 0.11, "half of the range that was reported",
    ),
    Row(
        "strain of an eye drawn tight over wire of its size", WRAPPING, "mem", "0.5", lambda: crossing().pulled.strain, 1e-9,
        "exact: d/(2 R) at R = d",
    ),
]  # fmt: skip


@pytest.mark.parametrize("row", ROWS, ids=ids(ROWS))
def test_row(row: Row) -> None:
    row.check()
