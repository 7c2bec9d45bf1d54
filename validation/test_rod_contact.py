"""The simulated rod in contact: drawn round a pin, crossed, rolled."""

from __future__ import annotations

import math

import pytest

from validation import rod_cases as cases
from validation.rows import Row, ids

pytestmark = pytest.mark.xdist_group("rod")
LINE = "capstan of a line that rubs at its surface, derived in validation/rod_cases.py"
ROWS = [
    *(
        Row(f"pull over hold of a limp line half round a pin of radius 5, friction {mu}", LINE, "der",
            f"{cases.capstan_ratio(mu, 5.0):.3f}", lambda mu=mu: round(cases.capstan(mu, 5.0, 0.5)[0], 2), 0.02,
            "what waves of the pulling leave, 1 %")
        for mu in (0.1, 0.3)
    ),
    Row("press of two crossed rods at rest, over what their ends bear", "balance of forces", "der", "1.00",
        lambda: cases.crossed(0.4, 8)[0], 0.01, "presses lean by 0.1 rad at points beside the crossing"),
    Row("what friction takes of a rod that slides over another, over friction, press and way", "Coulomb", "mem",
        "1.00", lambda: cases.rolled(False), 0.01, "the spring of the grip is stretched first"),
    Row("the same of a rod that rolls over it", "rolling without sliding", "mem", "0.0000",
        lambda: cases.rolled(True), 1e-4, "nothing rubs"),
]  # fmt: skip


@pytest.mark.parametrize(
    "row", [pytest.param(row, marks=pytest.mark.slow if row.source == LINE else ()) for row in ROWS], ids=ids(ROWS)
)
def test_row(row: Row) -> None:
    row.check()


@pytest.mark.slow
@pytest.mark.parametrize("friction", [0.1, 0.3])
def test_the_pull_round_a_pin_does_not_chatter(friction: float) -> None:
    _, scatter, deepest, residual = cases.capstan(friction, 5.0, 0.5)
    assert scatter < 0.02 and deepest < 0.01 and residual < 0.005


def test_crossed_rods_come_to_rest_without_sinking_in() -> None:
    _, press, moving, deepest, residual = cases.crossed(0.4, 8)
    assert press > 0.05 and moving < 1e-8 and deepest < 0.01 and residual < 0.005


@pytest.mark.slow
def test_more_points_a_node_find_the_crossing_better() -> None:
    off = [abs(cases.crossed(0.4, points)[0] - 1.0) for points in (2, 4, 8)]
    assert off[0] > 2.0 * off[1] > 4.0 * off[2]


@pytest.mark.slow
@pytest.mark.parametrize("friction", [0.1, 0.3])
def test_a_finer_mesh_comes_nearer_and_does_not_chatter_either(friction: float) -> None:
    ratio, scatter, deepest, residual = cases.capstan(friction, 5.0, 0.33)
    assert ratio == pytest.approx(cases.capstan_ratio(friction, 5.0), rel=0.005)
    assert scatter < 0.005 and deepest < 0.01 and residual < 0.005


@pytest.mark.slow
@pytest.mark.parametrize("friction", [0.1, 0.3])
def test_the_thin_lines_law_is_the_limit_of_a_wide_pin(friction: float) -> None:
    law = math.exp(friction * math.pi)
    wide = cases.capstan(friction, 10.0, 0.5)[0]
    assert wide == pytest.approx(cases.capstan_ratio(friction, 10.0), rel=0.01)
    assert abs(cases.capstan_ratio(friction, 40.0, limp=0.0) - law) < 0.015 * law
    assert cases.capstan_ratio(friction, 5.0, limp=0.0) < cases.capstan_ratio(friction, 40.0, limp=0.0) < law


@pytest.mark.slow
def test_slower_is_the_same() -> None:
    assert cases.capstan(0.3, 5.0, 0.5, 2.0)[0] == pytest.approx(cases.capstan(0.3, 5.0, 0.5)[0], rel=0.01)
