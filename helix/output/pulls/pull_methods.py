"""Methods behind the numbers of a pull-test report: name, what it does, source with its mark."""

from __future__ import annotations

from typing import Final

from helix.values import result


@result
class Method:
    """One method: short key, name, what it does and assumes, source with its mark, where it is checked."""

    key: str
    name: str
    says: str
    source: str
    checked: str


METHODS: Final = (
    Method(
        key="M1", name="mean, median, SD, CV",
        says="SD has divisor n - 1. Pieces that broke and pieces that unwound are kept apart; pieces that ended at a grip "
        "or were stopped are in neither.",
        source="NIST StRD univariate sets, certified values [mem]", checked="validation/test_pull_samples.py",
    ),
    Method(
        key="M2", name="interval of a mean, 95 %",
        says="Student's t. Normal loads.",
        source="NIST/SEMATECH e-Handbook 1.3.5.2 [mem]", checked="validation/test_pull_samples.py",
    ),
    Method(
        key="M3", name="tolerance bound, 95/95 and 90/95",
        says="The load that 95 (or 90) % of all such pieces exceed, with 95 % confidence: mean - k SD, k by the "
        "noncentral t. Normal loads; the tail is an assumption that ten pieces cannot check.",
        source="NIST/SEMATECH e-Handbook 7.2.6.3 [pub]", checked="validation/test_pull_samples.py",
    ),
    Method(
        key="M4", name="single joint: mean and SD from pieces with two",
        says="Maximum likelihood. A piece shows its weaker joint; one that ended clear of the joints, at a grip, by "
        "stopping or by the other mode says that both are at least that strong. Normal joints, alike, endings "
        "independent of each other. Value: greatest likelihood (its SD is a little low in small samples).",
        source="H. L. Jones, Ann. Math. Stat. 19 (1948) 270 [rep]; J. W. Pratt, JASA 76 (1981) 103 [mem]",
        checked="validation/test_pull_censored.py",
    ),
    Method(
        key="M5", name="single joint: intervals and tolerance bounds",
        says="The likelihood of M4, integrated with d mu d sigma/sigma: exact without censoring; with it, measured.",
        source="R. A. Fisher, Proc. R. Soc. A 144 (1934) 285; J. F. Lawless, Technometrics 20 (1978) 355 [mem]",
        checked="helix/data/pull_coverage.csv",
    ),
    Method(
        key="M6", name="bound only",
        says="Where too few joints failed for M4: half of all joints are stronger than this load, at 95 % confidence, "
        "whatever the distribution and however alike the two joints of a piece are.",
        source="order statistics; H. A. David, Order Statistics [mem]", checked="tests/statistics/test_proportions.py",
    ),
    Method(
        key="M7", name="Weibull shape and scale",
        says="M4 and M5 with the logarithm of the load and the smallest extreme value distribution.",
        source="J. F. Lawless, Technometrics 20 (1978) 355 [mem]; NIST/SEMATECH e-Handbook 8.4.1 [mem]",
        checked="validation/test_pull_censored.py",
    ),
    Method(
        key="M8", name="efficiency over the control, over the rated load",
        says="Two different numbers. Over the control: mean over the mean of straight wire from the same batch, the "
        "interval combining both. Over the rated load: mean over a printed number, so only the mean varies.",
        source="confidence distributions of M2 or M5, combined by quadrature", checked="validation/test_pull_ratios.py",
    ),
    Method(
        key="M9", name="share that unwound",
        says="Of the pieces that unwound or broke. Clopper-Pearson, exact: covers at least 95 %.",
        source="C. J. Clopper & E. S. Pearson, Biometrika 26 (1934) 404 [mem]; NIST/SEMATECH e-Handbook 7.2.4.2 [pub]",
        checked="validation/test_pull_samples.py",
    ),
    Method(
        key="M10", name="readings that stand out",
        says="Generalised extreme studentised deviate at 5 %, in samples of 5 and more. Shown, never dropped.",
        source="B. Rosner, Technometrics 25 (1983) 165, by way of NIST/SEMATECH e-Handbook 1.3.5.17.3 [mem]",
        checked="validation/test_pull_samples.py",
    ),
    Method(
        key="M11", name="chance of unwinding on turns and wraps",
        says="Logistic regression, limits by profile likelihood; refused where turns and wraps vary together, or where "
        "a boundary separates the pieces that unwound from those that held.",
        source="A. Albert & J. A. Anderson, Biometrika 71 (1984) 1 [mem]", checked="validation/test_two_samples_published.py",
    ),
    Method(
        key="M12", name="difference of two means",
        says="Welch's t: spreads may differ. Interval at 95 % for each pair on its own.",
        source="B. L. Welch, Biometrika 34 (1947) 28; NIST/SEMATECH e-Handbook 1.3.5.3 [mem]",
        checked="validation/test_two_samples_published.py",
    ),
    Method(
        key="M13", name="rank test",
        says="Mann-Whitney, two-sided: asks whether loads of one group tend to be higher, without a normal distribution.",
        source="H. B. Mann & D. R. Whitney, Ann. Math. Stat. 18 (1947) 50 [mem]; scipy.stats.mannwhitneyu",
        checked="tests/statistics/test_two_samples.py",
    ),
    Method(
        key="M14", name="exact test for shares",
        says="Fisher, two-sided: outcomes no likelier than the one seen.",
        source="R. A. Fisher [mem]; scipy.stats.fisher_exact", checked="validation/test_two_samples_published.py",
    ),
    Method(
        key="M15", name="correction for several comparisons",
        says="Holm's step-down over all pairs of one kind of test.",
        source="S. Holm, Scand. J. Statist. 6 (1979) 65 [mem]", checked="tests/statistics/test_two_samples.py",
    ),
    Method(
        key="M16", name="plotting positions",
        says="Kaplan-Meier, middle of each step; pieces that ended otherwise thin the count above them.",
        source="E. L. Kaplan & P. Meier, JASA 53 (1958) 457 [mem]", checked="tests/statistics/test_proportions.py",
    ),
    Method(
        key="M17", name="events of a curve",
        says="Stiffness: steepest line through a quarter of the loads. Slip: a fall of 1 % of the peak or 8 SD of the "
        "noise. Leaving the line: extension stays 5 % of the elastic extension beyond it.",
        source="definitions of our own", checked="tests/statistics/test_load_curves.py",
    ),
    Method(
        key="M18", name="predicted bands",
        says="Joints: the estimate of holding for one joint of the row's recipe with its own turns and wraps, weakest to "
        "strongest wire. Straight wire: lowest to highest strength of the material's table times the section.",
        source="models named in the estimate of holding, none proven; the tables' sources stand beside the wire sizes", checked="tests/studies/hold/test_holding.py",
    ),
    Method(
        key="M19", name="load to plan with",
        says="19 of 20 more whole pieces hold it: Student's prediction limit on the logarithms of the loads that ended alike.",
        source="G. J. Hahn, Technometrics 11 (1969) 878 [mem]", checked="tests/statistics/fits/test_next_piece.py",
    ),
    Method(
        key="M20", name="ends compared",
        says="Binomial test of the failures at a joint, breaks and unwinding together, even between two alike ends.",
        source="binomial, exact", checked="tests/statistics/test_agreement.py",
    ),
    Method(
        key="M21", name="prediction against pieces",
        says="What the estimate of holding says once it knows the straight wire of the group's coil. Unwinding: binomial over what all pieces "
        "share (model, hinge, level of the friction number). Load: normal on the logarithms; the coil and the model are "
        "shared, 4 % of scatter from joint to joint (common practice, no source), the weaker of a piece's two joints.",
        source="definitions of our own", checked="tests/studies/pulls/test_pull_confronted.py",
    ),
)  # fmt: skip

METHOD: Final = {method.key: method for method in METHODS}
