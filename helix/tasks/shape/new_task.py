"""New: a recipe to start from, every key explained."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from helix.data.materials import find_material
from helix.data.wire_sizes import find_size
from helix.errors import ValidationIssue, argument_issue
from helix.model.joint.wire import wire_of
from helix.model.recipe.recipe_writing import recipe_template
from helix.tasks.options import UNIT_SYSTEM, Kind, Option, quantity
from helix.tasks.task import Given, Output, Task
from helix.units import format_length

_PLACES: Final = {"size": ("wire", "size"), "material": ("wire", "material")}
_LENGTHS: Final = {"diameter": ("wire", "diameter"), "pin": ("eye", "pin")}
_DEFAULTS: Final = {"size": "MWG 12", "material": "302 stainless"}


def _texts(given: Given) -> dict[tuple[str, str], str]:
    """What stands in the recipe in a default's place."""
    texts = {place: given.values[key] for key, place in _PLACES.items() if given.values[key] is not None}
    for key, place in _LENGTHS.items():
        if given.values[key] is not None:
            texts[place] = format_length(given.values[key], given.units)
    return texts


def _covered(given: Given) -> Iterator[ValidationIssue]:
    """The material's table must reach to the size or diameter, of which one will do."""
    if {"size", "diameter", "material"} & given.faulty:
        return
    if given.size and given.diameter is not None:
        yield argument_issue("diameter", "must not stand beside a size: give one of the two")
        return
    diameter_mm = given.diameter or find_size(given.size or _DEFAULTS["size"]).diameter_mm
    try:
        wire_of(given.material or _DEFAULTS["material"], diameter_mm)
    except ValueError as error:
        place = "diameter" if given.diameter else "size" if given.size else "material"
        yield argument_issue(place, str(error))


def _done(text: str, given: Given) -> str:
    return f"Recipe written to {given.written[0]}. Change what you need, then: helix shape {given.written[0]}\n"


TASK = Task(
    options=(
        Option(
            "size",
            "size of the wire",
            Kind("text", lambda text, recipe: find_size(text).name, "SIZE"),
            usual=_DEFAULTS["size"],
        ),
        Option("diameter", "of wire of no size", quantity("length", most=50.0), usual="by its size"),
        Option(
            "material",
            "what it is made of",
            Kind("text", lambda text, recipe: find_material(text).name, "NAME"),
            usual=_DEFAULTS["material"],
        ),
        Option("pin", "what sits in the eye", quantity("length", most=1e4), usual="6 mm"),
        Option("units", "what the recipe is in", UNIT_SYSTEM, "metric"),
    ),
    run=lambda given: recipe_template(given.units, _texts(given)),
    check=_covered,
    text=_done,
    files=(Output("file", "file to write, such as joint.toml", (), lambda result, given, suffix: result, place="one"),),
)
