"""What makes joints differ, in sentences a rigger says: "exit 81 deg over 8.5 d against 120 deg over 11 d"."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from helix.data.practice import practice
from helix.findings import Finding, Severity
from helix.mechanics import limits
from helix.model.joint.section_names import part_name
from helix.output.words.words import plain_count, shown_severity, telling
from helix.studies.shape.shape import ShapeResult
from helix.studies.teaching.compare_joints import Comparison, Row, Value
from helix.units import UnitSystem, format_force, format_length, format_tape


def value_text(row: Row, value: Value, units: UnitSystem) -> str:
    """A value with its unit; "-" for none.

    >>> value_text(Row(key="a", name="a", unit="deg", values=(), differs=()), 81.2, "metric")
    '81 deg'
    """
    if value is None:
        return "-"
    if isinstance(value, str):
        return value
    match row.unit:
        case "deg":
            return f"{value:.0f} deg"
        case "d":
            if value == 0.0:
                return "none"
            return f"{value:.2f} d" if value < 3.0 else f"{value:.1f} d"
        case "mm":
            return format_tape(value, units) if row.key == "cut_mm" else format_length(value, units)
        case "N":
            return format_force(value, units)
        case "share":
            return f"{100 * value:.0f} %"
        case "strain":
            return f"{value:.2f}"
        case _:
            return plain_count(value)


def key_fact(result: ShapeResult, units: UnitSystem = "metric") -> str:
    """The one thing to know of a joint: "ok", or its most severe finding with the number that makes it one."""
    explained = telling(result, units)
    return f"{explained[0].word}: {explained[0].what}" if explained else "ok"


HOLDS = {
    "locks": ("locks", ", the wire breaks before it unwinds"),
    "marginal": ("MARGINAL", ", it may unwind before the wire breaks"),
    "unwinds": ("UNWINDS before the wire breaks", ""),
    "no model": ("no model says whether four strands unwind", ""),
}
"""The hold's verdict in a word or so, and what is added to it where it stands alone."""


def hold_line(comparison: Comparison, joint: int, units: UnitSystem) -> str:
    """Whether a joint holds, against the first: the verdict before the load; empty without one for the first."""

    def load(which: int) -> str:
        newtons, share = (comparison.row(key).values[which] for key in ("hold_n", "hold_share"))
        if not isinstance(newtons, float) or not isinstance(share, float):
            return ""
        if share < 0.01:
            return "next to nothing"
        of_two = comparison.results[which].recipe.wire.count > 1
        of, only = ("both wires", "if it holds ") if of_two else ("the wire", "")
        return f"{only}about {format_force(newtons, units)}, {100 * share:.0f} % of {of}"

    def early(which: int) -> bool:
        """Whether it locks, but breaks well below the first joint."""
        first, here = (comparison.row("hold_n").values[k] for k in (0, which))
        locks = comparison.row("hold_verdict").values[which] == "locks"
        return locks and isinstance(first, float) and isinstance(here, float) and here < limits.EARLY * first

    def said(which: int, *, loud: bool) -> str:
        verdict = comparison.row("hold_verdict").values[which]
        if any(found.code == "like-unwound" for found in comparison.results[which].judgement.findings):
            return "no load is known: pieces wound like it, or with more, unwound"
        if not load(which):
            ends = "".join(f"; {text}" for text in _ends(comparison.results[which], units))
            return f"no load is known, no model counts such a fault (practice calls it one: {practice().mark}){ends}"
        short, more = ("breaks early", "") if early(which) else HOLDS.get(str(verdict), (str(verdict), ""))
        return f"{short}{more} ({load(which)})" if loud else f"{short.lower()} ({load(which)})"

    def praised(which: int) -> bool:
        """Whether the estimate alone would praise what is judged sharp or a fault."""
        locks = comparison.row("hold_verdict").values[which] == "locks" and not early(which)
        return locks and not comparison.results[which].judgement.is_ok

    if comparison.row("hold_n").values[0] is None:
        return ""
    differs = any(comparison.row(key).differs[joint] for key in ("hold_n", "hold_verdict"))
    locks = comparison.row("hold_verdict").values[0] == "locks"
    first = load(0) if locks or comparison.row("hold_verdict").values[0] == "no model" else said(0, loud=False)
    other = "the good joint" if comparison.results[0].judgement.is_ok else "the first"
    if praised(joint):
        against = f"; {other} {first}" if differs else f" as for {other}"
        return f"Hold: not known, the fault is not in the estimate ({load(joint)}{against})."
    if not differs:
        return f"Hold, an estimate: as {other}, as far as the models tell: {said(joint, loud=False)}."
    if not load(joint):
        only = format_force(float(comparison.row("hold_n").values[0] or 0.0), units)
        return f"Hold: {said(joint, loud=True)}; {other} {f'about {only}' if locks else first} (an estimate)."
    return f"Hold, an estimate: {said(joint, loud=True)}; {other} {first}."


def _ends(result: ShapeResult, units: UnitSystem) -> list[str]:
    """Whether it may unwind, by the joint's own judgement."""
    return [item.what for item in telling(result, units) if item.finding.code in ("unwinds", "may-unwind")]


def tally(results: Sequence[ShapeResult]) -> str:
    """How many joints are good, how many bad, and how many have a caution.

    >>> tally([])
    '0 good'
    """
    each = [shown_severity(result.judgement) for result in results]
    bad, doubtful = sum(one > Severity.CAUTION for one in each), sum(one is Severity.CAUTION for one in each)
    against = [f"{bad} bad"] if bad else []
    against += [f"{doubtful} with a caution"] if doubtful else []
    good = f"{len(each) - bad - doubtful} good"
    return f"{good} against {' and '.join(against)}" if against else good


def _part_at_fault(finding: Finding) -> str:
    return "twist" if finding.code == "wraps-only" else part_name(finding.place)


class Differences(NamedTuple):
    """How a joint differs from the first: the verdicts, the hold, the rest a line each; empty where nothing does."""

    verdict: str
    hold: str
    lines: tuple[str, ...]


def difference_lines(comparison: Comparison, joint: int, units: UnitSystem) -> list[str]:
    """Each way in which a joint differs from the first, a line each, what matters first; the first's number first."""
    differing = differences(comparison, joint, units)
    return [line for line in (differing.verdict, differing.hold, *differing.lines) if line] or [
        "Nothing that can be seen or matters."
    ]


def differences(comparison: Comparison, joint: int, units: UnitSystem) -> Differences:
    """How a joint differs from the first, the first's number first."""
    told: list[tuple[str, str]] = []  # the part of the joint that it is about, and the line

    def differs(*keys: str) -> bool:
        return any(comparison.row(key).differs[joint] for key in keys)

    def text(key: str, which: int) -> str:
        row = comparison.row(key)
        return value_text(row, row.values[which], units)

    def has(key: str) -> bool:
        return all(comparison.row(key).values[which] is not None for which in (0, joint))

    def against(what: str, of: tuple[str, str]) -> str:
        return f"{what} {of[0]} against {of[1]}."

    def both(parts: str) -> tuple[str, str]:
        """The text with {key} filled in for the first and for this joint."""
        keys = [part.split("}")[0] for part in parts.split("{")[1:]]
        one, other = ({key: text(key, which) for key in keys} for which in (0, joint))
        return parts.format(**one), parts.format(**other)

    if differs("wires"):
        told.append(("rest", against("Wires worked as one:", both("{wires}"))))
    if differs("eye_mm"):
        told.append(("eye", against("Eye:", both("{eye_mm} wide inside, strain {eye_strain}"))))
    if differs("entry_deg", "entry_radius_d") and has("entry_deg"):
        shown = "{entry_deg}, radius {entry_radius_d}" if differs("entry_radius_d") else "{entry_deg}"
        told.append(("entry", against("First bend: the eye legs cross at", both(shown))))
    lays = differs("lay_d") and has("lay_d")
    if differs("turns"):
        told.append(("twist", against("Twist:", both("{turns} even turns" + (", lay {lay_d}" if lays else "")))))
    elif lays:
        told.append(("twist", against("Lay of the twist:", both("{lay_d}"))))
    if differs("tag_share") and has("tag_share"):
        row = comparison.row("tag_share")
        ratio = [float(row.values[which] or 0.0) for which in (0, joint)]
        told.append(
            ("twist", f"In the twist the tag takes {ratio[0]:.2f} times the leg's wire against {ratio[1]:.2f} times.")
        )
    if differs("leg_radius_d", "leg_d") and has("leg_radius_d"):
        told.append(("exit", against("Exit, standing leg: straightens over", both("{leg_d}, radius {leg_radius_d}"))))
    if has("exit_deg") and differs("exit_deg", "exit_turn_deg", "exit_d", "exit_radius_d"):
        shown = "{exit_deg} over {exit_d}"
        if differs("exit_turn_deg") and not differs("exit_deg"):
            shown = "{exit_deg}, turning by {exit_turn_deg} over {exit_d}"
        if differs("exit_radius_d") and has("exit_radius_d"):
            shown += ", radius {exit_radius_d}"
        told.append(("exit", against("Exit, tag:", both(shown))))
    if differs("wraps"):
        told.append(("barrel", against("Barrel:", both("{wraps} wraps"))))
    if differs("gap_d") and has("gap_d"):
        told.append(("barrel", against("Gaps between the wraps:", both("{gap_d}"))))
    if differs("barrel_hand") and has("barrel_hand"):
        told.append(("barrel", "Barrel: wound the same way round as the twist against the other way."))
    if differs("overlap_d"):
        told.append(("exit", against("Overlap of parts:", both("{overlap_d}"))))
    if differs("cut_mm"):
        cuts = [
            f"{cut} of each wire" if comparison.results[which].recipe.wire.count > 1 else cut
            for cut, which in zip(both("{cut_mm}"), (0, joint), strict=True)
        ]
        told.append(("rest", against("Wire to cut:", (cuts[0], cuts[1]))))
    first_of = telling(comparison.results[joint], units)
    blamed = _part_at_fault(first_of[0].finding) if first_of else ""
    lines = [line for _, line in sorted(told, key=lambda pair: pair[0] != blamed)]  # what is at fault first
    hold = hold_line(comparison, joint, units) if lines or differs("hold_n", "hold_verdict") else ""
    if not lines and not hold and not differs("verdict"):
        return Differences("", "", ())
    first, other = (key_fact(comparison.results[which], units) for which in (0, joint))
    return Differences(f"Verdict: {first} against {other}.", hold, tuple(lines))
