"""What is looked at: `helix draw`, a picture, a drawing, a model or a page, as the file's ending says."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from helix.commands.shared import exit_code, put, recipe_of, shaped, sound, tell
from helix.errors import ValidationError, ValidationIssue, quoted

if TYPE_CHECKING:
    from helix.model.recipe.recipe_parts import Recipe
    from helix.studies.shape.shape import ShapeResult

PICTURE, DRAWING, PAGE, MODELS = ".png", ".svg", ".html", (".stl", ".glb", ".ply")
COLOURS = ("verdict", "strain", "section", "plain")
VIEWS = ("side", "top", "eye", "three-quarter")
QUALITIES = ("draft", "normal", "fine")

Shaping = Callable[["Recipe"], "ShapeResult"]


def draw(options: argparse.Namespace, shaping: Shaping = shaped) -> int:
    """`helix draw`: a picture, a drawing, a model or a page, as the file's ending says."""
    from helix.output.files import target_fault

    target = Path(options.output)
    suffix = target.suffix.lower()
    if suffix == PAGE:
        from helix.commands.sheet_command import page_command

        return page_command(options)
    faults: list[ValidationIssue | None] = []
    recipe = recipe_of(options.recipe, faults)
    faults.append(target_fault(target, force=options.force, suffixes=(PICTURE, DRAWING, PAGE, *MODELS)))
    faults += _misplaced(options, suffix)
    if suffix in MODELS:
        return _draw_model(options, recipe, faults, target, shaping)
    picture = suffix != DRAWING
    size = None if options.size is None else size_of(options.size, picture, faults)
    recipe = sound(recipe, faults)
    if picture:
        problem = no_pictures()
        if problem:
            picture, size, target = False, None, target.with_suffix(DRAWING)
            tell(f"{problem}. Writing the drawing {target} in its place")
            recipe = sound(recipe, [target_fault(target, force=options.force)])
    result = shaping(recipe)
    units = options.units or recipe.units
    if picture:
        from helix.output.canvas.canvas import THEMES
        from helix.output.picture.picture import SIZE_PX, Look, write_picture

        tell("drawing, this takes a few seconds ...")
        look = Look(options.colour or "verdict", options.view or "side", THEMES[options.theme or "light"],
                    options.transparent)  # fmt: skip
        write_picture(result, target, units, size_px=size or SIZE_PX, look=look, force=options.force)
    else:
        from helix.output.shape.drawing import PAGE_MM, write_drawing

        write_drawing(result, target, units, page_mm=size or PAGE_MM, force=options.force)
    return _done(result, units, [f"Drawn in {target}"], options.strict)


def size_of(text: str, picture: bool, faults: list[ValidationIssue | None]) -> tuple[int, int] | None:
    """Width and height of a picture in pixels, or of a drawing's page in mm."""
    least, most, unit, example = (
        ((640, 360), 4096, "pixels", "1600x900") if picture else ((100, 60), 2000, "mm", "320x180")
    )
    parts = text.lower().split("x")
    if len(parts) == 2 and all(part.isascii() and part.isdigit() and len(part) < 6 for part in parts):
        width, height = (int(part) for part in parts)
        if least[0] <= width <= most and least[1] <= height <= most:
            return width, height
    message = f"must be WIDTHxHEIGHT in whole {unit}, from {least[0]}x{least[1]} to {most}x{most}, such as {example}"
    faults.append(ValidationIssue("--size", f"{message}; got {quoted(text)}"))
    return None


def _draw_model(
    options: argparse.Namespace,
    recipe: Recipe | None,
    faults: list[ValidationIssue | None],
    target: Path,
    shaping: Shaping,
) -> int:
    from helix.studies.option_values import kept_length, times

    scale = times("--scale", options.scale, faults)
    standing = kept_length("--standing", options.standing, recipe.wire.diameter_mm if recipe else None, faults)
    recipe = sound(recipe, faults)
    result = modelled = shaping(recipe)
    if standing is not None:
        from dataclasses import replace

        modelled = shaping(recipe.variant(finish=replace(recipe.finish, standing_mm=standing)))
    from helix.output.surface.mesh import write_mesh

    try:
        lines = write_mesh(
            modelled, target, quality=options.quality or "normal", scale=scale,
            colour=options.colour or "verdict", force=options.force,
        )  # fmt: skip
    except ValueError as problem:
        raise ValidationError([ValidationIssue(str(target), str(problem))]) from problem
    return _done(result, options.units or recipe.units, [f"Model in {target}", *lines], options.strict)


def _done(result: ShapeResult, units: Any, lines: list[str], strict: bool) -> int:
    from helix.output.words.words import answer_line, verdict_line

    put("\n".join((answer_line(result, units), verdict_line(result), *lines)) + "\n")
    return exit_code(result, strict)


def _misplaced(options: argparse.Namespace, suffix: str) -> list[ValidationIssue | None]:
    """Options that say nothing about a file of this kind."""
    models = ", ".join(MODELS)
    allowed = {
        "--colour": (options.colour, (PICTURE, *MODELS), f"is for pictures ({PICTURE}) and models ({models})"),
        "--view": (options.view, (PICTURE,), f"is for pictures ({PICTURE})"),
        "--theme": (options.theme, (PICTURE,), f"is for pictures ({PICTURE})"),
        "--transparent": (options.transparent or None, (PICTURE,), f"is for pictures ({PICTURE})"),
        "--size": (options.size, (PICTURE, DRAWING), f"is for pictures and drawings ({PICTURE}, {DRAWING})"),
        "--quality": (options.quality, MODELS, f"is for models ({models})"),
        "--scale": (options.scale, MODELS, f"is for models ({models})"),
        "--standing": (options.standing, MODELS, f"is for models ({models})"),
    }
    known = suffix in (PICTURE, DRAWING, *MODELS)
    return [
        ValidationIssue(name, said)
        for name, (given, kinds, said) in allowed.items()
        if known and given is not None and suffix not in kinds
    ]


def no_pictures() -> str | None:
    """What keeps this machine from drawing pictures; None if nothing does."""
    from helix.output.picture.gl import rendering_problem

    return rendering_problem()


def add_draw(draw_parser: argparse.ArgumentParser) -> None:
    """Add the options of `helix draw` to its parser."""
    add = draw_parser.add_argument
    add("recipe", metavar="RECIPE", help="recipe file (TOML); helix new writes one")
    add("-o", "--output", metavar="FILE", required=True,
        help="file to write: .png picture, .svg drawing, .html page to turn it on, .stl, .glb or .ply model")  # fmt: skip
    add("--size", metavar="WxH", help="pixels of a picture (1600x900), mm of a drawing's page (320x180)")
    add("--colour", choices=COLOURS, help="what the wire of a picture or model is coloured by (default: verdict)")
    add("--view", choices=VIEWS, help="from where a picture shows the whole joint (default: side)")
    add("--theme", choices=("light", "dark"), help="a picture's paper (default: light)")
    add("--transparent", action="store_true", help="a picture without paper behind it")
    add("--quality", choices=QUALITIES, help="how fine a model's facets are (default: normal)")
    add("--scale", metavar="N", help="a model so many times true size, such as 10 for printing one to hold")
    add("--standing", metavar="LENGTH", help="standing leg to keep in a model (default: the recipe's)")
