"""Compare: joints one below the other, what makes each differ from the first in words."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from helix.errors import ValidationError, ValidationIssue, argument_issue
from helix.output.canvas.canvas import THEMES
from helix.output.canvas.canvas_svg import canvas_svg
from helix.output.picture import gl
from helix.output.report.document import Answer
from helix.output.report.document_html import document_html
from helix.output.report.record import record
from helix.output.teaching.compare_picture import WIDTH_PX, compare_canvas, compare_document, compare_png
from helix.output.teaching.handout import handout_pdf
from helix.output.teaching.teaching_answers import compare_answer
from helix.output.words.answer_words import CAUTION
from helix.output.words.compare_words import difference_lines, tally
from helix.output.words.words import title_of
from helix.studies.shape.shape import shape
from helix.studies.teaching.compare_joints import Comparison, compare
from helix.tasks.hold.estimate_options import OWN_PULLS, own_by_recipe
from helix.tasks.options import RECIPE_FILES, Option, choice, units, whole
from helix.tasks.shape.draw_task import COLOUR, DRAWING, PAGE, PICTURE
from helix.tasks.shape.judged import STRICT, is_ok
from helix.tasks.task import Given, Output, Task

MOST_COMPARED: Final = 8
HANDOUT: Final = ".pdf"


def _counted(given: Given) -> Iterator[ValidationIssue]:
    recipes = given.recipes
    if recipes is not None and not 2 <= len(recipes) <= MOST_COMPARED:
        wanted = f"must be 2 to {MOST_COMPARED} recipes, the good one first"
        yield argument_issue("recipes", f"{wanted}; got {len(recipes)}")


def _compared(given: Given) -> Comparison:
    results = []
    faults: list[ValidationIssue] = []
    for _, recipe in given.recipes:
        try:
            results.append(shape(recipe))
        except ValidationError as error:
            faults += error.faults
    if faults:
        raise ValidationError(faults)
    return compare(results, own_by_recipe(given.pulls, [result.recipe for result in results]))


def _drawn(comparison: Comparison, given: Given, suffix: str) -> str | bytes:
    if suffix == HANDOUT:
        return handout_pdf(comparison, given.system)
    given.on_output(f"{tally(comparison.results)}: drawing, this takes a few seconds ...")
    vector = suffix == DRAWING or gl.rendering_problem() is not None  # there the wire is plain metal
    theme = THEMES[given.theme]
    canvas = compare_canvas(
        comparison, given.system, given.width, colour="plain" if vector else given.colour or "verdict", theme=theme
    )
    picture = canvas_svg(canvas, theme).encode() if vector else compare_png(canvas, theme)
    if suffix != PAGE:
        return picture
    return document_html(compare_document(comparison, picture, "svg+xml" if vector else "png", given.system))


def _answer(comparison: Comparison, given: Given) -> Answer:
    return compare_answer(comparison, given.system, f"Drawn in {given.written[0]}" if given.written else "")


def _told(comparison: Comparison, given: Given) -> str:
    lines = []
    for k in range(1, len(comparison.results)):
        lines.append(f"{title_of(comparison.results[k])}, against {title_of(comparison.results[0])}:")
        lines += [f"  {line}" for line in difference_lines(comparison, k, given.system)]
    return "\n".join((*lines, "", CAUTION)) + "\n"


TASK = Task(
    options=(
        Option(
            "recipes",
            "recipe files, the good one first",
            RECIPE_FILES,
            place="some",
            many=True,
            example="good.toml bad.toml",
        ),
        COLOUR,
        Option("theme", "the paper", choice("light", "dark"), "light"),
        Option("width", "width of the picture in pixels", whole(800, 4096), str(WIDTH_PX), letters="PIXELS"),
        units(),
        OWN_PULLS,
    ),
    run=_compared,
    check=_counted,
    answer=_answer,
    text=_told,
    record=record,
    json="mm, N and deg; _d in wire diameters",
    files=(
        Output(
            "output",
            "file to write: .png, .svg, .html with every number, or .pdf, a handout with questions in front, answers behind",
            (PICTURE, DRAWING, PAGE, HANDOUT),
            _drawn,
            short="-o",
            pictures={PICTURE: DRAWING},
        ),
    ),
    strict=STRICT,
    is_ok=lambda comparison: all(is_ok(result) for result in comparison.results),
)
