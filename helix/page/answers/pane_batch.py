"""What to cut for a batch, and which wire will do for a load."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from helix.errors import ValidationError, ValidationIssue
from helix.page.answers.pane import Tell
from helix.page.answers.report_record import report_record
from helix.page.answers.request_values import Asked

if TYPE_CHECKING:
    from helix.studies.batch.cut_plan import CutPlan
    from helix.units import UnitSystem

OWN_RECIPE = "joint.toml"
"""Under this name a plan means the joint in hand."""


def cut_pane(body: dict[str, Any], tell: Tell) -> dict[str, Any]:
    """As `helix cut`: pieces, ink marks, and what to cut from each length of stock."""
    from helix.output.batch.cut_table import cut_plan_document

    result, units = planned(body, tell)
    return {"report": report_record(cut_plan_document(result, units))}


def planned(body: dict[str, Any], tell: Tell) -> tuple[CutPlan, UnitSystem]:
    """The cutting list of {"plan": text, "recipes": {name: tables}}; raises ValidationError also where stock runs out."""
    from helix.model.batch.plan import plan_from_text
    from helix.output.batch.cut_table import short_text
    from helix.studies.batch.cut_plan import cut_plan
    from helix.studies.option_values import seconds

    asked = Asked(body)
    text, units = asked.long_text("plan", "a plan"), asked.units()
    recipes = _with_own(asked.recipes(), body.get("recipe"))
    allowed = seconds(asked.options(("seconds",)).seconds, asked.faults)
    plan = asked.tried(lambda: plan_from_text(text, "plan", recipes)) if text else None
    result = cut_plan(asked.sound(plan), seconds=allowed, tell=tell)
    if result.short:
        raise ValidationError(
            [ValidationIssue(f"plan: piece {each.name}", short_text(each, units)) for each in result.short]
        )
    return result, units


def choose_pane(body: dict[str, Any], tell: Tell) -> dict[str, Any]:
    """As `helix choose`: the wires, and in "wires" size and material of each row, to take over into a recipe."""
    from helix.output.batch.choose_table import choices_document
    from helix.studies.batch.choose_options import wish_asked
    from helix.studies.batch.choosing import choose, usual_joint, with_wire

    asked = Asked(body)
    recipe = asked.recipe() if body.get("recipe") is not None else usual_joint()
    units = asked.units()
    names = ("load", "margin", "pin", "piece", "family", "material", "rows")
    options = asked.options(names, lists=("price",))
    if options.load is None and not asked.faults:
        asked.faults.append(ValidationIssue("--load", 'must be given, such as "600 N"'))
    wish = wish_asked(asked.faults, **vars(options))
    base = asked.sound(recipe)
    result = choose(wish, lambda wire, pin_mm: with_wire(base, wire, pin_mm), tell)
    return {
        "report": report_record(choices_document(result, units)),
        "wires": [{"size": each.wire.size or "", "material": each.wire.material} for each in result.choices],
    }


def _with_own(recipes: Mapping[str, Mapping[str, Any]], own: object) -> Mapping[str, Mapping[str, Any]]:
    return {OWN_RECIPE: own, **recipes} if isinstance(own, dict) else recipes
