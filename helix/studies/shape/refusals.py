"""What to change in a recipe that is refused: a count of half turns, a lay that cannot exist, an eye that cannot close."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from helix.errors import ValidationError, ValidationIssue
from helix.model.recipe.recipe_parts import Recipe
from helix.model.recipe.recipe_reader import read_values
from helix.studies.shape.joint_sizes import sound_lay
from helix.studies.shape.remedies import Changes, Remedy, apply, closes, own_angle, twist_changes

_COUNTS: Final = {"turns": "crossings", "crossings": "turns"}


def refusal_remedies(tables: Mapping[str, Any], refused: ValidationError) -> tuple[Remedy, ...]:
    """What cures the faults for which a recipe file's tables were refused, where the message tells it.

    >>> from helix.model.recipe.recipe_reader import read_values
    >>> tables = {"wire": {"size": "MWG 12", "material": "302 stainless"}, "eye": {"pin": "6 mm"},
    ...           "twist": {"lay_length": "2 d"}}
    >>> try:
    ...     read_values(tables, "recipe", {})
    ... except ValidationError as refused:
    ...     (remedy,) = refusal_remedies(tables, refused)
    >>> remedy.cures.place, remedy.say, remedy.changes
    ('recipe: [twist] lay_length', 'Twist to a lay of 4 d', {'twist.lay_length': '4 d'})
    """
    return tuple(Remedy(fault, say, changes) for fault in refused.faults for say, changes in _ways(tables, fault))


def _ways(tables: Mapping[str, Any], fault: ValidationIssue) -> list[tuple[str, Changes]]:
    if fault.code in ("crossings-as-turns", "turns-as-crossings"):
        other, count = _COUNTS[fault.path.key], fault.values["count"]
        return [(f"Count {count:g} {other}", {f"twist.{other}": tables["twist"][fault.path.key]})]
    if fault.code == "lay-too-short":
        usual = fault.values["usual"]
        return [(f"Twist to a lay of {usual:g} d", {"twist.lay_length": f"{usual:g} d"})]
    if fault.code == "eye-cannot-close":
        return _closing(tables, fault)
    return []


def _closing(tables: Mapping[str, Any], fault: ValidationIssue) -> list[tuple[str, Changes]]:
    """What closes an eye: the legs at the twist's own angle, a longer lay, the least pin that works."""
    recipe, least_mm = _read(tables), fault.values["least_pin_mm"]
    own = own_angle(recipe)
    longer = twist_changes(recipe, sound_lay(recipe)) if recipe.twist.turns else {}
    ways: list[tuple[str, Changes]] = [
        ("Let the legs run into the twist at its own angle", own),
        (f"Twist to a lay of {sound_lay(recipe):g} d", longer),
    ]
    if least_mm is not None:
        pin = f"{least_mm:g} mm"
        ways.append((f"Use a pin or a thimble of {pin}", {"eye.pin": pin}))
    return [(say, changes) for say, changes in ways if changes and closes(_read(apply(tables, changes)))]


def _read(tables: Mapping[str, Any]) -> Recipe:
    return read_values(dict(tables), "recipe", {})
