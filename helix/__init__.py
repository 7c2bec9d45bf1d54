"""helix models twisted wire joints: shape, wire length, bends."""

from helix.errors import HelixError, InfeasibleJointError, ValidationError, ValidationIssue

__version__ = "0.1.0.dev0"

from helix.model.joint.joint import CentreLine, Joint, build_joint
from helix.model.joint.wire import Wire
from helix.model.recipe.recipe import Recipe, read_recipe, recipe_from_text
from helix.studies.shape.shape import ShapeResult, shape

__all__ = [
    "CentreLine",
    "HelixError",
    "InfeasibleJointError",
    "Joint",
    "Recipe",
    "ShapeResult",
    "ValidationError",
    "ValidationIssue",
    "Wire",
    "__version__",
    "build_joint",
    "read_recipe",
    "recipe_from_text",
    "shape",
]
