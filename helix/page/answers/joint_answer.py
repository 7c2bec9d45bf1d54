"""What the page says about a joint: the answer in a line, findings with their remedies, numbers, and the scene.

Everything is worked out by the studies and worded by the output layer; here it is only put together.
"""

from __future__ import annotations

from typing import Any, cast

from helix import __version__
from helix.data.materials import materials
from helix.data.wire_sizes import wire_sizes
from helix.errors import ValidationError, ValidationIssue, argument_issue
from helix.findings import Severity
from helix.issue_words import OF_TWO
from helix.mechanics import limits
from helix.model.joint.section_names import section_name
from helix.model.joint.wire import wire_of
from helix.model.recipe.recipe_writing import ROUND_INCHES
from helix.output.report.numbers import bends_block, counts_block, marks_block, sizes_block, wire_line
from helix.output.report.record import judgement_record, result_to_dict
from helix.output.viewer.scene import STEP_D, scene
from helix.output.words.answer_words import CAUTION, remedy_line
from helix.output.words.findings.finding_words import Explained, capital
from helix.output.words.lesson_words import taught
from helix.output.words.sentence_format import TESTED
from helix.output.words.words import (
    bend_name,
    cut_short,
    cut_words,
    findings,
    shown_severity,
    telling,
    title_of,
    verdict_line,
)
from helix.page.answers.knobs import GROUPS, KNOBS, filled, sensible
from helix.page.answers.quiz import places_of, quiz
from helix.page.answers.recipe_tables import recipe_of_tables
from helix.page.answers.request_values import own_pieces
from helix.page.server.replies import CurableFaults
from helix.studies.hold.evidence.forecast import OwnPulls
from helix.studies.hold.offered import offered
from helix.studies.judge import shape_judged
from helix.studies.shape.along import severities
from helix.studies.shape.outline import Draft, Outline, draft
from helix.studies.shape.refusals import refusal_remedies
from helix.studies.shape.remedies import apply
from helix.studies.shape.shape import ShapeResult
from helix.studies.teaching.steps import ink_marks
from helix.units import UnitSystem, format_force, format_length

DRAFT_STEP_D = 0.3
"""Distance of a draft's rings in wire diameters."""
CAUTIONS = (
    "Estimates, not proofs. Not for lifting, fall arrest or loads over people; local codes and qualified persons decide.",
    "Hard wire whips when it is let go or broken off: wear eye protection.",
)
START: dict[str, Any] = {
    "title": "My joint",
    "wire": {"size": "MWG 12", "material": "302 stainless"},
    "eye": {"pin": "6 mm"},
    "twist": {"turns": 5, "lay_length": "4 d"},
    "exit": {"style": "gradual"},
    "barrel": {"wraps": 5},
    "finish": {"stub": "1 d", "handle": "60 mm", "standing": "300 mm"},
}
"""A good joint to start from."""
START_INCH: dict[str, Any] = {"units": "inch"} | {
    name: {key: ROUND_INCHES.get(value, value) for key, value in table.items()} if isinstance(table, dict) else table
    for name, table in START.items()
}
"""About the same joint in round inches."""


def joint_answer(body: dict[str, Any]) -> dict[str, Any]:
    """The answer to {"recipe": tables, "draft": bool, "units": "metric" or "inch", "pulls": own pieces of it}.

    Pieces that cannot be used are left out: the estimate of the hold says why. A draft is quick and leaves out the interval of the cut, overlaps, remedies and the record. Raises
    ValidationError for a recipe that cannot be used and for a joint that cannot exist; CurableFaults where it is known
    what cures them.
    """
    tables = body.get("recipe")
    try:
        return _answered(body)
    except ValidationError as refused:
        if body.get("draft") is True or not isinstance(tables, dict):
            raise
        cures = refusal_remedies(tables, refused)
        issues = [
            (cure.cures.message, {"say": cure.say, "recipe": apply(tables, cure.changes)})
            for cure in cures
            if isinstance(cure.cures, ValidationIssue)
        ]
        raise CurableFaults(refused.faults, issues) from None


def _answered(body: dict[str, Any]) -> dict[str, Any]:
    recipe, units = recipe_of_tables(body.get("recipe")), units_of(body)
    own = None if body.get("draft") is True else own_pieces(body, recipe)
    outline: Outline = draft(recipe) if body.get("draft") is True else shape_judged(recipe, own)
    quick = isinstance(outline, Draft)
    shown = scene(outline, units, step_d=DRAFT_STEP_D if quick else STEP_D)
    explained = findings(outline, units)
    return {
        "ok": True,
        "draft": quick,
        "answer": _answer(outline, units),
        "judgement": judgement_record(outline.judgement),
        "findings": _findings(outline, explained, shown, body["recipe"], own),
        "lessons": [lesson._asdict() for lesson in taught(outline, units)],
        "blocks": _blocks(outline, units),
        "parts": _parts(outline, units) if isinstance(outline, ShapeResult) else None,
        "filled": filled(outline, units),
        "sensible": {key: list(ends) for key, ends in sensible(outline, units).items()},
        "wire": wire_line(outline, units),
        "record": result_to_dict(outline) if isinstance(outline, ShapeResult) else None,
        "scene": shown,
        "remarks": [note["text"] for note in recipe.notes],
    }


def units_of(body: dict[str, Any]) -> UnitSystem:
    """The unit system that a request asks for; raises ValidationError for another word."""
    units = body.get("units", "metric")
    if units not in ("metric", "inch"):
        raise ValidationError([argument_issue("units", 'must be "metric" or "inch"')])
    return cast(UnitSystem, units)


def start_record() -> dict[str, Any]:
    """What the page needs once: controls, wires, lessons, examples, a joint to start from."""
    from helix.model.measured.pull_columns import FAILURES
    from helix.page.answers.examples import examples, lessons
    from helix.page.answers.form_it import forms_record
    from helix.page.answers.pull_it import pulls_record
    from helix.tasks.registry import fields

    return {
        "ok": True,
        "version": __version__,
        "cautions": list(CAUTIONS),
        "caution": CAUTION,
        "failures": [{"name": name, "says": capital(says)} for name, (_, says) in FAILURES.items()],
        "groups": [{"name": name, "title": title} for name, title in GROUPS],
        "knobs": [knob.record() for knob in KNOBS],
        "fields": fields(),
        "of_two": {pane: f"{capital(OF_TWO[pane])}." for pane in ("why", "table", "stretch", "link")},
        "wires": _wires(),
        "recipe": START,
        "recipe_inch": START_INCH,
        "lessons": lessons(),
        "quiz": quiz(),
        "pulls": pulls_record(),
        "forms": forms_record(),
        "examples": examples(),
    }


def _answer(outline: Outline, units: UnitSystem) -> dict[str, Any]:
    if isinstance(outline, ShapeResult):
        length, interval, parts = cut_words(outline, units)
        cut: dict[str, Any] = {"cut": length, "cut_mm": outline.cut.total_mm, "interval": interval, "parts": parts}
    else:
        mm = outline.cut_mm if isinstance(outline, Draft) else None
        cut = {"cut": None if mm is None else format_length(mm, units), "cut_mm": mm}
        cut |= {"interval": None, "parts": None}
    wires = outline.joint.wires
    if len(wires) > 1 and cut["cut"] is not None:
        cut["cut"] = cut_short([wire.wire_mm + outline.recipe.finish.handle_mm for wire in wires], units)
    explained = telling(outline, units)
    return cut | {
        "title": title_of(outline),
        "finished": format_length(outline.finished.length_mm, units),
        "worst": _worst_bend(outline),
        "first": {"what": explained[0].what, "do": remedy_line(outline.judgement, units)} if explained else None,
        "judged_by": _judged_by(outline),
        "verdict": shown_severity(outline.judgement).word,
        "sentence": verdict_line(outline, units),
    }


def _judged_by(outline: Outline) -> str:
    """By what the verdict is: its "shape" alone, "all", or own "pulls" besides."""
    if not isinstance(outline, ShapeResult):
        return "shape"
    return "all" if outline.of_hold is None else "pulls"


def _worst_bend(outline: Outline) -> dict[str, str]:
    """The hardest bend in words: where, how severe, its strain, and its radius."""
    bend = max(outline.bends, key=lambda b: (b.severity, round(b.strain, 2)))  # of two alike the first
    return {
        "where": bend_name(bend.name),
        "verdict": bend.severity.word,
        "strain": f"strain {bend.strain:.2f} (limit {limits.STRAIN_OK:.2f}: {TESTED})",
        "radius": "" if bend.min_radius_d is None else f"radius {bend.min_radius_d:.2f} d",
    }


def _findings(
    outline: Outline, explaineds: list[Explained], shown: dict[str, Any], tables: dict[str, Any], own: OwnPulls | None
) -> list[dict[str, Any]]:
    cures = offered(outline, own) if isinstance(outline, ShapeResult) else ()
    seen = {(found.code, found.place) for found in outline.findings}
    marked = [note for note in shown["notes"] if not note["part"] and note["verdict"] != Severity.OK.word]
    entries = []
    for finding in explaineds:
        note = marked.pop(0) if marked and finding.severity > Severity.NOTE else None
        points = [list(point) for point in finding.points_mm]
        entries.append(
            {
                "code": finding.finding.code,
                "severity": finding.severity.word,
                "word": capital(finding.word.lower()),
                "name": finding.key,
                "at": places_of(finding.finding) if (finding.finding.code, finding.place) in seen else [],
                "what": capital(finding.what),
                "why": finding.why,
                "do": finding.do,
                "sentence": finding.sentence(),
                "points_mm": points or ([note["point"]] if note else []),
                "fixes": [
                    {"say": cure.say, "recipe": apply(tables, cure.changes)}
                    for cure in cures
                    if cure.cures == finding.finding
                ],
            }
        )
    return entries


def _blocks(outline: Outline, units: UnitSystem) -> list[dict[str, Any]]:
    blocks = [counts_block(outline), sizes_block(outline, units), bends_block(outline)]
    if isinstance(outline, ShapeResult):
        blocks.append(marks_block(ink_marks(outline), units))
    return [
        {"title": block.title, "head": list(block.heading), "rows": [list(row) for row in block.rows]}
        for block in blocks
        if block.rows
    ]


def _parts(result: ShapeResult, units: UnitSystem) -> dict[str, dict[str, str]]:
    worst, d = severities(result), result.recipe.wire.diameter_mm
    return {
        row.name: {
            "title": section_name(row.name),
            "wire": format_length(row.wire_mm, units),
            "radius": "straight"
            if row.min_bend_radius_d is None
            else f"{format_length(row.min_bend_radius_d * d, units)} ({row.min_bend_radius_d:.2f} d)",
            "strain": f"{row.gauge_strain:.2f}",
            "verdict": worst[row.name].word,
        }
        for row in result.sections
        if row.wire_mm > 0.0
    }


def _wires() -> list[dict[str, Any]]:
    """Every size that some material is made in, with its nominal breaking load in each."""
    wires = []
    for size in wire_sizes():
        breaks = {}
        for material in materials():
            try:
                load_n = wire_of(material.name, size.diameter_mm).breaking_load_n[1]
            except ValueError:  # not made in this size
                continue
            breaks[material.name] = {"metric": format_force(load_n), "inch": format_force(load_n, "inch")}
        diameter = {"metric": format_length(size.diameter_mm), "inch": format_length(size.diameter_mm, "inch")}
        if breaks:
            wires.append({"size": size.name, "diameter": diameter, "breaks": breaks})
    return wires
