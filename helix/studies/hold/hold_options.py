"""Options of a hold estimate, from their text: friction numbers, ductility, pin, draws, and the user's own tests."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final

from helix.errors import ValidationError, ValidationIssue, quoted
from helix.studies.option_values import FaultList, number, share, whole_number

if TYPE_CHECKING:
    from collections.abc import Callable

    from helix.model.measured.slip_tests import SlipTests
    from helix.model.recipe.recipe_parts import Recipe
    from helix.studies.hold.friction_fit import CalibrationFit
    from helix.studies.hold.outcome import Setting

MODEL_KEYS: Final = ("L", "E", "R", "W")


def setting_asked(
    recipe: Recipe | None,
    faults: FaultList,
    *,
    friction: str | None = None,
    ductility: str | None = None,
    slides: bool = False,
    draws: str | None = None,
    seed: str | None = None,
    tests: Callable[[Recipe], SlipTests] | None = None,
) -> tuple[Setting, CalibrationFit | None]:
    """The setting of an estimate, and the calibration to the user's own tests where there is one.

    slides: the wire slides round the pin. tests: reads the user's pull tests. Raises ValidationError with every
    fault of the options, of the tests, and of those gathered before.
    """
    from helix.studies.hold.holding import DRAWS, SEED, setting_of
    from helix.studies.hold.scatter import MOST_DRAWS

    reduction = share("--ductility", ductility, faults)
    numbers = frictions(friction, faults)
    count = whole_number("--draws", draws, DRAWS, 100, MOST_DRAWS, faults)
    start = whole_number("--seed", seed, SEED, 0, 2**63 - 1, faults)
    fitted = None if tests is None or recipe is None else _calibration(tests, recipe, faults)
    found = [fault for fault in faults if fault is not None]
    if recipe is None or found:
        raise ValidationError(found)
    return setting_of(
        recipe, fitted.calibration if fitted else None, reduction, numbers, math.pi if slides else 0.0, count, start
    ), fitted


def _calibration(tests: Callable[[Recipe], SlipTests], recipe: Recipe, faults: FaultList) -> CalibrationFit | None:
    from helix.studies.hold.friction_fit import calibrate
    from helix.studies.hold.holding import setting_of

    try:
        return calibrate(tests(recipe), setting_of(recipe).scatter)
    except ValidationError as found:
        faults.extend(found.faults)
        return None


def frictions(text: str | None, faults: FaultList) -> dict[str, float] | None:
    """Friction numbers by model: one number for all, or KEY=NUMBER for some.

    >>> frictions("L=0.055, E=0.077", [])
    {'L': 0.055, 'E': 0.077}
    """
    if text is None:
        return None
    found: dict[str, float] = {}
    for part in text.split(","):
        key, equals, value_text = part.partition("=") if "=" in part else ("", "", part)
        keys = [key.strip().upper()] if equals else list(MODEL_KEYS)
        if equals and keys[0] not in MODEL_KEYS:
            faults.append(ValidationIssue("--friction", f"must name model L, E or R; got {quoted(part)}"))
            continue
        value = number(value_text)
        if value is None or not 0.0 <= value <= 10.0:
            faults.append(
                ValidationIssue("--friction", f'must be from 0 to 10, such as "0.05" or "L=0.055"; got {quoted(part)}')
            )
            continue
        found.update(dict.fromkeys(keys, value))
    return found
