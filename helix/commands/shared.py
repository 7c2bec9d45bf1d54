"""What the commands share: reading a recipe, exit codes, writing to the terminal."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from helix.errors import ValidationError, ValidationIssue, one_line

if TYPE_CHECKING:
    from helix.model.recipe.recipe_parts import Recipe
    from helix.studies.shape.shape import ShapeResult

DONE, FLAGGED, NO_ANSWER, UNUSABLE, STOPPED = 0, 1, 1, 2, 130


def recipe_of(path: str, faults: list[ValidationIssue | None]) -> Recipe | None:
    """The recipe, or None with its faults added to the others."""
    from helix.model.recipe.recipe import read_recipe

    try:
        return read_recipe(Path(path))
    except ValidationError as found:
        faults.extend(found.faults)
        return None


def sound(recipe: Recipe | None, faults: Sequence[ValidationIssue | None]) -> Recipe:
    """The recipe, if nothing is wrong with it or with the options; raises every fault at once otherwise."""
    found = [fault for fault in faults if fault is not None]
    if recipe is None or found:
        raise ValidationError(found)
    return recipe


def shaped(recipe: Recipe) -> ShapeResult:
    from helix.studies.shape.shape import shape

    return shape(recipe)


def exit_code(result: ShapeResult, strict: bool) -> int:
    from helix.output.words.words import is_grave

    grave = any(bend.verdict == "sharp" for bend in result.bends)
    grave = grave or any(is_grave(flag.severity) for flag in result.flags)
    return FLAGGED if strict and grave else DONE


def put(text: str) -> None:
    """Write to standard output, whatever characters it can show."""
    coding = getattr(sys.stdout, "encoding", None) or "utf-8"
    sys.stdout.write(text.encode(coding, "backslashreplace").decode(coding))


def tell(text: str) -> None:
    """One line on standard error; a closed one is no reason to stop."""
    coding = getattr(sys.stderr, "encoding", None) or "utf-8"
    with contextlib.suppress(OSError, ValueError):
        sys.stderr.write(one_line(text).encode(coding, "backslashreplace").decode(coding) + "\n")
        sys.stderr.flush()


def complain(text: str) -> None:
    """Each line of text as one line on standard error, after the program's name."""
    for line in text.splitlines() or [""]:
        tell(f"helix: {line}")
