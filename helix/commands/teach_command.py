"""What teaches: `helix compare`, `helix steps` and `helix view`."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from helix.commands.draw_command import COLOURS, DRAWING, MODELS, PAGE, PICTURE, no_pictures, size_of
from helix.commands.shared import exit_code, put, recipe_of, shaped, sound, tell
from helix.errors import ValidationError, ValidationIssue, quoted

if TYPE_CHECKING:
    from helix.model.recipe.recipe_parts import Recipe
    from helix.output.shape.colouring import ColourBy
    from helix.studies.shape.shape import ShapeResult

MOVING = (".gif", ".webp")
MOST_COMPARED = 8


def compare_command(options: argparse.Namespace) -> int:
    """`helix compare`: joints one below the other, what makes each differ from the first in words."""
    from helix.output.files import target_fault

    faults: list[ValidationIssue | None] = []
    recipes = [recipe_of(name, faults) for name in options.recipes]
    target = Path(options.output)
    faults.append(target_fault(target, force=options.force, suffixes=(PICTURE, DRAWING, PAGE)))
    if not 2 <= len(recipes) <= MOST_COMPARED:
        faults.append(
            ValidationIssue("RECIPE", f"must be 2 to {MOST_COMPARED} recipes, the good one first; got {len(recipes)}")
        )
    width = _width(options.width, faults)
    sound_recipes = [sound(recipe, faults) for recipe in recipes]
    drawn = target.suffix.lower() == DRAWING
    problem = None if drawn else no_pictures()
    if problem and target.suffix.lower() == PICTURE:
        target = target.with_suffix(DRAWING)
        tell(f"{problem}. Writing the drawing {target} in its place")
        sound(sound_recipes[0], [target_fault(target, force=options.force)])
    from helix.output.canvas.canvas import THEMES
    from helix.output.canvas.canvas_svg import plate_svg
    from helix.output.files import write_whole
    from helix.output.teaching.compare_picture import compare_html, compare_plate, compare_png
    from helix.output.words.compare_words import difference_lines
    from helix.output.words.words import title_of
    from helix.studies.teaching.compare_joints import compare

    found = compare(shaped_all(sound_recipes))
    units = options.units or found.results[0].recipe.units
    theme = THEMES[options.theme or "light"]
    vector = drawn or problem is not None  # there the wire is plain metal
    colour: ColourBy = "plain" if vector else options.colour or "verdict"
    plate = compare_plate(found, units, width, colour=colour, theme=theme)
    picture = plate_svg(plate, theme).encode() if vector else compare_png(plate, theme)
    content: str | bytes = picture
    if target.suffix.lower() == PAGE:
        content = compare_html(found, picture, "svg+xml" if vector else "png", units)
    write_whole(target, content, force=options.force)
    lines = []
    for k in range(1, len(found.results)):
        lines.append(f"{title_of(found.results[k])}, against {title_of(found.results[0])}:")
        lines += [f"  {line}" for line in difference_lines(found, k, units)]
    put("\n".join((*lines, f"Drawn in {target}")) + "\n")
    return max(exit_code(result, options.strict) for result in found.results)


def steps_command(options: argparse.Namespace) -> int:
    """`helix steps`: how hands make the joint, as a folder of pictures, an animation or a page."""
    faults: list[ValidationIssue | None] = []
    recipe = recipe_of(options.recipe, faults)
    target = Path(options.output)
    kind = target.suffix.lower()
    if kind in MOVING or kind == PAGE:
        from helix.output.files import target_fault

        faults.append(target_fault(target, force=options.force))
    elif kind in (PICTURE, DRAWING, *MODELS, ".jpg", ".jpeg", ".mp4", ".avi", ".pdf"):
        faults.append(
            ValidationIssue(str(target), f"must end in {', '.join(MOVING)} or {PAGE}, or be a folder to make")
        )
    else:
        from helix.output.teaching.steps_folder import folder_fault

        faults.append(folder_fault(target, force=options.force))
    size = None if options.size is None else size_of(options.size, True, faults)
    recipe = sound(recipe, faults)
    problem = no_pictures()
    if problem and kind in MOVING:
        raise ValidationError(
            [ValidationIssue(str(target), f"cannot be made: {problem}; a folder or {PAGE} can, as drawings")]
        )
    from helix.output.teaching.step_pictures import bench_of
    from helix.studies.teaching.steps import forming_steps

    result = shaped(recipe)
    units = options.units or recipe.units
    steps, bench = forming_steps(result), bench_of(result, units)
    if problem:
        tell(f"{problem}. Making drawings in place of pictures")
    if kind in MOVING:
        from helix.output.files import write_whole
        from helix.output.teaching.animation import SIZE_PX, moving_bytes

        content = moving_bytes(bench, steps, kind[1:], size or SIZE_PX, _progress("frame"))
        write_whole(target, content, force=options.force)
    elif kind == PAGE:
        from helix.output.files import write_whole
        from helix.output.teaching.steps_folder import page_text

        page = page_text(bench, steps, size, vector=problem is not None, tell=_progress("step"))
        write_whole(target, page, force=options.force)
    else:
        from helix.output.teaching.steps_folder import write_folder

        vector = problem is not None
        write_folder(bench, steps, target, size, vector=vector, force=options.force, tell=_progress("step"))
    lines = [f"{step.number:2d}  {step.title}. {step.sentence}" for step in steps]
    put("\n".join((*lines, "", *_mark_lines(bench), "", f"Steps in {target}")) + "\n")
    return exit_code(result, options.strict)


def view_command(options: argparse.Namespace) -> int:
    """`helix view`: the joint in a window of its own, to turn with the mouse."""
    faults: list[ValidationIssue | None] = []
    recipe = sound(recipe_of(options.recipe, faults), faults)
    from helix.output.picture.window import show, window_problem

    problem = window_problem()
    if problem:
        raise ValidationError([ValidationIssue("view", problem)])
    result = shaped(recipe)
    show(result, options.colour or "verdict")
    return exit_code(result, options.strict)


def _mark_lines(bench: Any) -> list[str]:
    """The ink marks as a table for people."""
    from helix.output.shape.shape_table import columns
    from helix.output.words.words import fixed_length

    decimals, unit = (2, "in") if bench.units == "inch" else (1, "mm")
    rows = [["ink", f"{unit} from the tag's end", f"{unit} from the standing end", ""]]
    for mark in bench.marks:
        ends = (mark.from_tag_end_mm, mark.from_standing_end_mm)
        rows.append([mark.letter, *(fixed_length(mm, bench.units, decimals) for mm in ends), mark.what])
    return columns(rows, indent="", left=(0, 3)).splitlines()


def _progress(what: str) -> Callable[[int, int], None]:
    """Says every few seconds how far it is."""
    import time

    said = time.monotonic()

    def told(done: int, of: int) -> None:
        nonlocal said
        if time.monotonic() - said > 2.0 and done < of:
            said = time.monotonic()
            tell(f"{what} {done} of {of} ...")

    return told


def shaped_all(recipes: list[Recipe]) -> list[ShapeResult]:
    """The shapes of several recipes; every fault of every one at once."""
    results: list[ShapeResult] = []
    faults: list[ValidationIssue] = []
    for recipe in recipes:
        try:
            results.append(shaped(recipe))
        except ValidationError as found:
            faults += found.faults
    if faults:
        raise ValidationError(faults)
    return results


def _width(text: str | None, faults: list[ValidationIssue | None]) -> int:
    from helix.output.teaching.compare_picture import WIDTH_PX

    if text is None:
        return WIDTH_PX
    if text.isascii() and text.isdigit() and len(text) < 6 and 800 <= int(text) <= 4096:
        return int(text)
    faults.append(ValidationIssue("--width", f"must be pixels, from 800 to 4096; got {quoted(text)}"))
    return WIDTH_PX


def add_teaching(command: Any, units: Any, force: Any, strict: Any) -> None:
    """Add `compare`, `steps` and `view` to the command line; the arguments are the helpers of helix.commands.main."""
    compare = command("compare", compare_command, "Joints one below the other: good beside bad, and what differs.")
    compare.add_argument("recipes", metavar="RECIPE", nargs="+", help="recipe files, the good one first")
    compare.add_argument("-o", "--output", metavar="FILE", required=True,
                         help="file to write: .png, .svg, or .html with every number")  # fmt: skip
    compare.add_argument("--colour", choices=COLOURS, help="what the wire is coloured by (default: verdict)")
    compare.add_argument("--theme", choices=("light", "dark"), help="the paper (default: light)")
    compare.add_argument("--width", metavar="PIXELS", help="width of the picture (default: 1600)")
    units(compare)
    strict(compare)
    force(compare)

    steps = command("steps", steps_command, "How hands make the joint, step by step, with marks to ink on the wire.")
    steps.add_argument("recipe", metavar="RECIPE", help="recipe file (TOML); helix new writes one")
    steps.add_argument("-o", "--output", metavar="DIR|FILE", required=True,
                       help="folder for a picture a step and a sheet of all, or file: .gif, .webp or .html")  # fmt: skip
    steps.add_argument("--size", metavar="WxH", help="pixels of each picture (1280x800; an animation 900x600)")
    units(steps)
    strict(steps)
    force(steps)

    view = command("view", view_command, "The joint in a window, to turn with the mouse; needs a display.")
    view.add_argument("recipe", metavar="RECIPE", help="recipe file (TOML); helix new writes one")
    view.add_argument("--colour", choices=COLOURS, help="what the wire is coloured by (default: verdict)")
    strict(view)
