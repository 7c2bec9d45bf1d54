"""What to change in a recipe that is refused: a count of half turns, a lay that cannot exist, an eye that cannot close."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from helix.errors import ValidationError
from helix.mechanics import limits
from helix.model.recipe.recipe_parts import Recipe
from helix.model.recipe.recipe_reader import read_values
from helix.studies.shape.remedies import Changes, Remedy, apply, closes, own_angle, twist_changes

_KEY = re.compile(r"\[(\w+)\] (\w+)$")
_COUNTS = {"turns": "crossings", "crossings": "turns"}
_LEAST_PIN = re.compile(r"least pin that works is ([\d.e+-]+ mm)")


def refusal_remedies(tables: Mapping[str, Any], refused: ValidationError) -> tuple[Remedy, ...]:
    """What cures the faults for which a recipe file's tables were refused, where the message tells it.

    The remedies' name is the key ("twist.turns"), their `do` the message of the fault.

    >>> from helix.model.recipe.recipe_reader import read_values
    >>> tables = {"wire": {"size": "MWG 12", "material": "302 stainless"}, "eye": {"pin": "6 mm"},
    ...           "twist": {"lay_length": "2 d"}}
    >>> try:
    ...     read_values(tables, "recipe", {})
    ... except ValidationError as refused:
    ...     (remedy,) = refusal_remedies(tables, refused)
    >>> remedy.name, remedy.say, remedy.changes
    ('twist.lay_length', 'Twist to a lay of 4 d', {'twist.lay_length': '4 d'})
    """
    found = []
    for fault in refused.faults:
        key = _KEY.search(fault.place)
        if key:
            name = f"{key[1]}.{key[2]}"
            ways = _ways(tables, name, fault.message)
            found += [Remedy(name, fault.message, say, changes) for say, changes in ways]
    return tuple(found)


def _ways(tables: Mapping[str, Any], name: str, message: str) -> list[tuple[str, Changes]]:
    key = name.partition(".")[2]
    if "looks like a count of" in message:
        count = tables["twist"][key]
        return [(f"Count {count:g} {_COUNTS[key]}", {f"twist.{_COUNTS[key]}": count})]
    if message.startswith("must give a lay above 2 d"):
        return [(f"Twist to a lay of {limits.USUAL_LAY:g} d", {"twist.lay_length": f"{limits.USUAL_LAY:g} d"})]
    if name == "eye.pin" and "for the eye to close" in message:
        return _closing(tables, message)
    return []


def _closing(tables: Mapping[str, Any], message: str) -> list[tuple[str, Changes]]:
    """What closes an eye: the legs at the twist's own angle, a longer lay, the least pin that works."""
    recipe, pin = _read(tables), _LEAST_PIN.search(message)
    own = own_angle(recipe)
    longer = twist_changes(recipe, limits.SOUND_LAY) if recipe.twist.turns else {}
    ways: list[tuple[str, Changes]] = [
        ("Let the legs run into the twist at its own angle", own),
        (f"Twist to a lay of {limits.SOUND_LAY:g} d", longer),
    ]
    if pin:
        ways.append((f"Use a pin or a thimble of {pin[1]}", {"eye.pin": pin[1]}))
    return [(say, changes) for say, changes in ways if changes and closes(_read(apply(tables, changes)))]


def _read(tables: Mapping[str, Any]) -> Recipe:
    return read_values(dict(tables), "recipe", {})
