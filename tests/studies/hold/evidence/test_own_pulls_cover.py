"""The load to plan with, once own pieces were pulled, covers the next joint: benches of known truth (scripts/studies/own_pulls.py).

Three cases always, all of them in the slow studies; 2,000 benches a case, of a standard error of 0.1 to 0.2 %, by the
script: they take half an hour.
"""

from __future__ import annotations

import pytest

from tests.studies.hold.evidence.own_pulls_simulation import CASES, PIECES, bench_counts


@pytest.mark.parametrize(("case", "pieces"), [("usual coil", 10), ("weak coil", 3)])
def test_some_benches(case: str, pieces: int) -> None:
    counts = bench_counts(CASES[case], pieces, 40, seed=5)
    assert 0.92 <= counts.covered <= 0.985  # 40 benches: one standard error of 0.7 %
    assert counts.expected == pytest.approx(1.0, abs=0.04)


@pytest.mark.slow
@pytest.mark.parametrize("pieces", PIECES)
@pytest.mark.parametrize("case", CASES)
def test_every_case(case: str, pieces: int) -> None:
    counts = bench_counts(CASES[case], pieces, 100, seed=20_261_128 + pieces)
    assert 0.92 <= counts.covered <= 0.985  # 93 to 97 % is wanted; 100 benches: one standard error of 0.4 %
    assert counts.expected == pytest.approx(1.0, abs=0.02 + 0.2 / pieces)  # it tends to the sample's mean
