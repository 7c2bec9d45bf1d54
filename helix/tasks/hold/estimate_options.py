"""Options of every estimate of the hold, and the setting that they make."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Final

from helix.errors import ValidationError, ValidationIssue, quoted
from helix.studies.hold.evidence.forecast import OwnPulls
from helix.studies.hold.evidence.friction_fit import CalibrationFit, calibrate
from helix.studies.hold.evidence.own_pulls import own_pulls
from helix.studies.hold.holding import DRAWS, SEED, setting_of
from helix.studies.hold.outcome import Setting
from helix.studies.hold.scatter import MOST_DRAWS
from helix.tasks.options import Kind, Option, choice, finite, whole

if TYPE_CHECKING:
    from helix.model.measured.slip_tests import SlipTests
    from helix.model.recipe.recipe_parts import Recipe
    from helix.tasks.pulls.pull_files import PullTests
    from helix.tasks.task import Given

MODEL_KEYS: Final = ("L", "E", "R", "W")


def frictions(text: str, recipe: Recipe | None = None) -> dict[str, float]:
    """Friction numbers by model: one number for all, or KEY=NUMBER for some.

    >>> frictions("L=0.055, E=0.077")
    {'L': 0.055, 'E': 0.077}
    """
    numbers: dict[str, float] = {}
    messages = []
    for part in text.split(","):
        key, equals, value_text = part.partition("=") if "=" in part else ("", "", part)
        keys = [key.strip().upper()] if equals else list(MODEL_KEYS)
        value = finite(value_text)
        if equals and keys[0] not in MODEL_KEYS:
            messages.append(f"must name model L, E or R; got {quoted(part)}")
        elif value is None or not 0.0 <= value <= 10.0:
            messages.append(f'must be from 0 to 10, such as "0.05" or "L=0.055"; got {quoted(part)}')
        else:
            numbers.update(dict.fromkeys(keys, value))
    if messages:
        raise ValueError(*messages)
    return numbers


def _reduction(text: str, recipe: Recipe | None) -> float:
    value = finite(text)
    if value is None or not 0.0 < value < 1.0:
        raise ValueError(f"must be above 0 and below 1 (a reduction of area of 52 % is 0.52); got {quoted(text)}")
    return value


def _fitted(tests: Callable[[Recipe], SlipTests], recipe: Recipe | None) -> CalibrationFit | None:
    return None if recipe is None else calibrate(tests(recipe), setting_of(recipe).scatter)


ESTIMATE: Final = (
    Option(
        "friction",
        'effective friction numbers in place of the fitted ones: "0.05" for every model, or some by letter, '
        '"L=0.055,E=0.077,R=0.087"',
        Kind("text", frictions, "NUMBERS"),
        label="Friction",
        usual="from tests",
    ),
    Option(
        "ductility",
        "reduction of area at break, between 0 and 1",
        Kind("text", _reduction, "SHARE"),
        label="Ductility",
        usual="0.45 to 0.60",
    ),
    Option(
        "pin",
        "whether the pin turns with the wire or the wire slides round it",
        choice(turns="the pin turns with the wire", slides="the wire slides round it"),
        default="turns",
        label="On the pin",
    ),
    Option("draws", "seeded draws", whole(100, MOST_DRAWS), default=str(DRAWS)),
    Option("seed", "of the draws", whole(0, 2**63 - 1), default=str(SEED)),
    Option(
        "calibrate", "fit the friction numbers to your own pull tests first", Kind("slip tests", _fitted, "TESTS.csv")
    ),
)


def _own(tests: PullTests, recipe: Recipe | None) -> OwnPulls | None:
    from helix.studies.pulls.pull_predicted import recipes_of

    return (
        None
        if recipe is None
        else own_pulls(tests.file, recipe, recipes_of(tests.file, tests.beside)[0], tests.counted)
    )


PULLS: Final = Option(
    "pulls",
    "your own pull tests of this joint and of straight wire: they move the load, and the odds of unwinding",
    Kind("own pulls", _own, "TESTS.csv"),
)
OWN_PULLS: Final = Option(
    "pulls",
    "your own pull tests of the joints and of straight wire: they decide the verdict, as with hold",
    Kind("own pulls", lambda tests, recipe: tests, "TESTS.csv"),
)
"""The same where there are several recipes, or none yet: `own_by_recipe` reads it."""


def own_by_recipe(tests: PullTests | None, recipes: Iterable[Recipe]) -> dict[Recipe, OwnPulls]:
    """What a file's pieces say of each of several recipes; those of none of which it says anything are left out.

    Raises ValidationError with every fault of the file, and where it says nothing of any recipe.
    """
    from helix.studies.pulls.pull_predicted import recipes_of

    if tests is None:
        return {}
    named, found, faults = recipes_of(tests.file, tests.beside)[0], {}, list[ValidationIssue]()
    for recipe in dict.fromkeys(recipes):
        try:
            found[recipe] = own_pulls(tests.file, recipe, named, tests.counted)
        except ValidationError as error:
            faults += error.faults
    if any(fault.code != "none-alike" for fault in faults) or (faults and not found):
        raise ValidationError(list(dict.fromkeys(faults)))
    return found


def setting(given: Given) -> Setting:
    """How the estimate is to be made."""
    own = given.calibrate.calibration if given.calibrate else None
    turned = math.pi if given.pin == "slides" else 0.0
    return setting_of(given.recipe, own, given.ductility, given.friction, turned, given.draws, given.seed)
