"""Methods behind the numbers of a pull-test report: name, what it does, source with its mark."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True)
class Method:
    """One method: short key, name, what it does and assumes, source with its mark, where it is checked."""

    key: str
    name: str
    says: str
    source: str
    checked: str


METHODS: Final = (
    Method(
        "M1", "mean, median, SD, CV",
        "SD has divisor n - 1. Pieces that broke and pieces that unwound are kept apart; pieces that ended at a grip "
        "or were stopped are in neither.",
        "NIST StRD univariate sets, certified values [mem]", "validation/test_pull_samples.py",
    ),
    Method(
        "M2", "interval of a mean, 95 %",
        "Student's t. Normal loads.",
        "NIST/SEMATECH e-Handbook 1.3.5.2 [mem]", "validation/test_pull_samples.py",
    ),
    Method(
        "M3", "tolerance bound, 95/95 and 90/95",
        "The load that 95 (or 90) % of all such pieces exceed, with 95 % confidence: mean - k SD, k by the "
        "noncentral t. Normal loads; the tail is an assumption that ten pieces cannot check.",
        "NIST/SEMATECH e-Handbook 7.2.6.3 [pub]", "validation/test_pull_samples.py",
    ),
    Method(
        "M4", "single joint: mean and SD from pieces with two",
        "Maximum likelihood. A piece shows its weaker joint; one that ended clear of the joints, at a grip, by "
        "stopping or by the other mode says that both are at least that strong. Normal joints, alike, endings "
        "independent of each other. Value: greatest likelihood (its SD is a little low in small samples).",
        "H. L. Jones, Ann. Math. Stat. 19 (1948) 270 [rep]; J. W. Pratt, JASA 76 (1981) 103 [mem]",
        "validation/test_pull_censored.py",
    ),
    Method(
        "M5", "single joint: intervals and tolerance bounds",
        "The likelihood of M4, integrated with d mu d sigma/sigma: exact without censoring; with it, measured.",
        "R. A. Fisher, Proc. R. Soc. A 144 (1934) 285; J. F. Lawless, Technometrics 20 (1978) 355 [mem]",
        "helix/data/pull_coverage.csv",
    ),
    Method(
        "M6", "bound only",
        "Where too few joints failed for M4: half of all joints are stronger than this load, at 95 % confidence, "
        "whatever the distribution and however alike the two joints of a piece are.",
        "order statistics; H. A. David, Order Statistics [mem]", "tests/statistics/test_proportions.py",
    ),
    Method(
        "M7", "Weibull shape and scale",
        "M4 and M5 with the logarithm of the load and the smallest extreme value distribution.",
        "J. F. Lawless, Technometrics 20 (1978) 355 [mem]; NIST/SEMATECH e-Handbook 8.4.1 [mem]",
        "validation/test_pull_censored.py",
    ),
    Method(
        "M8", "efficiency over the control, over the rated load",
        "Two different numbers. Over the control: mean over the mean of straight wire from the same batch, the "
        "interval combining both. Over the rated load: mean over a printed number, so only the mean varies.",
        "confidence distributions of M2 or M5, combined by quadrature", "validation/test_pull_ratios.py",
    ),
    Method(
        "M9", "share that unwound",
        "Of the pieces that unwound or broke. Clopper-Pearson, exact: covers at least 95 %.",
        "C. J. Clopper & E. S. Pearson, Biometrika 26 (1934) 404 [mem]; NIST/SEMATECH e-Handbook 7.2.4.2 [pub]",
        "validation/test_pull_samples.py",
    ),
    Method(
        "M10", "readings that stand out",
        "Generalised extreme studentised deviate at 5 %, in samples of 5 and more. Shown, never dropped.",
        "B. Rosner, Technometrics 25 (1983) 165, by way of NIST/SEMATECH e-Handbook 1.3.5.17.3 [mem]",
        "validation/test_pull_samples.py",
    ),
    Method(
        "M11", "chance of unwinding on turns and wraps",
        "Logistic regression, limits by profile likelihood; refused where turns and wraps vary together, or where "
        "a boundary separates the pieces that unwound from those that held.",
        "A. Albert & J. A. Anderson, Biometrika 71 (1984) 1 [mem]", "validation/test_two_samples_published.py",
    ),
    Method(
        "M12", "difference of two means",
        "Welch's t: spreads may differ. Interval at 95 % for each pair on its own.",
        "B. L. Welch, Biometrika 34 (1947) 28; NIST/SEMATECH e-Handbook 1.3.5.3 [mem]",
        "validation/test_two_samples_published.py",
    ),
    Method(
        "M13", "rank test",
        "Mann-Whitney, two-sided: asks whether loads of one group tend to be higher, without a normal distribution.",
        "H. B. Mann & D. R. Whitney, Ann. Math. Stat. 18 (1947) 50 [mem]; scipy.stats.mannwhitneyu",
        "tests/statistics/test_two_samples.py",
    ),
    Method(
        "M14", "exact test for shares",
        "Fisher, two-sided: outcomes no likelier than the one seen.",
        "R. A. Fisher [mem]; scipy.stats.fisher_exact", "validation/test_two_samples_published.py",
    ),
    Method(
        "M15", "correction for several comparisons",
        "Holm's step-down over all pairs of one kind of test.",
        "S. Holm, Scand. J. Statist. 6 (1979) 65 [mem]", "tests/statistics/test_two_samples.py",
    ),
    Method(
        "M16", "plotting positions",
        "Kaplan-Meier, middle of each step; pieces that ended otherwise thin the count above them.",
        "E. L. Kaplan & P. Meier, JASA 53 (1958) 457 [mem]", "tests/statistics/test_proportions.py",
    ),
    Method(
        "M17", "events of a curve",
        "Stiffness: steepest line through a quarter of the loads. Slip: a fall of 1 % of the peak or 8 SD of the "
        "noise. Leaving the line: extension stays 5 % of the elastic extension beyond it.",
        "definitions of our own", "tests/statistics/test_load_curves.py",
    ),
    Method(
        "M18", "predicted bands",
        "Joints: what helix hold estimates for one joint of the row's recipe with its own turns and wraps, weakest to "
        "strongest wire. Straight wire: lowest to highest strength of the material's table times the section.",
        "models named by helix hold, none proven; the tables' sources stand in helix sizes", "tests/studies/hold/test_holding.py",
    ),
)  # fmt: skip

METHOD: Final = {method.key: method for method in METHODS}
