"""Sentences made of the results of pull tests, and what JSON carries of them beside the fields: those sentences, metric."""

from __future__ import annotations

import math
from typing import Final

from helix.output.pulls.pull_answers import answer_lines, confronted_lines, next_phrase
from helix.output.pulls.pull_methods import METHODS, Method
from helix.output.pulls.pull_rely import rely_words
from helix.output.words.findings.finding_words import capital, explain
from helix.output.words.pull_words import PullFormat, percent
from helix.studies.pulls.pull_compare import Comparison
from helix.studies.pulls.pull_confronted import Confronted
from helix.studies.pulls.pull_groups import EitherJoint, Group
from helix.studies.pulls.pull_next import NextPulls
from helix.studies.pulls.pull_unwinding import Unwinding
from helix.studies.pulls.pulls import PullsResult
from helix.studies.pulls_plan.pull_plan import Length, PlanResult
from helix.studies.pulls_plan.pull_sizes import SizeRow
from helix.values import Words, to_plain

ASSUMPTIONS: Final = (
    "Loads of one joint are normal within a group; the probability plot shows how far that holds.",
    (
        "The two joints of a piece are alike. Pieces that show only the weaker one cannot tell whether the two are "
        "independent: correlation 0 and 1 are given as bounds."
    ),
    (
        "Breaking, unwinding, grips and stopping end a piece independently of each other, so each says only that the "
        "others would have come later."
    ),
    (
        "The pieces stand for all joints made in the same way, by these hands, of this wire: one batch says nothing "
        "about the next."
    ),
)
CAUTIONS: Final = (
    "Wear eye protection for impact, and have everyone near the machine wear it.",
    "Hard wire whips when it breaks: test behind a screen, stand off the line of pull, keep hands out of the eye.",
    "Hold both ends when cutting and leave no spur.",
    "Let the load off before touching a piece that has slipped or begun to unwind.",
    "Not for lifting, fall arrest or loads over people: tests of a batch do not change that.",
)
METRIC: Final = PullFormat("metric")
_NUMBERS: Final = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
)  # fmt: skip
# key of a question: (to do what, how, by what); values are those wanted, as percentages
_QUESTIONS: Final = {
    "clean": (
        "show that at least {efficiency:.0f} % of all such pieces break rather than unwind",
        "every one must break; with {confidence:.0f} % confidence; ten clean breaks show no more than {ten_clean:.0f} %",
        "binomial, exact (Clopper-Pearson [mem])",
    ),
    "mean": (
        "show a mean of {efficiency:.0f} % of the control or more",
        (
            "jointed pieces, and as many controls; {expected:.0f} % expected, CV {cv:.1f} % and {control_cv:.1f} %; "
            "{confidence:.0f} % confidence, {power:.0f} % chance to succeed"
        ),
        "noncentral t [mem]",
    ),
    "each": (
        "show that 95 % of all such pieces reach {efficiency:.0f} % of the control's mean",
        "mean and SD as expected; tolerance bound 95/{confidence:.0f}; {power:.0f} % chance to succeed",
        "noncentral t, NIST/SEMATECH e-Handbook 7.2.6.3 [pub]",
    ),
    "margin": ("know the mean to within {margin:.1f} %", "n = (1.96 SD/margin)^2, at 95 %", "ASTM E122 [mem]"),
    "apart": (
        "tell two recipes apart that differ by {apart:.1f} % of their load",
        "of each; two-sided t test at 5 %, {power:.0f} % chance to succeed",
        "noncentral t; J. Cohen (1988) [mem]",
    ),
    "shares": (
        "tell a recipe of which {first:.0f} % unwind from one of which {second:.0f} % do",
        "of each; Fisher's exact test at 5 %, {power:.0f} % chance to succeed",
        "summed over all outcomes",
    ),
}


def comparison_words(pair: Comparison, shown: PullFormat = METRIC) -> str:
    """The effect in units of load and in words, with how thin it is."""
    parts = [_effect_words(pair, shown)]
    one, two = pair.unwound
    if (one.count or two.count) and not math.isnan(pair.fisher.p):
        sure = "a difference in kind" if pair.unwinding_differs else "which may be chance"
        counts = f"{one.count} of {one.total} against {two.count} of {two.total} unwound"
        parts.append(f"{counts}, {sure} (p {pair.fisher.holm:.2g})")
    batches = f"{_number(pair.batches)} batch{'es' if pair.batches > 1 else ''}" if pair.batches else "batch not stated"
    sizes = sorted(set(pair.pieces))
    pieces = f"{_number(sizes[0])} pieces each" if len(sizes) == 1 else f"{sizes[0]} and {sizes[1]} pieces"
    return f"{'; '.join(parts)}; {batches}, {pieces}."


def _effect_words(pair: Comparison, shown: PullFormat) -> str:
    names, modes = f"{pair.first} and {pair.second}", pair.modes or ("", "")
    against = "" if modes[0] == modes[1] else f"{modes[0]} against {modes[1]}"
    aside, inside = (f" ({against})", f"; {against}") if against else ("", "")
    ends = pair.difference_n.low or 0.0, pair.difference_n.high or 0.0
    span = f"{shown.change(ends[0])} to {shown.change(ends[1])} {shown.force}"
    match pair.effect:
        case "weaker" | "stronger":
            least, most = (shown.tens(abs(end)) for end in sorted(ends, key=abs))
            return f"{pair.first} is {pair.effect} than {pair.second} by {least} to {most} {shown.force}{aside}"
        case "not-once-all-are-counted":
            return f"{names} may differ ({span}{inside}), but not once all pairs are counted"
        case "not-shown":
            return f"no difference in load is shown between {names}: from {span} is possible{aside}"
        case "no-interval":
            return (
                f"{names} differ by {shown.change(pair.difference_n.value or 0.0)} {shown.force}, without an interval"
            )
        case "no-loads":
            return f"{names}: no loads to compare"


def _number(count: int) -> str:
    return _NUMBERS[count] if count < len(_NUMBERS) else str(count)


def unwinding_words(unwinding: Unwinding) -> str:
    """What one turn and one wrap more do to the odds of unwinding, or why that cannot be told."""
    if unwinding.refused:
        return f"No fit: {explain(unwinding.refused).what}."
    parts = []
    for name, odds in (("turn", unwinding.per_turn), ("wrap", unwinding.per_wrap)):
        if odds.value is None:
            parts.append(f"{name}s did not vary, so nothing is said about them")
            continue
        low = "0" if odds.low is None else f"{odds.low:.2g}"
        high = "no limit" if odds.high is None else f"{odds.high:.2g}"
        clear = odds.high is not None and odds.high < 1.0 or odds.low is not None and odds.low > 1.0
        verdict = "" if clear else ", so no effect of it is shown"
        parts.append(f"one {name} more multiplies the odds of unwinding by {odds.value:.2g} ({low} to {high}){verdict}")
    return capital("; ".join(parts)) + "."


def question_words(row: SizeRow) -> tuple[str, str, str]:
    """A question of a plan: what is to be shown, how, and by which method."""
    wanted = row.wanted
    first, second = wanted.shares or (0.0, 0.0)
    values = to_plain(wanted) | {"first": first, "second": second, "ten_clean": (1.0 - wanted.confidence) ** 0.1}
    percents = {name: 100.0 * value for name, value in values.items() if isinstance(value, float)}
    to_do, how, source = (text.format(**percents) for text in _QUESTIONS[row.key])
    return to_do, how, source


def loads_words(plan: PlanResult) -> str:
    """What the loads to be read are taken from."""
    if plan.setup.expected_n is not None:
        return f"{plan.setup.wires} x the load expected, plus and minus 3 SD"
    return (
        "from 3 SD under the joint in wire of least strength to straight wire of most strength; a joint that unwinds ends "
        "lower"
    )


def made_of(length: Length, shown: PullFormat = METRIC) -> str:
    """What a piece's wire is made up of."""
    joint, free, grip = (f"{shown.mm(mm)} {shown.length}" for mm in (length.joint_mm, length.free_mm, length.grip_mm))
    parts = [f"{length.joints} x {joint} joint with its handle"] if length.joints else []
    parts.append(f"{free} free")
    if length.grips:
        parts.append(f"2 x {grip} for the grips" if length.grips > 1 else f"{grip} for the grip")
    return ", ".join(parts)


def coverage_words(result: PullsResult) -> str:
    """How often the limits for one joint were found to hold."""
    if not result.coverage:
        return "How often the limits of M5 hold has not been measured in this copy of helix."
    claimed = [row for row in result.coverage if row.case == "claim" and row.pieces in (10, 30)]
    held = [share for row in claimed for share in (row.mean, row.sd)]
    most = max(row.censored for row in claimed)
    return (
        f"How often the limits for one joint hold, found by simulation: in {percent(min(held))} to {percent(max(held))} % "
        f"of {claimed[0].benches:,} benches a case, at 10 and at 30 pieces with two joints each, with up to "
        f"{percent(most, 0)} % of the pieces ending other than at a joint. The claim is 95 %."
    )


def first_lines(result: PullsResult) -> list[str]:
    """The first lines of the report."""
    return list(answer_lines(result, METRIC))


def confronted_says(confronted: Confronted) -> str:
    """Prediction against pieces."""
    return " ".join(confronted_lines(confronted, METRIC))


def assumptions(_: PullsResult) -> list[str]:
    """What is taken for granted."""
    return list(ASSUMPTIONS)


def methods(_: PullsResult) -> list[Method]:
    """The methods behind the numbers."""
    return list(METHODS)


def rely_says(group: Group) -> str | None:
    """What to keep in mind of the load to rely on."""
    return None if group.control else rely_words(group, METRIC)


def either_says(_: EitherJoint) -> str:
    """What the limits of both correlations are."""
    return "limits that hold whatever the correlation of the two joints of a piece"


def question(row: SizeRow) -> str:
    """What is to be shown."""
    return question_words(row)[0]


def question_how(row: SizeRow) -> str:
    """How it is shown."""
    return question_words(row)[1]


def question_source(row: SizeRow) -> str:
    """By which method."""
    return question_words(row)[2]


def cautions(_: PlanResult) -> list[str]:
    """What to take care of."""
    return list(CAUTIONS)


WORDS: Words = {
    PullsResult: {"answer": first_lines, "assumptions": assumptions, "methods": methods},
    Confronted: {"says": confronted_says},
    NextPulls: {"says": next_phrase},
    Group: {"rely_on_says": rely_says},
    EitherJoint: {"says": either_says},
    Unwinding: {"says": unwinding_words},
    Comparison: {"says": comparison_words},
    PlanResult: {"load_says": loads_words, "cautions": cautions},
    SizeRow: {"question": question, "says": question_how, "source": question_source},
    Length: {"made_of": made_of},
}
