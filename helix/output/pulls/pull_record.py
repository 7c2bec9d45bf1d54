"""Results of pull tests as plain data for other programs: always N and mm, None where there is no number."""

from __future__ import annotations

from typing import Any

from helix.output.pulls.pull_rely import first_words, lasting_n, rely_words
from helix.output.words.pull_words import PullFormat
from helix.studies.pulls.pull_compare import CompareResult
from helix.studies.pulls.pull_curves import PieceCurve
from helix.studies.pulls.pull_groups import Group, Population
from helix.studies.pulls.pull_joints import Estimate, Joint
from helix.studies.pulls.pull_methods import METHODS
from helix.studies.pulls.pull_unwinding import Unwinding
from helix.studies.pulls.pulls import ASSUMPTIONS, SCHEMA, Efficiency, PullsResult
from helix.studies.pulls_plan.pull_plan import PlanResult
from helix.values import to_plain


def pulls_to_dict(result: PullsResult) -> dict[str, Any]:
    """The whole reading; efficiencies and shares are fractions, limits are at 95 %."""
    return to_plain({
        "schema": result.schema,
        "version": result.version,
        "file": result.place,
        "answer": [para.text for para in first_words(result, PullFormat("metric"))],
        "groups": [_group(g, e) for g, e in zip(result.groups, result.efficiencies, strict=True)],
        "unwinding": [_unwinding(each) for each in result.unwinding],
        "curves": [_curve(each) for each in result.curves],
        "notes": list(result.notes),
        "faults": [str(fault) for fault in result.faults],
        "assumptions": list(ASSUMPTIONS),
        "methods": [to_plain(method) for method in METHODS],
        "coverage": [to_plain(row) for row in result.coverage],
    })  # fmt: skip


def compare_to_dict(result: CompareResult) -> dict[str, Any]:
    """Every pair: differences first less second in N, p values plain and by Holm."""
    return to_plain({
        "schema": SCHEMA,
        "version": result.version,
        "file": result.place,
        "by": result.by,
        "groups": [
            {"name": g.name, "kind": "control" if g.control else "joint", "n": g.n,
             "populations": [_population(p) for p in g.populations]}
            for g in result.groups
        ],
        "comparisons": [
            {
                "first": c.first,
                "second": c.second,
                "modes": list(c.modes) if c.modes else None,
                "n": list(c.n),
                "difference_n": _estimate(c.difference_n),
                "difference_over_second": _estimate(c.share_of_second),
                "single_joint_difference_n": _estimate(c.joint_difference_n),
                "welch_p": c.welch_p,
                "welch_p_holm": c.holm_welch_p,
                "rank_p": c.rank_p,
                "rank_p_holm": c.holm_rank_p,
                "unwound": [{"count": count, "of": of} for count, of in c.unwound],
                "fisher_p": c.fisher_p,
                "fisher_p_holm": c.holm_fisher_p,
                "says": c.says,
                "notes": list(c.notes),
            }
            for c in result.comparisons
        ],
        "notes": list(result.notes),
        "faults": [str(fault) for fault in result.faults],
    })  # fmt: skip


def plan_to_dict(plan: PlanResult) -> dict[str, Any]:
    """The plan with its order of tests; lengths in mm, loads in N, energy in J."""
    record: dict[str, Any] = to_plain({
        "schema": plan.schema,
        "version": plan.version,
        "wanted": to_plain(plan.wanted),
        "sizes": [to_plain(row) for row in plan.sizes],
        "each": plan.each,
        "load_low_n": plan.load_low_n,
        "load_high_n": plan.load_high_n,
        "load_says": plan.load_says,
        "cells": [
            {"capacity_n": c.cell.capacity_n, "class": c.cell.grade, "resolution_n": c.cell.resolution_n,
             "resolution_assumed": c.cell.assumed, "lower_limit_n": c.cell.lower_limit_n, "will_do": c.will_do,
             "used_share": c.used_share, "reason": c.reason}
            for c in plan.cells
        ],
        "speed_mm_min": list(plan.speed_mm_min) if plan.speed_mm_min else None,
        "load_rate_n_s": list(plan.load_rate_n_s) if plan.load_rate_n_s else None,
        "lengths": [to_plain(each) for each in plan.lengths],
        "energy": to_plain(plan.energy) if plan.energy else None,
        "seed": plan.setup.seed,
        "order": [
            {"id": r.id, "group": r.treatment.name, "block": r.block, "batch": r.batch, "maker": r.maker,
             "turns": r.treatment.turns, "wraps": r.treatment.wraps, "joints": r.treatment.joints,
             "remark": r.remark}
            for r in plan.order
        ],
        "cautions": list(plan.cautions),
        "notes": list(plan.notes),
    })  # fmt: skip
    return record


def _group(group: Group, efficiency: Efficiency) -> dict[str, Any]:
    plain = group.plain
    over_control, over_rated = efficiency.over_control, efficiency.over_rated
    return {
        "name": group.name,
        "kind": "control" if group.control else "joint",
        "n": group.n,
        "counts": group.counts,
        "rely_on_n": None if group.control else lasting_n(group),
        "rely_on_says": None if group.control else rely_words(group, PullFormat("metric")),
        "population": plain.mode if plain else None,
        "population_n": plain.n if plain else 0,
        "mean_n": plain.mean_n if plain else None,
        "median_n": plain.median_n if plain else None,
        "sd_n": plain.sd_n if plain else None,
        "cv": plain.cv if plain else None,
        "mean_low_n": plain.mean_low_n if plain else None,
        "mean_high_n": plain.mean_high_n if plain else None,
        "tolerance_95_95_n": plain.tolerance_95_95_n if plain else None,
        "tolerance_90_95_n": plain.tolerance_90_95_n if plain else None,
        "efficiency_over_control": over_control.value,
        "efficiency_over_control_low": over_control.low,
        "efficiency_over_control_high": over_control.high,
        "control": efficiency.control or None,
        "control_mean_n": efficiency.control_n.value,
        "efficiency_over_rated": over_rated.value,
        "efficiency_over_rated_low": over_rated.low,
        "efficiency_over_rated_high": over_rated.high,
        "rated_n": efficiency.rated_n,
        "single_joint": _joint(group.joint, efficiency, group.control),
        "single_joint_alike": _joint(group.joint_alike, None, group.control),
        "single_joint_either": {
            "mean_n": _estimate(group.joint_either[0]),
            "sd_n": _estimate(group.joint_either[1]),
            "says": "limits that hold whatever the correlation of the two joints of a piece",
        },
        "single_joints_by_recipe": [{"recipe": name} | _joint(joint, None, False) for name, joint in group.by_recipe],
        "unwinding_joint": _joint(group.unwinding, None, False) if group.unwinding else None,
        "weibull": {
            "of": "straight wire" if group.control else "one joint",
            "shape": _estimate(group.weibull.shape),
            "scale_n": _estimate(group.weibull.scale_n),
        },
        "populations": [_population(p) for p in group.populations],
        "unwound_share": _estimate(group.unwound_share) | {"count": group.unwound, "of": group.ended},
        "outliers": [to_plain(each) for each in group.standing],
        "without_outliers": _population(group.without) if group.without else None,
        "why": group.why,
        "notes": list(group.notes),
    }


def _joint(joint: Joint, efficiency: Efficiency | None, control: bool) -> dict[str, Any]:
    if control:
        empty = _estimate(Estimate())
        return {"mean_n": empty, "sd_n": empty, "says": "straight wire: it has no joint"}
    found: dict[str, Any] = {
        "mean_n": _estimate(joint.mean_n),
        "sd_n": _estimate(joint.sd_n),
        "tolerance_95_95_n": joint.tolerance_95_95_n,
        "tolerance_90_95_n": joint.tolerance_90_95_n,
        "correlation": joint.correlation,
        "failures": joint.failures,
        "at_least": joint.at_least,
        "says": joint.says,
    }
    if efficiency is not None:
        found["efficiency_over_control"] = _estimate(efficiency.joint_over_control)
        found["efficiency_over_rated"] = _estimate(efficiency.joint_over_rated)
    return found


def _population(population: Population) -> dict[str, Any]:
    return dict(to_plain(population))


def _estimate(estimate: Estimate) -> dict[str, float | None]:
    return {"value": estimate.value, "low": estimate.low, "high": estimate.high}


def _unwinding(found: Unwinding) -> dict[str, Any]:
    return {
        "what": found.what,
        "n": found.n,
        "unwound": found.unwound,
        "left_out": found.left_out,
        "odds_per_turn": _estimate(found.per_turn),
        "odds_per_wrap": _estimate(found.per_wrap),
        "constant": found.constant,
        "refused": found.refused,
        "says": found.says,
        "cells": [
            {"turns": c.turns, "wraps": c.wraps, "n": c.n, "unwound": c.unwound, "share": _estimate(c.share),
             "fitted": _estimate(c.fitted)}
            for c in found.cells
        ],
    }  # fmt: skip


def _curve(curve: PieceCurve) -> dict[str, Any]:
    events = curve.events
    return {
        "id": curve.id,
        "group": curve.group,
        "file": curve.file,
        "points": curve.points,
        "peak_n": events.peak,
        "peak_at_mm": events.peak_at,
        "stiffness_n_per_mm": events.stiffness,
        "slack_mm": events.slack,
        "slips": [{"at_mm": d.at, "before_n": d.before, "after_n": d.after} for d in events.drops],
        "leaves_line_at_mm": events.departure[0] if events.departure else None,
        "unwinding_onset_mm": curve.onset[0] if curve.onset else None,
        "unwinding_onset_n": curve.onset[1] if curve.onset else None,
    }
