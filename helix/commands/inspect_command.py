"""The commands inspect and spread: looking at what was made, and at what small errors do."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path

from helix.commands.shared import DONE, FLAGGED, UNUSABLE, complain, put, recipe_of, sound, tell
from helix.errors import ValidationError, ValidationIssue
from helix.model.measured.readings import COUNTS, LENGTHS

Command = Callable[[str, object, str], argparse.ArgumentParser]
Options = Callable[[argparse.ArgumentParser], None]


def add_inspect(command: Command, units: Options, force: Options, strict: Options) -> None:
    """Add the command inspect to the parser."""
    look = command("inspect", inspect_command, "What was made, from caliper readings, and whether it is good.")
    look.add_argument("recipe", metavar="RECIPE", help="the recipe that was to be made (TOML)")
    look.add_argument("--turns", metavar="N", help="even turns of the twist, 360 deg each")
    look.add_argument("--crossings", metavar="N", help="crossings counted in place of turns, half a turn each")
    look.add_argument("--wraps", metavar="N", help="wraps of the barrel")
    for name, what in LENGTHS.items():
        look.add_argument(f"--{name.replace('_', '-')}", metavar="LENGTH", help=f'{what}: "11.6 mm +- 0.1 mm"')
    look.add_argument(
        "--caliper", metavar="LENGTH", help='standard deviation of readings across the joint (default: "0.02 mm")'
    )
    look.add_argument("-o", "--output", metavar="FILE.toml", help="write the recipe as it was made")
    units(look)
    look.add_argument("--json", action="store_true", help="print JSON, always in mm and deg")
    strict(look)
    force(look)


def add_spread(command: Command, units: Options) -> None:
    """Add the command spread to the parser."""
    scatter = command("spread", spread_command, "What small errors do to cut length, finished length and verdicts.")
    scatter.add_argument("recipe", metavar="RECIPE", help="recipe file (TOML)")
    scatter.add_argument("--angle", metavar="ANGLE", help='plus or minus of angles (default: "1 deg")')
    scatter.add_argument("--length", metavar="LENGTH", help='plus or minus of lengths (default: "0.1 mm")')
    scatter.add_argument("--turn", metavar="N", help="plus or minus of turns, swing and wraps (default: 0.25)")
    scatter.add_argument("--own", action="store_true", help="take the recipe's own tolerances where it has them")
    scatter.add_argument("--draws", metavar="N", help="random trials (default: 10000)")
    scatter.add_argument("--seed", metavar="N", help="where the random numbers start (default: 0)")
    units(scatter)
    scatter.add_argument("--json", action="store_true", help="print JSON, always in mm and deg")


def inspect_command(options: argparse.Namespace) -> int:
    """`helix inspect`: what was made, beside what was to be made; the recipe as made when asked for."""
    from helix.model.measured.readings import read_readings
    from helix.output.files import target_fault, write_whole
    from helix.output.inspect.inspect_table import inspection_text, inspection_to_dict, remarks
    from helix.output.report.record import to_json
    from helix.studies.inspect.inspection import inspect

    faults: list[ValidationIssue | None] = []
    recipe = recipe_of(options.recipe, faults)
    if options.output is not None:
        faults.append(target_fault(Path(options.output), force=options.force, suffixes=(".toml",)))
    readings = None
    if recipe is not None:
        texts = {name: getattr(options, name) for name in (*COUNTS, *LENGTHS)}
        try:
            readings = read_readings(texts, recipe, options.caliper)
        except ValidationError as found:
            faults.extend(found.faults)
    recipe = sound(recipe, faults)

    result = inspect(recipe, readings or {})
    if options.json:
        put(to_json(inspection_to_dict(result)))
    if result.made is None:
        for doubt in result.doubts:
            if doubt.impossible:
                complain(str(ValidationIssue(doubt.option, doubt.text)))
        return UNUSABLE
    if options.output is not None:
        from helix.model.recipe.recipe_writing import recipe_file_text

        write_whole(Path(options.output), recipe_file_text(result.made, remarks(result)), force=options.force)
        tell(f"recipe as made written to {options.output}")
    if not options.json:
        put(inspection_text(result, options.units or recipe.units))
    return FLAGGED if options.strict and result.verdict == "remake" else DONE


def spread_command(options: argparse.Namespace) -> int:
    """`helix spread`: what small errors do, by first derivatives and by random trials, side by side."""
    from helix.output.inspect.spread_table import spread_text, spread_to_dict
    from helix.output.report.record import to_json
    from helix.studies.inspect.spread import DRAWS, SEED, spread
    from helix.studies.inspect.spread_options import steps_asked
    from helix.studies.option_values import whole_number

    faults: list[ValidationIssue | None] = []
    recipe = recipe_of(options.recipe, faults)
    d_mm = recipe.wire.diameter_mm if recipe is not None else 1.0
    steps = steps_asked(d_mm, faults, angle=options.angle, length=options.length, turn=options.turn, own=options.own)
    draws = whole_number("--draws", options.draws, DRAWS, 100, 1_000_000, faults)
    seed = whole_number("--seed", options.seed, SEED, 0, 2**32 - 1, faults)
    recipe = sound(recipe, faults)

    result = spread(recipe, steps, draws=draws, seed=seed, tell=tell)
    if options.json:
        put(to_json(spread_to_dict(result)))
    else:
        put(spread_text(result, options.units or recipe.units))
    return DONE
