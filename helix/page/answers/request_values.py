"""What a request gives with a task: its options by their keys and what the browser has opened, all faults at once."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from helix.errors import ValidationError, ValidationIssue, argument_issue, quoted
from helix.page.answers.recipe_tables import recipe_of_tables, text_of_tables
from helix.tasks.options import TICK, Option, units
from helix.tasks.task import Given, OnOutput, Task, given_of

if TYPE_CHECKING:
    from helix.model.measured.curve_file import CurveMapping
    from helix.model.recipe.recipe_parts import Recipe
    from helix.studies.hold.evidence.forecast import OwnPulls
    from helix.studies.hold.evidence.wound_alike import Counted
    from helix.tasks.pulls.pull_files import PullTests

MOST_TEXT = 200
"""Letters in an option."""
MOST_ENTRIES = 20
MOST_FILES = 200
MOST_COUNTED = 10_000
"""Turns, wraps and pieces that an address tells."""
MOST_FILE_LETTERS = 4_000_000
OWN_RECIPE = "joint.toml"
"""Under this name a plan means the joint in hand."""
_MAPPING = re.compile(r"^\s*\[\s*(?:load|extension)\s*\]", re.MULTILINE)
_UNITS: Final = units(default="metric")

Body = dict[str, Any]


def given_from(task: Task, body: Body, on_output: OnOutput, targets: Mapping[str, Path] | None = None) -> Given:
    """What a body gives; raises ValidationError with every fault at once, those of fields with their keys."""
    keys = {"units"}
    for option in task.options:
        own_keys = _OPENERS[option.kind.name][1] if option.kind.name in _OPENERS else None
        keys |= {option.key} if own_keys is None else set(own_keys)
    strange = [argument_issue(key, f"must be among {', '.join(sorted(keys))}") for key in body if key not in keys]
    own = task.options if any(option.key == "units" for option in task.options) else (*task.options, _UNITS)
    whole, places = replace(task, options=own), {option.key: option.key for option in own}
    return given_of(whole, partial(_look, body), on_output, strange, places=places, targets=targets or {})


def _look(body: Body, option: Option) -> Any:
    """What stands in the body for an option; raises ValueError or ValidationError for what cannot be one."""
    if option.kind.name in _OPENERS:
        return _OPENERS[option.kind.name][0](body, option)
    value = body.get(option.key)
    if option.kind is TICK:
        if value is not None and not isinstance(value, bool):
            raise ValueError(f"must be true or false; got {quoted(value)}")
        return value
    if not option.many:
        return _text(value)
    if value is not None and (not isinstance(value, list) or len(value) > MOST_ENTRIES):
        raise ValueError(f"must be a list of at most {MOST_ENTRIES} texts")
    return [text for entry in value or [] if (text := _text(entry)) is not None]


def _text(value: object) -> str | None:
    if value is None or value == "":
        return None
    if not isinstance(value, str) or len(value) > MOST_TEXT:
        wanted = f"at most {MOST_TEXT} letters" if isinstance(value, str) else "written as text"
        raise ValueError(f"must be {wanted}; got {quoted(value)}")
    return value.strip() or None


# ------------------------------------------------------------------ what the browser has opened


def _recipe(body: Body, option: Option) -> Recipe | None:
    needless = not option.required and body.get(option.key) is None
    return None if needless else recipe_of_tables(body.get(option.key))


def _recipes(body: Body, option: Option) -> list[tuple[str, Recipe]]:
    """Recipes in a list, or by the names of their files, or the joint in hand alone."""
    values = body.get("recipes")
    if isinstance(values, list):
        values = {f"recipe {number}": tables for number, tables in enumerate(values, 1)}
        if len(values) > MOST_ENTRIES:
            raise ValueError(f"must be at most {MOST_ENTRIES}; got {len(values)}")
    tables = _tables(body, values)
    if not tables and body.get("recipe") is not None:
        tables = {OWN_RECIPE: body["recipe"]}
    recipes, faults = [], []
    for name, table in tables.items():
        try:
            recipes.append((name, recipe_of_tables(table)))
        except ValidationError as error:
            faults += list(error.faults)
    if faults:
        raise ValidationError(faults)
    return recipes


def _tables(body: Body, values: object) -> dict[str, dict[str, Any]]:
    """Tables of the recipes that a file may name, by the name of their file."""
    if not values and not isinstance(values, str):
        return {}
    if not isinstance(values, dict) or not all(isinstance(value, dict) for value in values.values()):
        wanted = "must be tables of recipe files, by the names of the files"
        raise ValidationError([argument_issue("recipes", wanted)])
    if len(values) > MOST_ENTRIES:
        raise ValidationError([argument_issue("recipes", f"must be at most {MOST_ENTRIES}; got {len(values)}")])
    return values


def _plan(body: Body, option: Option) -> Any:
    from helix.model.batch.plan import plan_from_text

    text = body.get("plan")
    if not isinstance(text, str) or not text.strip():
        raise ValueError("must be the text of a plan")
    if len(text) > MOST_FILE_LETTERS:
        raise ValueError(f"must be at most {MOST_FILE_LETTERS // 1_000_000} MB")
    own = body.get("recipe")
    recipes = _tables(body, body.get("recipes"))
    return plan_from_text(text, "plan", {OWN_RECIPE: own, **recipes} if isinstance(own, dict) else recipes)


def _files(values: object) -> list[tuple[str, str]]:
    """Files that the browser has read: their names and their texts."""
    if not isinstance(values, list) or not values:
        raise ValidationError([argument_issue("files", "must be a list of at least one file")])
    if len(values) > MOST_FILES:
        raise ValidationError([argument_issue("files", f"must be at most {MOST_FILES}; got {len(values)}")])
    files, faults = [], []
    for number, value in enumerate(values, 1):
        name, text = (value.get("name"), value.get("text")) if isinstance(value, dict) else (None, None)
        if not isinstance(name, str) or not isinstance(text, str) or not name or len(name) > MOST_TEXT:
            faults.append(ValidationIssue(f"file {number}", "must have a name and a text"))
        elif len(text) > MOST_FILE_LETTERS:
            faults.append(ValidationIssue(quoted(name), f"must be at most {MOST_FILE_LETTERS // 1_000_000} MB"))
        else:
            files.append((name, text))
    if faults:
        raise ValidationError(faults)
    return files


def _slip_tests(body: Body, option: Option) -> Callable[[Recipe], Any] | None:
    """What reads the user's own pull tests, {"name", "text"}, where there are any."""
    from helix.model.measured.slip_tests import slip_tests_from_text

    if body.get(option.key) is None:
        return None
    name, text = _files([body[option.key]])[0]
    return lambda recipe: slip_tests_from_text(text, recipe, name)


def _pulls(body: Body, option: Option) -> Any:
    """The tests, which are the first file; recipes and a mapping (TOML) and curves (CSV) may follow."""
    from helix.model.measured.pull_file import pull_file_from_text
    from helix.tasks.pulls.pull_files import PullTests

    (name, text), *others = _files(body.get("files"))
    recipes = {name: text_of_tables(tables) for name, tables in _tables(body, body.get("recipes")).items()}
    faults: list[ValidationIssue] = []
    file = mapping = None
    try:
        mapping = _mapping(dict(others))
    except ValidationError as error:
        faults += error.faults
    try:
        file = pull_file_from_text(text, name)
    except ValidationError as error:
        faults += error.faults
    if file is None or faults:
        raise ValidationError(faults)
    return PullTests(file, recipes | dict(others), mapping)


def _own_pulls(body: Body, option: Option) -> Any:
    """The user's own pieces, {"name", "text", "recipes", "counted"}, where there are any: rows name the joint in hand, or one of those
    recipes; counted: those that are known by their number alone, of an address."""
    from helix.model.measured.pull_file import PullFile, pull_file_from_text
    from helix.tasks.pulls.pull_files import PullTests

    if body.get(option.key) is None:
        return None
    name, text = _files([body[option.key]])[0]
    in_hand = body.get("recipe") or _tables(body, body.get("recipes")).get(OWN_RECIPE)
    others = _tables(body, body[option.key].get("recipes"))
    named = others | ({OWN_RECIPE: in_hand} if isinstance(in_hand, dict) else {})
    counted = _counted(body[option.key].get("counted"))
    file = pull_file_from_text(text, name) if text or not counted else PullFile(name, (), (), (), (), 0)
    beside = {name: text_of_tables(tables) for name, tables in named.items()}
    tests = PullTests(file, beside, counted=counted)
    return None if isinstance(in_hand, dict) and _says_nothing(tests, in_hand) else tests


def _says_nothing(tests: PullTests, tables: dict[str, Any]) -> bool:
    """Whether all that is wrong with pieces is that they say nothing of a joint."""
    from helix.tasks.hold.estimate_options import PULLS

    try:
        PULLS.kind.read(tests, recipe_of_tables(tables))
    except ValidationError as error:
        return all(fault.code == "none-alike" for fault in error.faults)
    return False


def _counted(given: object) -> tuple[Counted, ...]:
    """Pieces known by their number alone, [{"recipe", "turns", "wraps", "pieces", "unwound"}]; turns and wraps are theirs."""
    if given is None:
        return ()
    wanted = [argument_issue("pulls", "must count pieces as {recipe, turns, wraps, pieces, unwound}")]
    if not isinstance(given, list) or len(given) > MOST_ENTRIES or not all(isinstance(one, dict) for one in given):
        raise ValidationError(wanted)
    found = []
    for one in given:
        numbers = [one.get(key) for key in ("turns", "wraps", "pieces", "unwound")]
        if not all(type(number) in (int, float) and 0 <= number <= MOST_COUNTED for number in numbers):
            raise ValidationError(wanted)
        turns, wraps, pieces, unwound = numbers
        recipe = recipe_of_tables(one.get("recipe"))
        recipe = recipe.variant(
            twist=replace(recipe.twist, turns=float(turns), length_mm=None),
            barrel=replace(recipe.barrel, wraps=float(wraps)),
        )
        found.append((recipe, int(pieces), min(int(unwound), int(pieces))))
    return tuple(found)


def own_pieces(body: Body, recipe: Recipe) -> OwnPulls | None:
    """What own pieces in a body say of a recipe; None where there are none, or none that can be used."""
    from helix.tasks.hold.estimate_options import PULLS

    try:
        tests = None if body.get(PULLS.key) is None else _own_pulls(body, PULLS)
        found: OwnPulls | None = None if tests is None else PULLS.kind.read(tests, recipe)
    except ValidationError:
        return None
    return found


def _mapping(texts: Mapping[str, str]) -> CurveMapping | None:
    """Which columns of the curves hold what, from the file that says so."""
    from helix.model.measured.curve_file import mapping_from_text

    mappings = {name: text for name, text in texts.items() if _toml(name) and _MAPPING.search(text)}
    if len(mappings) > 1:
        wanted = f"must hold one mapping of curves; got {', '.join(mappings)}"
        raise ValidationError([argument_issue("files", wanted)])
    if mappings:
        name, text = next(iter(mappings.items()))
        return mapping_from_text(text, name)
    if any(not _toml(name) for name in texts):
        wanted = "must hold a mapping (TOML) too, which says where the curves have load and extension"
        raise ValidationError([argument_issue("files", f"{wanted}; there is one to fill in")])
    return None


def _toml(name: str) -> bool:
    return name.lower().endswith(".toml")


def _not_here(body: Body, option: Option) -> None:
    """What the browser opens with another file."""


_OPENERS: Final[dict[str, tuple[Callable[[Body, Option], Any], Sequence[str] | None]]] = {
    "recipe": (_recipe, None),
    "recipes": (_recipes, ("recipes", "recipe")),
    "plan": (_plan, ("plan", "recipes", "recipe")),
    "pulls": (_pulls, ("files", "recipes")),
    "slip tests": (_slip_tests, ("calibrate",)),
    "mapping": (_not_here, ()),
    "readings": (_not_here, ()),
    "own pulls": (_own_pulls, None),
}
"""How a kind of file comes in a body, and the keys that it comes under; None: under the option's own."""
