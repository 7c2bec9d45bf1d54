"""Draw: a picture, a drawing, an interactive 3-D page, or a model, as the file's ending says."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from helix.errors import ValidationError, ValidationIssue, argument_issue, quoted
from helix.output.canvas.canvas import THEMES, png_bytes
from helix.output.picture.picture import SIZE_PX, Look, picture_pixels
from helix.output.report.document import Answer
from helix.output.shape.drawing import PAGE_MM, drawing_svg
from helix.output.shape.shape_answers import drawn_answer
from helix.output.surface.mesh import QUALITIES, mesh_bytes, mesh_colours, mesh_lines, wire_mesh
from helix.output.viewer.shared_page import page_html
from helix.studies.shape.shape import ShapeResult, shape
from helix.tasks.options import RECIPE, TICK, Option, choice, number, quantity, units
from helix.tasks.shape.judged import STRICT, is_ok
from helix.tasks.task import Given, Output, Task

PICTURE, DRAWING, PAGE, MODELS = ".png", ".svg", ".html", (".stl", ".glb", ".ply")
COLOUR: Final = Option(
    "colour",
    "what the wire of a picture or model is coloured by",
    choice("verdict", "strain", "section", "plain"),
    usual="verdict",
)
THEME: Final = Option("theme", "a picture's paper", choice("light", "dark"), usual="light")
_KINDS: Final = {
    "colour": ((PICTURE, *MODELS), f"is for pictures ({PICTURE}) and models ({', '.join(MODELS)})"),
    "size": ((PICTURE, DRAWING), f"is for pictures and drawings ({PICTURE}, {DRAWING})"),
    **dict.fromkeys(("view", "theme", "transparent"), ((PICTURE,), f"is for pictures ({PICTURE})")),
    **dict.fromkeys(("quality", "scale", "standing"), (MODELS, f"is for models ({', '.join(MODELS)})")),
}
"""Options that say nothing about files of another kind."""


def size_of(text: str, picture: bool) -> tuple[int, int]:
    """Width and height of a picture in pixels, or of a drawing's page in mm; raises ValueError for anything else.

    >>> size_of("1600x900", True)
    (1600, 900)
    """
    least, most, unit, example = (
        ((640, 360), 4096, "pixels", "1600x900") if picture else ((100, 60), 2000, "mm", "320x180")
    )
    parts = text.lower().split("x")
    if len(parts) == 2 and all(part.isascii() and part.isdigit() and len(part) < 6 for part in parts):
        width, height = (int(part) for part in parts)
        if least[0] <= width <= most and least[1] <= height <= most:
            return width, height
    wanted = f"must be WIDTHxHEIGHT in whole {unit}, from {least[0]}x{least[1]} to {most}x{most}, such as {example}"
    raise ValueError(f"{wanted}; got {quoted(text)}")


def unfit(given: Given, picture: bool) -> Iterator[ValidationIssue]:
    """The fault of a size that cannot be."""
    try:
        if given.size is not None:
            size_of(given.size, picture)
    except ValueError as error:
        yield argument_issue("size", str(error))


def _misplaced(given: Given) -> Iterator[ValidationIssue]:
    suffix = given.suffix("output")
    given_keys = [key for key in _KINDS if given.values[key] not in (None, False)]
    if suffix == PAGE:
        for key in given_keys:
            yield argument_issue(key, "is for pictures and models; on a page it is chosen while looking")
        return
    if suffix in (PICTURE, DRAWING, *MODELS):
        for key in given_keys:
            kinds, only = _KINDS[key]
            if suffix not in kinds:
                yield argument_issue(key, only)
    if suffix not in MODELS:
        yield from unfit(given, suffix != DRAWING)


def _drawn(result: ShapeResult, given: Given, suffix: str) -> str | bytes:
    if suffix == PAGE:
        given.on_output("working out the steps of making it, this takes a few seconds ...")
        return page_html(result, given.system)
    if suffix in MODELS:
        return _model(result, given, suffix)
    if suffix == DRAWING:
        own = given.size is not None and given.suffix("output") == DRAWING
        return drawing_svg(result, given.system, page_mm=size_of(given.size, False) if own else PAGE_MM)
    given.on_output("drawing, this takes a few seconds ...")
    look = Look(given.colour or "verdict", given.view or "side", THEMES[given.theme or "light"], given.transparent)
    size = SIZE_PX if given.size is None else size_of(given.size, True)
    return png_bytes(picture_pixels(result, given.system, size_px=size, look=look))


def _model(result: ShapeResult, given: Given, suffix: str) -> bytes:
    """So many times true size, with as much of the standing leg as wanted."""
    recipe = result.recipe
    if given.standing is not None:
        result = shape(recipe.variant(finish=replace(recipe.finish, standing_mm=given.standing)))
    scale = given.scale or 1.0
    try:
        mesh = wire_mesh(result.joint.layout.path, recipe.wire.diameter_mm, QUALITIES[given.quality or "normal"])
    except ValueError as problem:
        raise ValidationError([ValidationIssue(str(given.targets["output"]), str(problem))]) from problem
    given.notes += mesh_lines(mesh, result, suffix, scale)
    return mesh_bytes(mesh, suffix, mesh_colours(mesh, result, given.colour or "verdict"), scale)


def _done(result: ShapeResult, given: Given) -> Answer:
    path = given.written[0]
    suffix = path.suffix.lower()
    where = f"{'Model' if suffix in MODELS else 'Drawn'} in {path}{'; open it in a browser.' if suffix == PAGE else ''}"
    return drawn_answer(result, given.system, (where, *given.notes))


TASK = Task(
    options=(
        RECIPE,
        Option("size", "pixels of a picture (1600x900), mm of a drawing's page (320x180)", letters="WxH"),
        COLOUR,
        Option(
            "view",
            "from where a picture shows the whole joint",
            choice("side", "top", "eye", "three-quarter"),
            usual="side",
        ),
        THEME,
        Option("transparent", "a picture without paper behind it", TICK),
        Option("quality", "how fine a model's facets are", choice("draft", "normal", "fine"), usual="normal"),
        Option(
            "scale",
            "a model so many times true size, such as 10 for printing one to hold",
            number(0.001, 1000.0),
            label="Hand model, times true size",
        ),
        Option(
            "standing",
            "standing leg to keep in a model",
            quantity("length", most=1e6, of_wire=True),
            usual="the recipe's",
        ),
        units(),
    ),
    run=lambda given: shape(given.recipe),
    check=_misplaced,
    answer=_done,
    files=(
        Output(
            "output",
            "file to write: .png picture, .svg drawing, .html page to turn it on, .stl, .glb or .ply model",
            (PICTURE, DRAWING, PAGE, *MODELS),
            _drawn,
            short="-o",
            required=True,
            pictures={PICTURE: DRAWING},
        ),
    ),
    strict=STRICT,
    is_ok=is_ok,
)
