"""What is looked at: `helix draw` (pictures, drawings, models), `compare`, `steps` and `view`."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from helix.commands_shared import exit_code, put, recipe_of, shaped, sound, tell
from helix.errors import Fault, InputFaults, quoted

if TYPE_CHECKING:
    from helix.model.recipe_parts import Recipe
    from helix.output.colouring import ColourBy
    from helix.studies.shape import ShapeResult

PICTURE, DRAWING, PAGE, MODELS = ".png", ".svg", ".html", (".stl", ".glb", ".ply")
COLOURS = ("verdict", "strain", "section", "plain")
VIEWS = ("side", "top", "eye", "three-quarter")
QUALITIES = ("draft", "normal", "fine")
MOVING = (".gif", ".webp")
MOST_SCALE = 1000.0
MOST_COMPARED = 8

Shaping = Callable[["Recipe"], "ShapeResult"]


def draw(options: argparse.Namespace, shaping: Shaping = shaped) -> int:
    """`helix draw`: a picture, a drawing, a model or a page, as the file's ending says."""
    from helix.output.files import target_fault

    target = Path(options.output)
    suffix = target.suffix.lower()
    if suffix == PAGE:
        from helix.commands_sheet import page_command

        return page_command(options)
    faults: list[Fault | None] = []
    recipe = recipe_of(options.recipe, faults)
    faults.append(target_fault(target, force=options.force, suffixes=(PICTURE, DRAWING, PAGE, *MODELS)))
    faults += _misplaced(options, suffix)
    if suffix in MODELS:
        return _draw_model(options, recipe, faults, target, shaping)
    picture = suffix != DRAWING
    size = None if options.size is None else size_of(options.size, picture, faults)
    recipe = sound(recipe, faults)
    if picture:
        problem = _no_pictures()
        if problem:
            picture, size, target = False, None, target.with_suffix(DRAWING)
            tell(f"{problem}. Writing the drawing {target} in its place")
            recipe = sound(recipe, [target_fault(target, force=options.force)])
    result = shaping(recipe)
    units = options.units or recipe.units
    if picture:
        from helix.output.picture import SIZE_PX, Look, write_picture
        from helix.output.plate import THEMES

        tell("drawing, this takes a few seconds ...")
        look = Look(options.colour or "verdict", options.view or "side", THEMES[options.theme or "light"],
                    options.transparent)  # fmt: skip
        write_picture(result, target, units, size_px=size or SIZE_PX, look=look, force=options.force)
    else:
        from helix.output.drawing import PAGE_MM, write_drawing

        write_drawing(result, target, units, page_mm=size or PAGE_MM, force=options.force)
    return _done(result, units, [f"Drawn in {target}"], options.strict)


def compare_command(options: argparse.Namespace) -> int:
    """`helix compare`: joints one below the other, what makes each differ from the first in words."""
    from helix.output.files import target_fault

    faults: list[Fault | None] = []
    recipes = [recipe_of(name, faults) for name in options.recipes]
    target = Path(options.output)
    faults.append(target_fault(target, force=options.force, suffixes=(PICTURE, DRAWING, PAGE)))
    if not 2 <= len(recipes) <= MOST_COMPARED:
        faults.append(
            Fault("RECIPE", f"must be 2 to {MOST_COMPARED} recipes, the good one first; got {len(recipes)}")
        )
    width = _width(options.width, faults)
    sound_recipes = [sound(recipe, faults) for recipe in recipes]
    drawn = target.suffix.lower() == DRAWING
    problem = None if drawn else _no_pictures()
    if problem and target.suffix.lower() == PICTURE:
        target = target.with_suffix(DRAWING)
        tell(f"{problem}. Writing the drawing {target} in its place")
        sound(sound_recipes[0], [target_fault(target, force=options.force)])
    from helix.output.compare import compare_html, compare_plate, compare_png
    from helix.output.compare_words import difference_lines
    from helix.output.files import write_whole
    from helix.output.plate import THEMES
    from helix.output.plate_svg import plate_svg
    from helix.output.words import title_of
    from helix.studies.comparing import compare

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
    faults: list[Fault | None] = []
    recipe = recipe_of(options.recipe, faults)
    target = Path(options.output)
    kind = target.suffix.lower()
    if kind in MOVING or kind == PAGE:
        from helix.output.files import target_fault

        faults.append(target_fault(target, force=options.force))
    elif kind in (PICTURE, DRAWING, *MODELS, ".jpg", ".jpeg", ".mp4", ".avi", ".pdf"):
        faults.append(
            Fault(str(target), f"must end in {', '.join(MOVING)} or {PAGE}, or be a folder to make")
        )
    else:
        from helix.output.steps_folder import folder_fault

        faults.append(folder_fault(target, force=options.force))
    size = None if options.size is None else size_of(options.size, True, faults)
    recipe = sound(recipe, faults)
    problem = _no_pictures()
    if problem and kind in MOVING:
        raise InputFaults(
            [Fault(str(target), f"cannot be made: {problem}; a folder or {PAGE} can, as drawings")]
        )
    from helix.output.step_plates import bench_of
    from helix.studies.steps import forming_steps

    result = shaped(recipe)
    units = options.units or recipe.units
    steps, bench = forming_steps(result), bench_of(result, units)
    if problem:
        tell(f"{problem}. Making drawings in place of pictures")
    if kind in MOVING:
        from helix.output.animation import SIZE_PX, moving_bytes
        from helix.output.files import write_whole

        content = moving_bytes(bench, steps, kind[1:], size or SIZE_PX, _progress("frame"))
        write_whole(target, content, force=options.force)
    elif kind == PAGE:
        from helix.output.files import write_whole
        from helix.output.steps_folder import page_text

        page = page_text(bench, steps, size, vector=problem is not None, tell=_progress("step"))
        write_whole(target, page, force=options.force)
    else:
        from helix.output.steps_folder import write_folder

        vector = problem is not None
        write_folder(bench, steps, target, size, vector=vector, force=options.force, tell=_progress("step"))
    lines = [f"{step.number:2d}  {step.title}. {step.sentence}" for step in steps]
    put("\n".join((*lines, "", *_mark_lines(bench), "", f"Steps in {target}")) + "\n")
    return exit_code(result, options.strict)


def view_command(options: argparse.Namespace) -> int:
    """`helix view`: the joint in a window of its own, to turn with the mouse."""
    faults: list[Fault | None] = []
    recipe = sound(recipe_of(options.recipe, faults), faults)
    from helix.output.window import show, window_problem

    problem = window_problem()
    if problem:
        raise InputFaults([Fault("view", problem)])
    result = shaped(recipe)
    show(result, options.colour or "verdict")
    return exit_code(result, options.strict)


def _mark_lines(bench: Any) -> list[str]:
    """The ink marks as a table for people."""
    from helix.output.table import columns
    from helix.output.words import fixed_length

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
    faults: list[Fault] = []
    for recipe in recipes:
        try:
            results.append(shaped(recipe))
        except InputFaults as found:
            faults += found.faults
    if faults:
        raise InputFaults(faults)
    return results


def _width(text: str | None, faults: list[Fault | None]) -> int:
    from helix.output.compare import WIDTH_PX

    if text is None:
        return WIDTH_PX
    if text.isascii() and text.isdigit() and len(text) < 6 and 800 <= int(text) <= 4096:
        return int(text)
    faults.append(Fault("--width", f"must be pixels, from 800 to 4096; got {quoted(text)}"))
    return WIDTH_PX


def size_of(text: str, picture: bool, faults: list[Fault | None]) -> tuple[int, int] | None:
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
    faults.append(Fault("--size", f"{message}; got {quoted(text)}"))
    return None


def _draw_model(
    options: argparse.Namespace,
    recipe: Recipe | None,
    faults: list[Fault | None],
    target: Path,
    shaping: Shaping,
) -> int:
    scale = _scale(options.scale, faults)
    standing = _standing(options.standing, recipe, faults)
    recipe = sound(recipe, faults)
    result = modelled = shaping(recipe)
    if standing is not None:
        from dataclasses import replace

        modelled = shaping(replace(recipe, finish=replace(recipe.finish, standing_mm=standing)))
    from helix.output.mesh import write_mesh

    try:
        lines = write_mesh(
            modelled, target, quality=options.quality or "normal", scale=scale,
            colour=options.colour or "verdict", force=options.force,
        )  # fmt: skip
    except ValueError as problem:
        raise InputFaults([Fault(str(target), str(problem))]) from problem
    return _done(result, options.units or recipe.units, [f"Model in {target}", *lines], options.strict)


def _done(result: ShapeResult, units: Any, lines: list[str], strict: bool) -> int:
    from helix.output.words import answer_line, verdict_line

    put("\n".join((answer_line(result, units), verdict_line(result), *lines)) + "\n")
    return exit_code(result, strict)


def _misplaced(options: argparse.Namespace, suffix: str) -> list[Fault | None]:
    """Options that say nothing about a file of this kind."""
    models = ", ".join(MODELS)
    allowed = {
        "--colour": (
            options.colour,
            (PICTURE, *MODELS),
            f"is for pictures ({PICTURE}) and models ({models})",
        ),
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
        Fault(name, said)
        for name, (given, kinds, said) in allowed.items()
        if known and given is not None and suffix not in kinds
    ]


def _scale(text: str | None, faults: list[Fault | None]) -> float:
    if text is None:
        return 1.0
    try:
        scale = float(text)
    except ValueError:
        scale = float("nan")
    if not 0.001 <= scale <= MOST_SCALE:
        faults.append(Fault("--scale", f"must be a number from 0.001 to {MOST_SCALE:g}; got {quoted(text)}"))
        return 1.0
    return scale


def _standing(text: str | None, recipe: Recipe | None, faults: list[Fault | None]) -> float | None:
    from helix.units import parse

    if text is None:
        return None
    try:
        length = parse(text, "length", recipe.wire.diameter_mm if recipe else None)
    except ValueError as error:
        faults.append(Fault("--standing", str(error)))
        return None
    if not 0.0 < length <= 1e6:
        faults.append(Fault("--standing", f"must be above 0; got {quoted(text)}"))
    return length


def _no_pictures() -> str | None:
    from helix.output.gl import rendering_problem

    return rendering_problem()


def add_draw(draw_parser: argparse.ArgumentParser) -> None:
    """Add the options of `helix draw` to its parser."""
    add = draw_parser.add_argument
    add("recipe", metavar="RECIPE", help="recipe file (TOML); helix new writes one")
    add("-o", "--output", metavar="FILE", required=True,
        help="file to write: .png picture, .svg drawing, .html page to turn it on, .stl, .glb or .ply model")  # fmt: skip
    add("--size", metavar="WxH", help="pixels of a picture (1600x900), mm of a drawing's page (320x180)")
    add(
        "--colour",
        choices=COLOURS,
        help="what the wire of a picture or model is coloured by (default: verdict)",
    )
    add("--view", choices=VIEWS, help="from where a picture shows the whole joint (default: side)")
    add("--theme", choices=("light", "dark"), help="a picture's paper (default: light)")
    add("--transparent", action="store_true", help="a picture without paper behind it")
    add("--quality", choices=QUALITIES, help="how fine a model's facets are (default: normal)")
    add("--scale", metavar="N", help="a model so many times true size, such as 10 for printing one to hold")
    add("--standing", metavar="LENGTH", help="standing leg to keep in a model (default: the recipe's)")


def add_teaching(command: Any, units: Any, force: Any, strict: Any) -> None:
    """Add `compare`, `steps` and `view` to the command line; the arguments are the helpers of helix.commands."""
    compare = command(
        "compare", compare_command, "Joints one below the other: good beside bad, and what differs."
    )
    compare.add_argument("recipes", metavar="RECIPE", nargs="+", help="recipe files, the good one first")
    compare.add_argument("-o", "--output", metavar="FILE", required=True,
                         help="file to write: .png, .svg, or .html with every number")  # fmt: skip
    compare.add_argument("--colour", choices=COLOURS, help="what the wire is coloured by (default: verdict)")
    compare.add_argument("--theme", choices=("light", "dark"), help="the paper (default: light)")
    compare.add_argument("--width", metavar="PIXELS", help="width of the picture (default: 1600)")
    units(compare)
    strict(compare)
    force(compare)

    steps = command(
        "steps", steps_command, "How hands make the joint, step by step, with marks to ink on the wire."
    )
    steps.add_argument("recipe", metavar="RECIPE", help="recipe file (TOML); helix new writes one")
    steps.add_argument("-o", "--output", metavar="DIR|FILE", required=True,
                       help="folder for a picture a step and a sheet of all, or file: .gif, .webp or .html")  # fmt: skip
    steps.add_argument(
        "--size", metavar="WxH", help="pixels of each picture (1280x800; an animation 900x600)"
    )
    units(steps)
    strict(steps)
    force(steps)

    view = command("view", view_command, "The joint in a window, to turn with the mouse; needs a display.")
    view.add_argument("recipe", metavar="RECIPE", help="recipe file (TOML); helix new writes one")
    view.add_argument("--colour", choices=COLOURS, help="what the wire is coloured by (default: verdict)")
    strict(view)
