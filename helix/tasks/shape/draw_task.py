"""Draw: a picture, a drawing, an interactive 3-D page, or a model, as the file's ending says."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from helix.errors import ValidationError, ValidationIssue, argument_issue, quoted
from helix.model.recipe.recipe_parts import Recipe
from helix.output.canvas.canvas import THEMES, png_bytes
from helix.output.picture.picture import SIZE_PX, Look, picture_pixels
from helix.output.report.document import Answer
from helix.output.shape.colouring import ColourBy
from helix.output.shape.drawing import PAGE_MM, drawing_svg
from helix.output.shape.shape_answers import drawn_answer
from helix.output.surface.mesh import QUALITIES, joint_meshes, mesh_colours
from helix.output.surface.model import Joint, plate_surface, together, whole_surface
from helix.output.surface.model_files import model_bytes, model_lines, size_lines
from helix.output.surface.model_parts import BED_MM, Plate, joint_parts
from helix.output.viewer.shared_page import page_html
from helix.output.words.words import title_of
from helix.studies.judge import held_by_own, shape_judged
from helix.studies.shape.outline import Outline
from helix.studies.shape.shape import ShapeResult, shape
from helix.tasks.hold.estimate_options import PULLS
from helix.tasks.options import RECIPE, RECIPE_FILE, TICK, Option, choice, number, quantity, units
from helix.tasks.shape.judged import STRICT, is_ok
from helix.tasks.task import Given, Output, Task

PICTURE, DRAWING, PAGE, MODELS = ".png", ".svg", ".html", (".stl", ".glb", ".ply")
COLOUR: Final = Option(
    "colour",
    "what the wire of a picture or model is coloured by",
    choice("verdict", "strain", "section", "plain"),
    usual="verdict",
)
LEG_MM: Final = 20.0
"""Of the standing leg in a model: enough to hold it by."""
LONG: Final = 100.0
"""Turns and wraps of a joint whose model takes so long that it is told."""
TURN_S: Final = (0.01, 0.05)
"""What a turn or wrap of a model takes [s]: measured on a quiet machine, and on a busy one."""
THEME: Final = Option("theme", "a picture's paper", choice("light", "dark"), usual="light")
_KINDS: Final = {
    "colour": ((PICTURE, *MODELS), f"is for pictures ({PICTURE}) and models ({', '.join(MODELS)})"),
    "size": ((PICTURE, DRAWING), f"is for pictures and drawings ({PICTURE}, {DRAWING})"),
    **dict.fromkeys(("view", "theme", "transparent"), ((PICTURE,), f"is for pictures ({PICTURE})")),
    **dict.fromkeys(
        ("quality", "scale", "standing", "bed", "split", "beside"), (MODELS, f"is for models ({', '.join(MODELS)})")
    ),
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
        return page_html(result, given.system, held=held_by_own(given.recipe, given.pulls))
    if suffix in MODELS:
        return _model(result, given, suffix)
    if suffix == DRAWING:
        own = given.size is not None and given.suffix("output") == DRAWING
        return drawing_svg(result, given.system, page_mm=size_of(given.size, False) if own else PAGE_MM)
    given.on_output("drawing, this takes a few seconds ...")
    look = Look(given.colour or "verdict", given.view or "side", THEMES[given.theme or "light"], given.transparent)
    size = SIZE_PX if given.size is None else size_of(given.size, True)
    return png_bytes(picture_pixels(result, given.system, size_px=size, look=look))


def shortened(recipe: Recipe, given: Given) -> Recipe:
    """The recipe with as much of its standing leg as a model keeps."""
    standing = given.standing or min(LEG_MM, recipe.finish.standing_mm)
    return recipe.variant(finish=replace(recipe.finish, standing_mm=standing))


def plate_of(joints: Sequence[Outline], given: Given) -> Plate:
    """What is printed of these joints, with the scale, the bed and the cut that were asked for."""
    scale = given.scale or 1.0
    parts = [joint_parts(each.joint.layout.paths, each.recipe.wire.diameter_mm, scale) for each in joints]
    return Plate(tuple(parts), scale, given.bed or BED_MM, given.bed is None, bool(given.split))


def _model(result: ShapeResult, given: Given, suffix: str) -> bytes:
    """So many times true size, with as much of the standing leg as wanted; in two parts, or beside another, if wanted."""
    recipes = [recipe for recipe in (result.recipe, given.beside) if recipe is not None]
    joints = [shape(shortened(recipe, given)) for recipe in recipes]
    joints[0] = replace(joints[0], of_hold=result.of_hold)
    plate = plate_of(joints, given)
    count = max(recipe.twist.turns + recipe.barrel.wraps for recipe in recipes)
    if count > LONG:
        least, most = (math.ceil(count * second) for second in TURN_S)
        given.on_output(f"{size_lines(plate, given.system)[0]} Working out its skin takes {least} to {most} s ...")
    colour: ColourBy = given.colour or "verdict"
    try:
        of_joints = [joint_meshes(each, QUALITIES[given.quality or "normal"]) for each in joints]
    except ValueError as problem:
        raise ValidationError([ValidationIssue(str(given.targets["output"]), str(problem))]) from problem
    coloured = [
        [mesh_colours(mesh, each, colour, wire) for wire, mesh in enumerate(own)]
        for own, each in zip(of_joints, joints, strict=True)
    ]
    meshes = [mesh for own in of_joints for mesh in own]
    if len(plate.parts) == 1:
        surface = together([whole_surface(*pair) for pair in zip(meshes, coloured[0], strict=True)])
    else:
        over = plate.bed_mm if plate.split else None
        laid = zip(of_joints, coloured, plate.joints, strict=True)
        surface = plate_surface(
            [Joint(m, c, own.d_mm, own.parts(plate.scale, over)) for m, c, own in laid], plate.scale
        )
    given.notes += [*size_lines(plate, given.system), *model_lines(surface, meshes, suffix)]
    return model_bytes(surface, suffix, plate.scale, " and ".join(map(title_of, joints)))


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
            label="Times true size",
        ),
        Option(
            "standing",
            "standing leg to keep in a model, at true size",
            quantity("length", most=1e6, of_wire=True),
            usual=f"{LEG_MM:g} mm, or the recipe's where that is less",
            label="Standing leg to keep",
        ),
        Option(
            "bed",
            "length and width of the printer's bed, which a model's size is compared with",
            quantity("length", least=10.0, most=1e5),
            usual=f"{BED_MM:g} mm, a usual one, assumed",
            label="Printer's bed",
        ),
        Option("split", "a model longer than the bed in two parts with pegs", TICK, label="In two parts, if too long"),
        Option("beside", "recipe of a second joint for the same plate, such as good beside bad", RECIPE_FILE),
        units(),
        PULLS,
    ),
    run=lambda given: shape_judged(given.recipe, given.pulls),
    check=_misplaced,
    answer=_done,
    files=(
        Output(
            "output",
            "file to write: .png picture, .svg drawing, .html interactive 3-D page, .stl, .glb or .ply model",
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
