"""helix models twisted wire joints: shape, wire length, bends, what they hold; docs/python.md shows how to use it.

Names are loaded when they are first used, so that `import helix` costs next to nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from helix.api import pull_tests as pulls
    from helix.api.joints import form, hold, hold_table, inspect, judge, make_recipe, shape, spread, stretch, sweep, why
    from helix.api.linked_joints import link
    from helix.api.pictures import Picture, compare, draw, steps
    from helix.api.simulation import simulate
    from helix.api.wire_stock import choose, cut
    from helix.errors import ConvergenceError, HelixError, InfeasibleJointError, ValidationError, ValidationIssue
    from helix.findings import Finding, Judgement, Severity
    from helix.model.batch.plan import Plan, read_plan
    from helix.model.joint.joint import CentreLine, Joint, build_joint
    from helix.model.joint.wire import Wire
    from helix.model.recipe.recipe import read_recipe, recipe_from_text
    from helix.model.recipe.recipe_parts import Barrel, Entry, Exit, Eye, Finish, Recipe, Tolerance, Twist
    from helix.studies.batch.choosing import Choices
    from helix.studies.batch.cut_plan import CutPlan
    from helix.studies.hold.hold_result import HoldResult
    from helix.studies.hold.hold_table import HoldTable
    from helix.studies.hold.stretch import StretchResult
    from helix.studies.hold.why import WhyResult
    from helix.studies.inspect.inspection_result import Inspection
    from helix.studies.inspect.spread import SpreadResult
    from helix.studies.link.link_result import LinkResult
    from helix.studies.pulls.pull_compare import CompareResult
    from helix.studies.pulls.pulls import PullsResult
    from helix.studies.pulls_plan.pull_plan import PlanResult
    from helix.studies.shape.shape import ShapeResult
    from helix.studies.shape.sweep import SweepResult
    from helix.studies.simulate.pull_result import PullSimulation
    from helix.studies.teaching.compare_joints import Comparison
    from helix.studies.teaching.hand_work import FormResult
    from helix.studies.teaching.steps import Step

__version__ = "0.1.0"

_NAMES = {
    "helix.api": "pulls",
    "helix.api.joints": "form hold hold_table inspect judge make_recipe shape spread stretch sweep why",
    "helix.api.linked_joints": "link",
    "helix.api.pictures": "Picture compare draw steps",
    "helix.api.simulation": "simulate",
    "helix.api.wire_stock": "choose cut",
    "helix.errors": "ConvergenceError HelixError InfeasibleJointError ValidationError ValidationIssue",
    "helix.findings": "Finding Judgement Severity",
    "helix.model.batch.plan": "Plan read_plan",
    "helix.model.joint.joint": "CentreLine Joint build_joint",
    "helix.model.joint.wire": "Wire",
    "helix.model.recipe.recipe": "read_recipe recipe_from_text",
    "helix.model.recipe.recipe_parts": "Barrel Entry Exit Eye Finish Recipe Tolerance Twist",
    "helix.studies.batch.choosing": "Choices",
    "helix.studies.batch.cut_plan": "CutPlan",
    "helix.studies.hold.hold_table": "HoldTable",
    "helix.studies.hold.hold_result": "HoldResult",
    "helix.studies.hold.stretch": "StretchResult",
    "helix.studies.hold.why": "WhyResult",
    "helix.studies.inspect.inspection_result": "Inspection",
    "helix.studies.inspect.spread": "SpreadResult",
    "helix.studies.link.link_result": "LinkResult",
    "helix.studies.pulls.pull_compare": "CompareResult",
    "helix.studies.pulls.pulls": "PullsResult",
    "helix.studies.pulls_plan.pull_plan": "PlanResult",
    "helix.studies.shape.shape": "ShapeResult",
    "helix.studies.shape.sweep": "SweepResult",
    "helix.studies.simulate.pull_result": "PullSimulation",
    "helix.studies.teaching.compare_joints": "Comparison",
    "helix.studies.teaching.hand_work": "FormResult",
    "helix.studies.teaching.steps": "Step",
}
_HOMES = {name: module for module, names in _NAMES.items() for name in names.split()}

__all__ = [
    "Barrel",
    "CentreLine",
    "Choices",
    "CompareResult",
    "Comparison",
    "ConvergenceError",
    "CutPlan",
    "Entry",
    "Exit",
    "Eye",
    "Finding",
    "Finish",
    "FormResult",
    "HelixError",
    "HoldResult",
    "HoldTable",
    "InfeasibleJointError",
    "Inspection",
    "Joint",
    "Judgement",
    "LinkResult",
    "Picture",
    "Plan",
    "PlanResult",
    "PullSimulation",
    "PullsResult",
    "Recipe",
    "Severity",
    "ShapeResult",
    "SpreadResult",
    "Step",
    "StretchResult",
    "SweepResult",
    "Tolerance",
    "Twist",
    "ValidationError",
    "ValidationIssue",
    "WhyResult",
    "Wire",
    "__version__",
    "build_joint",
    "choose",
    "compare",
    "cut",
    "draw",
    "form",
    "hold",
    "hold_table",
    "inspect",
    "judge",
    "link",
    "make_recipe",
    "pulls",
    "read_plan",
    "read_recipe",
    "recipe_from_text",
    "shape",
    "simulate",
    "spread",
    "steps",
    "stretch",
    "sweep",
    "why",
]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module 'helix' has no attribute {name!r}")
    if name == "pulls":
        return import_module("helix.api.pull_tests")
    value = getattr(import_module(_HOMES[name]), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return __all__
