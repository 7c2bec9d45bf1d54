"""Groups of pull tests against each other: effects in newtons and words, tests, corrections, what is confounded."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from helix.errors import ValidationError
from helix.findings import notice
from helix.model.measured.pull_file import PullFile, pull_file_from_text
from helix.output.pulls.pull_sentences import comparison_words
from helix.studies.pulls.pull_compare import CompareResult, compare_pulls

HEAD = "id,group,load,unit,failure,batch,maker,joints\n"


def file(rows: list[tuple[str, float, str, str, str]]) -> PullFile:
    return pull_file_from_text(
        HEAD + "".join(f"{k},{g},{x},N,{w},{b},{m},\n" for k, (g, x, w, b, m) in enumerate(rows))
    )


def group(
    name: str,
    mean: float,
    sd: float,
    n: int = 10,
    word: str = "broke_exit",
    batch: str = "A",
    maker: str = "Ines",
    seed: int = 1,
) -> list[tuple[str, float, str, str, str]]:
    # evenly spaced normal scores: the sample's own mean and SD are as wanted
    scores = stats.norm.ppf((np.arange(n) + 0.5) / n)
    scores = np.random.default_rng(seed).permutation((scores - scores.mean()) / scores.std(ddof=1))
    return [(name, round(mean + sd * float(z), 6), word, batch, maker) for z in scores]


def compared(rows: list[tuple[str, float, str, str, str]], by: str = "group") -> CompareResult:
    return compare_pulls(file(rows), by)


def test_an_effect_in_newtons_and_in_words() -> None:
    rows = group("4 and 4", 620.0, 50.0, word="unwound") + group("5 and 5", 840.0, 20.0)
    (pair,) = compared(rows).comparisons
    theirs = stats.ttest_ind([r[1] for r in rows[:10]], [r[1] for r in rows[10:]], equal_var=False)
    limits = theirs.confidence_interval(0.95)
    assert pair.difference_n.value == pytest.approx(-220.0)
    assert (pair.difference_n.low, pair.difference_n.high) == pytest.approx((limits.low, limits.high), rel=1e-6)
    assert pair.welch.p == pytest.approx(theirs.pvalue, rel=1e-6)
    assert comparison_words(pair) == (
        "4 and 4 is weaker than 5 and 5 by 180 to 260 N (unwound against broke); 10 of 10 against 0 of 10 unwound, a "
        "difference in kind (p 1.1e-05); one batch, ten pieces each."
    )


def test_no_difference_is_no_claim_of_sameness() -> None:
    rows = group("A", 800.0, 20.0, 5) + group("B", 805.0, 20.0, 5, seed=2)
    (pair,) = compared(rows).comparisons
    assert comparison_words(pair).startswith(
        "no difference in load is shown between A and B: from -34 to +24 N is possible"
    )
    assert "five pieces each" in comparison_words(pair)


def test_several_pairs_are_corrected_for() -> None:
    rows = group("A", 800.0, 20.0) + group("B", 818.0, 20.0, seed=2) + group("C", 840.0, 20.0, seed=3)
    result = compared(rows)
    assert [(c.first, c.second) for c in result.comparisons] == [("A", "B"), ("A", "C"), ("B", "C")]
    for pair in result.comparisons:
        assert pair.welch.holm >= pair.welch.p
        assert pair.rank.holm >= pair.rank.p
    least = min(result.comparisons, key=lambda c: c.welch.p)
    assert least.welch.holm == pytest.approx(3.0 * least.welch.p)
    assert notice("pairs-corrected", count=3) in result.notes


def test_pairs_turned_round_say_the_opposite() -> None:
    one, two = group("A", 800.0, 20.0), group("B", 860.0, 30.0, seed=2)
    (ab,), (ba,) = compared(one + two).comparisons, compared(two + one).comparisons
    assert ab.difference_n.value == pytest.approx(-float(ba.difference_n.value or 0.0))
    assert ab.difference_n.low == pytest.approx(-float(ba.difference_n.high or 0.0))
    assert ab.joint_difference_n.low == pytest.approx(-float(ba.joint_difference_n.high or 0.0), abs=0.05)
    assert (ab.welch.p, ab.rank.p) == pytest.approx((ba.welch.p, ba.rank.p))


def test_the_single_joint_differs_more_where_the_spread_does() -> None:
    # the weaker of two costs 0.68 SD of the pieces: the group that scatters more gains more by the correction
    (pair,) = compared(group("A", 800.0, 40.0, 20) + group("B", 800.0, 10.0, 20, seed=2)).comparisons
    assert pair.joint_difference_n.value == pytest.approx(0.683 * 30.0, rel=0.06)


def test_what_most_pieces_did_is_compared_and_named() -> None:
    mixed = group("A", 700.0, 20.0, 8, "unwound") + group("A", 840.0, 10.0, 3)
    (pair,) = compared(mixed + group("B", 842.0, 10.0, seed=4)).comparisons
    assert pair.modes == ("unwound", "broke")
    assert pair.n == (8, 10)


def test_what_differs_with_the_groups_is_named() -> None:
    rows = group("A", 800.0, 20.0, batch="1", maker="Ines") + group("B", 860.0, 20.0, batch="2", maker="Ines", seed=2)
    (pair,) = compared(rows).comparisons
    assert [(note.code, note["column"]) for note in pair.notes] == [("shares-no-column", "batch")]
    assert pair.batches == 2 and "two batches" in comparison_words(pair)


def test_by_another_column_and_what_it_cannot_do() -> None:
    rows = (
        group("A", 800.0, 20.0, maker="Ines")
        + group("A", 850.0, 20.0, maker="Tomo", seed=2)
        + group("A", 800.0, 20.0, 3, maker="")
    )
    result = compared(rows, "Maker")
    assert [g.name for g in result.groups] == ["Ines", "Tomo"]
    assert notice("column-empty", count=3, column="maker") in result.notes
    with pytest.raises(ValidationError, match='must be a column of tests .* got "weather"'):
        compared(rows, "weather")
    with pytest.raises(ValidationError, match="must make 2 to 30 groups; column batch makes 1"):
        compared(rows, "batch")


def test_thin_groups_do_not_pretend() -> None:
    (pair,) = compared([("A", 800.0, "broke_exit", "", ""), *group("B", 860.0, 20.0)]).comparisons
    assert pair.difference_n.low is None
    assert math.isnan(pair.welch.p)
    assert pair.effect == "no-interval"
    assert "without an interval" in comparison_words(pair)
    (none,) = compared([("A", 800.0, "grip", "", ""), *group("B", 860.0, 20.0)]).comparisons
    assert none.modes is None and none.effect == "no-loads"
    assert "no loads to compare" in comparison_words(none)
