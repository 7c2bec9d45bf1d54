"""Hold, table, why, form and stretch as plain data: always mm, N, MPa and degrees; what is not known is null."""

from __future__ import annotations

from typing import Any

from helix.data.practice import practice
from helix.model.joint.section_names import SECTIONS
from helix.output.report.record import plain
from helix.output.words.hold_words import NEXT_TESTS, governs_words, model_name, practice_end, practice_line
from helix.studies.hold.deciding_test import DecidingTest
from helix.studies.hold.friction_fit import CalibrationFit
from helix.studies.hold.hold_table import HoldTable
from helix.studies.hold.holding import Band, HoldResult
from helix.studies.hold.outcome import ModelOutcome
from helix.studies.hold.sensitivity import Answer, Bar
from helix.studies.hold.stretch import StretchResult
from helix.studies.hold.why import WhyResult
from helix.studies.teaching.hand_work import FormResult
from helix.values import to_plain


def hold_to_dict(result: HoldResult, fitted: CalibrationFit | None = None) -> dict[str, Any]:
    """The whole estimate; keys are explained in docs/json-hold.md."""
    from helix.model.recipe.recipe import recipe_to_dict

    wire, strength, speaker = result.recipe.wire, result.strength_n, result.outcome.speaker
    data = {
        "schema": result.schema,
        "version": result.version,
        "recipe": recipe_to_dict(result.recipe),
        "wire": {
            "diameter_mm": wire.diameter_mm,
            "breaking_load_n": _band(result.breaking_n),
            "strength_mpa": dict(zip(("low", "nominal", "high"), wire.strength_mpa, strict=True)),
            "rated_load_n": result.rated_n,
            "rated_load_source": result.rated_source or None,
        },
        "verdict": result.verdict,
        "hold_n": _band(result.hold_n),
        "held_by_19_of_20_n": result.held_n,
        "bends_leave_n": _band(result.bends_n),
        "probability": {
            "unwinds": result.unwinds.value,
            "low": result.unwinds.low,
            "high": result.unwinds.high,
            "models_low": result.unwinds.models_low,
            "models_high": result.unwinds.models_high,
            "holds_rated": None if result.rated is None else _band(result.rated),
            "draws": result.setting.draws.n,
            "seed": result.setting.draws.seed,
        },
        "governs": governs_words(result),
        "governs_place": result.governs,
        "model": _model(speaker, strength) if speaker else {"name": None, "key": None, "parameters": None},
        "models": [_model(each, strength) for each in result.outcome.models],
        "bends": [
            {
                "place": each.place.name,
                "share_of_load": each.place.share,
                "strain": each.place.strain,
                "leaves": _band(each.left),
                "breaks_at_n": each.break_n,
                "s_mm": each.place.s_mm,
            }
            for each in result.bends
        ],
        "barrel": {"bending_n": result.hinge_n[0], "torsion_n": result.hinge_n[1]},
        "throat_tension_share": result.throat_share,
        "ductility": dict(zip(("low", "nominal", "high"), result.setting.ductility, strict=True)),
        "assumptions": list(result.assumptions),
        "practice_says": list(result.practice_says),
        "practice_of_counts": _practice(result),
        "evidence": {
            "origin": result.setting.calibration.origin,
            "rests_on": result.setting.calibration.evidence,
            "notes": list(result.setting.calibration.notes),
        },
        "deciding_tests": [_test(each, strength) for each in result.deciding],
        "next_tests": NEXT_TESTS,
    }
    if fitted is not None:
        data["calibration"] = calibration_to_dict(fitted)
    return dict(plain(data))


def table_to_dict(table: HoldTable, base: Answer, bars: tuple[Bar, ...]) -> dict[str, Any]:
    """Cells, the smallest safe pair, and the sensitivities: to be added to a hold record."""
    return dict(
        plain(
            {
                "cells": [
                    {
                        "turns": each.turns,
                        "wraps": each.wraps,
                        "verdict": each.verdict,
                        "hold_n": each.hold_n.nominal,
                        "hold_low_n": each.hold_n.low,
                        "hold_high_n": each.hold_n.high,
                        "probability_unwinds": each.unwinds.nominal,
                        "probability_low": each.unwinds.low,
                        "probability_high": each.unwinds.high,
                        "model": each.spoke or None,
                        "governs_place": each.governs,
                        "wraps_note": each.wraps_note or None,
                    }
                    for each in table.cells
                ],
                "smallest_safe": {
                    "turns": table.safe_turns,
                    "wraps": None,
                    "wraps_by_practice": table.safe_wraps,
                    "wraps_note": table.wraps_note,
                },
                "sensitivities": {
                    "now": to_plain(base),
                    "bars": [
                        {
                            "cause": each.cause,
                            "low": each.low or None,
                            "high": each.high or None,
                            "at_low": None if each.at_low is None else to_plain(each.at_low),
                            "at_high": None if each.at_high is None else to_plain(each.at_high),
                            "note": each.silent or None,
                        }
                        for each in bars
                    ],
                },
            }
        )
    )


def calibration_to_dict(fitted: CalibrationFit) -> dict[str, Any]:
    """Friction numbers of the user's own tests."""
    return dict(
        plain(
            {
                "tests": fitted.tests.place,
                "pieces": len(fitted.tests.pieces),
                "denominator": fitted.tests.denominator,
                "models": [
                    {
                        "key": each.key,
                        "friction": None if each.number is None else each.number.value,
                        "low": None if each.number is None else each.number.low,
                        "high": None if each.number is None else each.number.high,
                        "scatter": None if each.number is None else each.number.scatter,
                        "why_not": each.why or None,
                        "log_likelihood_behind": each.against,
                        "unwound": each.slips,
                        "held": each.limits,
                        "left_out": [{"why": why, "pieces": count} for why, count in each.left_out],
                    }
                    for each in fitted.models
                ],
                "turns_and_wraps_apart": fitted.apart,
                "turns_and_wraps_note": fitted.apart_says,
                "wraps_alone": [
                    {"row": row, "load_share": share, "unwound": unwound} for row, share, unwound in fitted.alone
                ],
                "notes": list(fitted.tests.notes),
            }
        )
    )


def why_to_dict(found: WhyResult) -> dict[str, Any]:
    """The hold record with the load path and the changes that were tried."""
    path = found.path
    data = {
        "load_path": {
            "load_n": path.load_n,
            "s_mm": path.s_mm,
            "carried_share": path.carried,
            "contact_n_per_mm": path.contact_n_per_mm,
            "strain": path.strain,
            "section": [SECTIONS[k] for k in path.section],
            "tag_left_share": path.tag_left,
        },
        "changes": [
            {
                "what": each.what,
                "verdict": each.verdict,
                "hold_n": _band(each.result.hold_n),
                "gain_n": each.gain_n,
                "probability_unwinds": each.result.unwinds.value,
                "mends": list(each.mends),
            }
            for each in found.changes
        ],
        "best_change": found.best.what if found.best else None,
        "then_change": found.then.what if found.then else None,
    }
    return {**hold_to_dict(found.result), **dict(plain(data))}


def form_to_dict(found: FormResult) -> dict[str, Any]:
    """What the hands must apply."""
    from helix.model.recipe.recipe import recipe_to_dict

    return dict(
        plain(
            {
                "schema": found.schema,
                "version": found.version,
                "recipe": recipe_to_dict(found.recipe),
                "hand_force_n": found.hand_force_n,
                "flow_stress_mpa": _band(found.flow_mpa),
                "work": [
                    {
                        "what": each.name,
                        "moment_n_mm": _band(each.moment_n_mm),
                        "least_crank_mm": each.crank_mm,
                        "force_at_handle_n": each.at_handle_n,
                    }
                    for each in found.work
                ],
                "bare_wire_torque_n_mm": _band(found.wire_torque_n_mm),
                "free_length_mm": found.free_length_mm,
                "deflection_mm": found.deflection_mm,
                "buckling_push_n": found.push_n,
                "worked_mm": found.worked_mm,
                "grip_moves": found.joint_moves,
                "tag_wire_mm": found.tag_wire_mm,
                "tag_holds": found.tag_holds,
                "pin_for_wanted_eye_mm": found.eye_pin_mm,
                "eye_after_springback_mm": found.eye_sprung_mm,
                "barrel_gap_mm": found.barrel_gap_mm,
                "assumptions": list(found.assumptions),
            }
        )
    )


def stretch_to_dict(found: StretchResult) -> dict[str, Any]:
    """How much a joint lengthens."""
    from helix.model.recipe.recipe import recipe_to_dict

    return dict(
        plain(
            {
                "schema": found.schema,
                "version": found.version,
                "recipe": recipe_to_dict(found.shape.recipe),
                "load_n": found.load_n,
                "joint_stretch_mm": _band(found.joint_mm),
                "standing_stretch_mm": found.standing_mm,
                "length_unloaded_mm": found.shape.finished.length_mm,
                "length_under_load_mm": _band(found.finished_mm),
                "parts": [{"part": each.name, "stretch_mm": each.stretch_mm} for each in found.parts],
                "curve": [
                    {"load_n": load, "low_mm": low, "nominal_mm": nominal, "high_mm": high}
                    for load, low, nominal, high in found.curve
                ],
                "note": found.beyond or None,
                "assumptions": list(found.assumptions),
            }
        )
    )


def _band(band: Band) -> dict[str, float]:
    return {"low": band.low, "nominal": band.nominal, "high": band.high}


def _model(each: ModelOutcome, strength_n: float) -> dict[str, Any]:
    number = each.friction
    parameters = None
    if number is not None:
        parameters = {
            "friction": number.value,
            "friction_low": number.low,
            "friction_high": number.high,
            "friction_scatter": number.scatter,
            "lay_d": number.lay_d or None,
            "denominator": number.denominator,
            "source": number.source,
        }
    return {
        "key": each.model.key,
        "name": model_name(each.model.key),
        "speaks": not each.silent,
        "silent_because": each.silent or None,
        "assumption": each.model.assumes,
        "parameters": parameters,
        "unwinds_at_n": {
            "low": each.slip_low * strength_n,
            "nominal": each.slip * strength_n,
            "high": each.slip_high * strength_n,
        },
        "by_bending_n": each.mechanisms[0] * strength_n,
        "by_torsion_n": each.mechanisms[1] * strength_n,
        "hold_n": each.hold * strength_n,
        "probability_unwinds": each.unwinds,
    }


def _practice(result: HoldResult) -> dict[str, Any] | None:
    """What practice knows of joints with these counts in this wire; None where it says nothing of them."""
    end, facts, size = practice_end(result), practice(), result.recipe.wire.size
    if not end:
        return None
    full = next((each for each in facts.sizes if each.size == size and end == "holds"), None)
    return {
        "ends": end,
        "turns": result.grip.turns,
        "wraps": result.grip.wraps,
        "size": size,
        "tests": full.tests if full else None,
        "mean_breaking_load_n": full.mean_n if full else None,
        "mark": facts.mark,
        "says": practice_line(result),
    }


def _test(test: DecidingTest, strength_n: float) -> dict[str, Any]:
    return {
        "turns": test.turns,
        "wraps": test.wraps,
        "lay_d": test.lay_d,
        "predictions": [
            {"model": each.key, "low_n": each.low * strength_n, "high_n": each.high * strength_n}
            for each in test.predictions
        ],
        "gap_n": test.gap * strength_n,
    }
