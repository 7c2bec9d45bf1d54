"""What a reading of pull tests says first: a line a group, prediction against pieces, and what to pull next."""

from __future__ import annotations

from typing import Final

from helix.mechanics import limits
from helix.model.measured.opened_files import bare_name
from helix.output.report.document import Answer
from helix.output.words.answer_words import unwinds_words
from helix.output.words.findings.finding_words import capital
from helix.output.words.pull_words import PullFormat, counted, percent, plain_number
from helix.output.words.sentence_format import odds_words
from helix.studies.pulls.pull_across import SizeLine
from helix.studies.pulls.pull_confronted import Confronted, CountAgreement, LoadAgreement
from helix.studies.pulls.pull_groups import Group
from helix.studies.pulls.pull_joints import Estimate
from helix.studies.pulls.pull_next import NextPulls
from helix.studies.pulls.pulls import PullsResult

MOST_SAID: Final = 2  # predictions that the pieces speak against, on the terminal; the rest with --all
_WHY_NOT: Final = {
    "unlike": "its pieces are of several recipes, counts or sizes",
    "other-wire": "the recipe is of another wire",
    "impossible": "the recipe's joint cannot be made",
}


def answer_lines(result: PullsResult, shown: PullFormat) -> tuple[str, ...]:
    """The answer: each group of joints, straight wire, what speaks against the prediction, sizes together, what is next."""
    joints = [group for group in result.groups if not group.control]
    faults = {against_prediction.group: against_prediction.faults for against_prediction in result.confronted}
    straight = [straight_words(group, shown) for group in result.groups if group.control]
    against = [line for against_prediction in result.confronted for line in news(against_prediction, shown)][:MOST_SAID]
    trusted = [trust for _, trust in against]
    rows = len({fault.path.row for fault in result.faults})
    return (
        *([f"{counted(rows, 'unreadable row')} {'is' if rows == 1 else 'are'} not in these numbers."] if rows else []),
        *(group_words(group, shown, faults.get(group.name, ())) for group in joints),
        *(line for group in joints if (line := odd_words(group, shown))),
        *([f"Straight wire: {'; '.join(straight)}."] if straight else []),
        *(
            f"{line}{f' {trust}' if trust and trust != after else ''}"
            for (line, trust), after in zip(against, [*trusted[1:], ""], strict=False)
        ),
        *(together_words(line) for line in result.sizes if not line.size),
        *next_words(result.next_pulls, 2),
    )


def pulls_answer(result: PullsResult, shown: PullFormat) -> Answer:
    """The answer alone, with what was pulled."""
    return Answer(answer_lines(result, shown), pulled_words(result))


def pulled_words(result: PullsResult) -> str:
    """What was pulled, and that a load is a piece's: "Loads of whole pieces (120, with 240 joints) and 16 straight wires"."""
    pieces = [piece for group in result.groups for piece in group.pieces]
    jointed, joints = sum(piece.joints > 0 for piece in pieces), sum(piece.joints for piece in pieces)
    parts = [f"Loads of whole pieces ({jointed}, with {counted(joints, 'joint')})"] if jointed else []
    parts += [counted(len(pieces) - jointed, "straight wire")] if jointed < len(pieces) else []
    return " and ".join(parts) + (", invented" if result.invented else "")


def group_words(group: Group, shown: PullFormat, faults: tuple[str, ...] = ()) -> str:
    """One group of joints: what broke and unwound, the mean, the load to plan with, what may still happen.

    faults: codes of what practice calls a fault in it.
    """
    unit, ended = shown.force, group.ended
    if not ended:
        return f"{group.name}: none of {counted(group.n, 'piece')} broke or unwound; no load to plan with."
    odds, parts = group.unwound_share, {part.mode: part for part in group.populations}
    wrong = f" Practice calls it a fault ({limits.PRACTICE}): {_plain(faults)}." if faults else ""
    if len(parts) == 2:
        ends = ", ".join(f"{part.n} {mode} ({shown.load(part.mean_n)} {unit})" for mode, part in parts.items())
        return f"{group.name}: {ends}; no load to plan with: {percents_of(odds)} of such pieces unwind.{wrong}"
    ends = f"{ended - group.unwound} broke, {group.unwound} unwound"
    mean = f"mean {shown.load(group.populations[0].mean_n)} {unit}"
    over = group.efficiency.over_control.value
    mean += "" if over is None else f", {percent(over, 0)} % of straight wire"
    load = group.to_plan_n
    most = f"Up to {percent(odds.high, 0)} % of pieces may unwind, by their number alone"
    still = most if parts.get("broke") else f"{percents_of(odds)} of such pieces unwind"
    if faults:
        return f"{group.name}: {ends}; {mean}; no load to plan with.{wrong}"
    if load is None:
        few = f" from {counted(ended, 'piece')}" if ended < limits.ENOUGH_PIECES else ""
        return f"{group.name}: {ends}; {mean}; no load to plan with{few}. {still}."
    few = f" ({counted(ended, 'piece')} only)" if ended < limits.ENOUGH_PIECES else ""
    joints = {piece.joints for piece in group.pieces}
    of = f" for {_piece_of(joints.pop() if len(joints) == 1 else 0)}"
    return f"{group.name}: {ends}; {mean}; plan with {shown.load(load)} {unit}{of}{few}. {still}."


def percents_of(estimate: Estimate) -> str:
    """Limits of a proportion: "43 to 87 %"."""
    return f"{percent(estimate.low, 0)} to {percent(estimate.high, 0)} %"


def odd_words(group: Group, shown: PullFormat) -> str:
    """What the load to plan with would be without the odd pieces, where they move it."""
    load, without = group.plan_with_n, group.without.plan_with_n if group.without else None
    if load is None or without is None or abs(without / load - 1.0) <= limits.ODD_MOVES:
        return ""
    odd = ", ".join(f"{piece.id} ({shown.load(piece.load_n)} {shown.force})" for piece in group.standing)
    return f"{group.name} without {odd}: plan with {shown.load(without)} {shown.force}, but only for a cause that you can name."


def _plain(codes: tuple[str, ...]) -> str:
    return ", ".join(code.replace("-", " ") for code in codes)


def straight_words(group: Group, shown: PullFormat) -> str:
    """Straight wire of one coil: name, pieces, mean."""
    mean = group.joint.mean_n.value
    load = "no mean" if mean is None else f"{shown.load(mean)} {shown.force}"
    return f"{group.name} {load} ({counted(group.n, 'piece')})"


def by_chance(p: float) -> str:
    """How probable so odd a result is, were the prediction right.

    >>> by_chance(0.00003), by_chance(0.031), by_chance(0.4)
    ('under 1 in 1000 by chance', 'about 1 in 30 by chance', '4 in 10 by chance')
    """
    return f"{odds_words(p)} by chance" if p < 0.95 else "as expected"


def news(confronted: Confronted, shown: PullFormat) -> list[tuple[str, str]]:
    """What the pieces say against the prediction, a line each, and whom to trust in it, where that is said; nothing where they agree."""
    name, lines = confronted.group, list[tuple[str, str]]()
    if confronted.unpredicted == "other-wire":
        other = f"{name}: nothing is predicted, because {bare_name(confronted.recipe)} is of another wire."
        lines.append((other, ""))
    if confronted.off_table is not None:
        lines.append((f"{name}: {_off_table(confronted.off_table)}", ""))
    against = [text for test, text in _tests(confronted, shown) if not test.agrees]
    return lines + [(f"{name}: {text}.", _trust(confronted)) for text in against]


def _off_table(times: float) -> str:
    return f"straight wire broke at {times:.2g} times its table. Check size and unit; it is not used in the prediction."


def _tests(confronted: Confronted, shown: PullFormat) -> list[tuple[CountAgreement | LoadAgreement, str]]:
    """Each thing that the prediction was held against, and in a sentence without its end what came out."""
    unit, found = shown.force, list[tuple[CountAgreement | LoadAgreement, str]]()
    kind = {0: "such", 1: "one-joint", 2: "two-joint"}.get(confronted.joints, "such")
    if (odds := confronted.unwinding) is not None:
        expected = f"expected {odds_words(odds.expected)} of {kind} pieces to unwind"
        found.append((odds, f"{expected}; {odds.count} of {odds.of} did ({by_chance(odds.p)})"))
    if (load := confronted.load) is not None:
        expected = f"expected {shown.load(load.expected_n)} {unit} of {kind} pieces that break"
        mean = f"{load.of} broke at {shown.load(load.mean_n)} {unit} on average"
        found.append((load, f"{expected}; {mean} ({by_chance(load.p)})"))
    if (below := confronted.below_plan) is not None and confronted.before is not None:
        ended = f"{below.count} of {below.of} ended below {shown.load(confronted.before.plan_with_n)} {unit}"
        expected = f"which helix said to plan with; {odds_words(below.expected)} was to be expected"
        found.append((below, f"{ended}, {expected} ({by_chance(below.p)})"))
    return found


def _trust(confronted: Confronted) -> str:
    """Whom to trust where prediction and pieces differ."""
    tests = (confronted.unwinding, confronted.load, confronted.below_plan)
    pieces = min(test.of for test in tests if test is not None and not test.agrees)
    return "Trust the pieces." if pieces >= limits.FEWEST_FAILURES else "Pull more before you trust either."


def confronted_lines(confronted: Confronted, shown: PullFormat) -> list[str]:
    """Prediction and pieces of one group in full: the one judgement before what it is from."""
    unit, before, after = shown.force, confronted.before, confronted.after
    if before is None:
        if confronted.unpredicted == "not-estimated" and not confronted.faults:
            because = "no model knows a twist of four strands; go by the pieces"
        elif confronted.unpredicted == "not-estimated":
            because = f"practice calls it a fault ({_plain(confronted.faults)}; {limits.PRACTICE}) and no model applies; go by the pieces"
        else:
            because = _WHY_NOT[confronted.unpredicted]
        return [f"{confronted.group}: nothing is predicted, because {because}."]
    wire = (
        f"with {counted(before.straight, 'straight piece')} of its coil" if before.straight else "by the wire's table"
    )
    head = (
        f"{confronted.group} ({bare_name(confronted.recipe)}, {wire}): helix expected {shown.load(before.expected_n)} {unit} of one joint and "
        f"said to plan with {shown.load(before.plan_with_n)} {unit}."
    )
    lines = [head]
    if confronted.off_table is not None:
        lines.append(capital(_off_table(confronted.off_table)))
    tests = sorted(_tests(confronted, shown), key=lambda test: test[0].agrees)
    if tests and confronted.agrees:
        lines.append("The pieces agree with that.")
    elif tests:
        lines.append(f"The pieces are against that. {_trust(confronted)}")
    for test, text in tests:
        if test is confronted.below_plan and test.agrees:
            continue  # few below it are no news
        alone = ", which alone is not against it" if test.agrees and not confronted.agrees else ""
        lines.append(f"{capital(text)}{alone}.")
    if after is not None and after.unwinds > limits.HELD:
        lines.append("With these pieces there is nothing to plan with: too many unwound.")
    elif after is not None:
        with_them = f"With these pieces it expects {shown.load(after.expected_n)} {unit}"
        plan = f"{shown.load(after.plan_with_n)} {unit}"
        lines.append(f"{with_them} and plans with {plan} for one joint; {unwinds_words(after.unwinds)}.")
        lines += _to_act_on(confronted, after.plan_with_n, shown)
    return lines


def _to_act_on(confronted: Confronted, joint_n: float, shown: PullFormat) -> list[str]:
    """The one load to act on, where the pieces alone give another one than helix with them does."""
    whole_n = confronted.pieces_plan_with_n
    if whole_n is None or shown.load(whole_n) == shown.load(joint_n):
        return []
    alone = f"The pieces alone give {shown.load(whole_n)} {shown.force} for {_piece_of(confronted.joints)}"
    least = f"{shown.load(min(whole_n, joint_n))} {shown.force}"
    return [f"{alone}: plan a whole piece with {least}, the lower of the two."]


def _piece_of(joints: int) -> str:
    """What a load of a whole piece is of."""
    return {1: "a piece of one joint", 2: "a piece of two joints"}.get(joints, "a whole piece")


def ends_words(group: Group) -> str:
    """Failures by end, and whether the two joints look alike; "" where no end was noted."""
    ends = group.ends
    if ends.p is None:
        return ""
    text = f"{group.name}: {ends.a} failed at end a and {ends.b} at end b ({by_chance(ends.p)})"
    return text + (". The two joints do not look alike." if ends.differ else ".")


def next_words(wanted: tuple[NextPulls, ...], most: int) -> list[str]:
    """What to pull next, on one line."""
    first = sorted(wanted, key=lambda pulls: pulls.code == "none-may-unwind")[:most]
    return [f"Pull next: {'; '.join(next_phrase(pulls) for pulls in first)}."] if first else []


def next_phrase(pulls: NextPulls) -> str:
    """How many pieces of what, and what they would show."""
    made = ""
    if pulls.turns is not None:
        made = f" with {plain_number(pulls.turns)} turns" + (
            f" and {plain_number(pulls.wraps)} wraps" if pulls.wraps is not None else ""
        )
    match pulls.code:
        case "mend-grips":
            return f"{pulls.pieces} more of {pulls.group} once the grips hold"
        case "more-turns":
            return f"{pulls.pieces}{made or ' with a turn more'} in place of {pulls.group}"
        case "more-of-the-same":
            return f"{pulls.pieces} more of {pulls.group}"
        case "straight-wire":
            return f"{pulls.pieces} straight pieces of {f'coil {pulls.coil}' if pulls.coil else 'the same coil'}"
        case "ends-alike":
            return f"{pulls.pieces} of {pulls.group} with both ends made by the same hands"
        case "none-may-unwind":
            return f"{pulls.pieces} more of {pulls.group}: if none unwinds, 9 in 10 such pieces break"


def together_words(line: SizeLine) -> str:
    """All sizes together."""
    parts = [f"All sizes together: {line.broke} broke, {line.unwound} unwound"]
    for estimate, what in ((line.over_straight, "straight wire"), (line.over_label, "the label")):
        if estimate.value is not None:
            parts.append(
                f"{percent(estimate.value, 0)} % of {what} ({percent(estimate.low, 0)} to {percent(estimate.high, 0)} % by size)"
            )
    return "; ".join(parts) + "."
