"""Inspect: what was made, from caliper readings, beside what was to be made."""

from __future__ import annotations

from typing import Final

from helix.errors import ValidationError, ValidationIssue, argument_issue
from helix.model.measured.readings import (
    ANGLES,
    BY_EYE,
    CALIPER_MM,
    COUNTED_TO,
    COUNTS,
    LENGTHS,
    Reading,
    read_readings,
)
from helix.model.measured.readings_file import ReadingsFile, readings_template
from helix.model.recipe.recipe_writing import recipe_file_text
from helix.output.inspect.inspect_table import inspection_document, remarks
from helix.output.report.record import record
from helix.output.words.findings.reading_words import doubt_text
from helix.studies.inspect.inspection import inspect
from helix.studies.inspect.inspection_result import Inspection
from helix.tasks.hold.estimate_options import PULLS
from helix.tasks.options import READINGS_FILE, RECIPE, Option, choice, units
from helix.tasks.shape.judged import STRICT
from helix.tasks.task import Given, Output, Task, Template

_COUNTS: Final = {
    "turns": ("even turns of the twist, 360 deg each", "Turns", "5"),
    "crossings": ("crossings counted in place of turns, half a turn each", "or crossings", "10"),
    "wraps": ("wraps of the barrel", "Wraps", "5"),
}
_LABELS: Final = {
    "wire": "Wire", "lay": "Lay", "twist_length": "Twist, length", "twist_diameter": "Twist, across",
    "barrel_length": "Barrel, length", "barrel_diameter": "Barrel, across", "eye": "Eye, across",
    "eye_length": "Eye, along", "length": "Whole, eye inside",
    "outside_length": "Whole, eye outside",
}  # fmt: skip
_EXAMPLE: Final = "11.6 mm +- 0.1 mm"
_ANGLES: Final = {"first_bend": ("First bend", "76 deg"), "exit": ("Exit of the tag", "85 deg")}
_READ: Final = (*COUNTS, *LENGTHS, *ANGLES, "evenness")


def _readings(given: Given) -> dict[str, Reading]:
    file: ReadingsFile | None = given.readings
    from_file = {} if file is None else file.texts
    texts = {name: given.values[name] or from_file.get(name) for name in _READ}
    try:
        return read_readings(texts, given.recipe, given.caliper or from_file.get("caliper"))
    except ValidationError as error:
        if file is None:
            raise
        mine = {name for name in _READ if not given.values[name]}
        raise ValidationError(
            file.located(issue) if issue.path.key in mine | {"caliper"} else issue for issue in error.faults
        ) from None


def _inspected(given: Given) -> Inspection:
    """What the readings say; a file's title stands beside the recipe's."""
    file: ReadingsFile | None = given.readings
    recipe, counted_to = given.recipe, given.counted_to
    if file is not None:
        recipe = recipe.variant(title=f"{recipe.title}: {file.title}") if file.title else recipe
        counted_to = counted_to or file.texts.get("counted_to")
    return inspect(recipe, _readings(given), counted_to or "twist", given.pulls)


def _unread(given: Given) -> list[ValidationIssue]:
    if not {"recipe", "readings"} & given.faulty:
        _readings(given)
    return []


def _impossible(inspection: Inspection, given: Given) -> list[ValidationIssue]:
    if inspection.made is not None:
        return []
    return [
        argument_issue(doubt.name, doubt_text(doubt, given.system)) for doubt in inspection.doubts if doubt.impossible
    ]


TASK = Task(
    options=(
        RECIPE,
        Option("readings", "file of readings (TOML), in place of options or beside them", READINGS_FILE),
        *(
            Option(name, text, letters="N", label=label, example=example)
            for name, (text, label, example) in _COUNTS.items()
        ),
        *(
            Option(name, f'{text}: "{_EXAMPLE}"', letters="LENGTH", label=_LABELS[name])
            for name, text in LENGTHS.items()
        ),
        *(
            Option(
                name, f'{text}: "95 deg +- 3 deg"', letters="ANGLE", label=_ANGLES[name][0], example=_ANGLES[name][1]
            )
            for name, text in ANGLES.items()
        ),
        Option(
            "evenness",
            "how even the twist looks, in place of its diameter (assumed, no source)",
            choice(**{word: f"{word.replace('-', ' ')}: {seen}" for word, (_, seen) in BY_EYE.items()}),
            label="Twist by eye",
        ),
        Option(
            "counted_to",
            "where the count of turns ends and that of wraps begins",
            choice(**{word: f"{word}: {seen}" for word, seen in COUNTED_TO.items()}),
            usual="twist",
            label="Counted to",
        ),
        Option(
            "caliper",
            "standard deviation of readings across the joint",
            letters="LENGTH",
            usual=f"{CALIPER_MM:g} mm",
            label="The caliper is good to",
        ),
        units(),
        PULLS,
    ),
    run=_inspected,
    check=_unread,
    document=inspection_document,
    record=record,
    json="mm and deg",
    refused=_impossible,
    answers_refused=True,
    template=Template(
        "readings.toml",
        readings_template,
        "readings to fill in, their numbers invented",
        "helix inspect joint.toml --readings {}",
    ),
    files=(
        Output(
            "output",
            "write the recipe as it was made",
            (".toml",),
            lambda result, given, suffix: recipe_file_text(result.made, remarks(result)),
            said="recipe as made written to {}",
            letters="FILE.toml",
            short="-o",
        ),
    ),
    strict=STRICT,
    is_ok=lambda result: result.whole.is_ok,
)
