"""The command line: shape, sizes, draw and new. What is heavy is imported where it is needed.

Exit codes: 0 done; 1 done, but something is sharp or overlaps (with --strict only), or a search came to no
rest, which is said in a line; 2 the input cannot be used, or nothing could be written; 130 stopped from the keyboard.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from helix.commands.shared import DONE, NO_ANSWER, STOPPED, UNUSABLE
from helix.commands.shared import complain as _complain
from helix.commands.shared import exit_code as _exit_code
from helix.commands.shared import put as _print
from helix.commands.shared import recipe_of as _recipe
from helix.commands.shared import shaped as _shape
from helix.commands.shared import sound as _sound
from helix.commands.shared import tell as _tell
from helix.errors import ConvergenceError, HelixError, ValidationError, ValidationIssue, one_line, quoted

if TYPE_CHECKING:
    from helix.studies.shape.shape import ShapeResult

DEFAULT_STEP_D = 0.02
MOST_ROWS = 5_000_000


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command with these words (default: those of the process) and return its exit code.

    Nothing is raised: every fault is one line on standard error.
    """
    try:
        try:
            options = _parser().parse_args(argv)
        except SystemExit as end:  # --help, or a fault that the parser has already told
            code = end.code if isinstance(end.code, int) else UNUSABLE
        else:
            code = int(options.run(options))
        sys.stdout.flush()  # here, where a pipe that was closed early is no fault
        return code
    except ValidationError as faults:
        for fault in faults.faults:
            _complain(str(fault))
        return UNUSABLE
    except BrokenPipeError:
        _close_pipe()  # whoever read the output has seen enough
        return DONE
    except KeyboardInterrupt:
        _complain("stopped; no file was left half written")
        return STOPPED
    except ConvergenceError as error:
        _complain(one_line(str(error)))
        return NO_ANSWER
    except HelixError as error:
        _complain(str(error))
        return UNUSABLE
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        _complain(f"{where}{(error.strerror or str(error) or type(error).__name__).lower()}")
        return UNUSABLE
    except MemoryError:
        _complain("this needs more memory than there is; take a longer --step or a smaller --size")
        return UNUSABLE
    except Exception as error:
        if os.environ.get("HELIX_DEBUG"):
            raise
        what = f"{type(error).__name__}: {error}" if str(error) else type(error).__name__
        _complain(f"a fault of helix itself, please report it: {what}; HELIX_DEBUG=1 shows where")
        return UNUSABLE


def shape_command(options: argparse.Namespace) -> int:
    """`helix shape`: the answer and the tables, or JSON; the centre line as CSV when asked for."""
    from helix.output.files import target_fault

    faults: list[ValidationIssue | None] = []
    recipe = _recipe(options.recipe, faults)
    target = None if options.points is None else Path(options.points)
    if target is not None:
        faults.append(target_fault(target, force=options.force, suffixes=(".csv",)))
    elif options.step is not None:
        faults.append(ValidationIssue("--step", "needs --points FILE.csv, the file to write"))
    step_d = DEFAULT_STEP_D
    if recipe is not None and target is not None and options.step is not None:
        step_d = _step_d(options.step, recipe.wire.diameter_mm, faults)
    recipe = _sound(recipe, faults)

    result = _shape(recipe)
    if target is not None:
        _write_points(result, step_d, target, options.force)
    if options.json:
        from helix.output.report.record import result_to_dict, to_json

        _print(to_json(result_to_dict(result)))
    else:
        from helix.output.shape.shape_table import shape_text

        _print(shape_text(result, options.units or recipe.units, colour=_colour(), every=options.all))
    return _exit_code(result, options.strict)


def sizes_command(options: argparse.Namespace) -> int:
    """`helix sizes`: wire sizes, strength by material, breaking load."""
    from helix import __version__
    from helix.output.report.record import to_json
    from helix.output.shape.size_table import chosen, sizes_dict, sizes_text

    sizes, found = chosen(options.family, options.material)
    if options.json:
        _print(to_json(sizes_dict(sizes, found, __version__)))
    else:
        _print(sizes_text(sizes, found, options.units or "metric"))
    return DONE


def draw_command(options: argparse.Namespace) -> int:
    """`helix draw`: a picture, a drawing, a model or a page; see helix.commands.draw_command."""
    from helix.commands.draw_command import draw

    return draw(options, _shape)


def new_command(options: argparse.Namespace) -> int:
    """`helix new`: write a commented recipe to start from."""
    from helix.model.recipe.recipe_writing import recipe_template
    from helix.output.files import write_whole

    write_whole(Path(options.file), recipe_template(options.units or "metric"), force=options.force)
    _print(f"Recipe written to {options.file}. Change what you need, then: helix shape {options.file}\n")
    return DONE


def _step_d(text: str, d_mm: float, faults: list[ValidationIssue | None]) -> float:
    """Distance of the points in wire diameters."""
    from helix.units import parse

    try:
        step = parse(text, "length", d_mm) / d_mm
    except ValueError as error:
        faults.append(ValidationIssue("--step", str(error)))
        return DEFAULT_STEP_D
    if not 0.0 < step <= 1.0:
        faults.append(ValidationIssue("--step", f'must be above 0 and at most "1 d"; got {quoted(text)}'))
    return step


def _write_points(result: ShapeResult, step_d: float, target: Path, force: bool) -> None:
    from helix.output.report.record import write_points

    length_d = sum(row.wire_mm for row in result.sections) / result.recipe.wire.diameter_mm
    if length_d / step_d > MOST_ROWS:
        least = length_d / MOST_ROWS
        raise ValidationError(
            [ValidationIssue("--step", f'must be at least "{least:.2g} d" for this joint, {MOST_ROWS:,} points')]
        )
    line = result.joint.sample(step_d)
    write_points(line, target, tuple(result.joint.section_names), force=force)
    _tell(f"{len(line.s_mm):,} points written to {target}")


class _Parser(argparse.ArgumentParser):
    """A parser that tells a fault in one line, as every other fault is told."""

    def error(self, message: str) -> NoReturn:
        _complain(f"{message}; {self.prog} --help shows what there is")
        raise SystemExit(UNUSABLE)


def _parser() -> argparse.ArgumentParser:
    from helix import __version__

    parser = _Parser(
        prog="helix",
        description="Shape, wire length and bends of a twisted wire joint: an eye in solid spring-hard wire.",
        epilog="Estimates, not proofs. Not for lifting, fall arrest or loads over people.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"helix {__version__}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)

    def command(name: str, run: object, text: str) -> argparse.ArgumentParser:
        made = commands.add_parser(name, help=text, description=text, allow_abbrev=False)
        made.set_defaults(run=run)
        return made

    def units(to: argparse.ArgumentParser) -> None:
        to.add_argument(
            "--units", choices=("metric", "inch"), help="what to show sizes in (default: as the recipe says)"
        )

    def force(to: argparse.ArgumentParser) -> None:
        to.add_argument("--force", action="store_true", help="replace a file that exists")

    def strict(to: argparse.ArgumentParser) -> None:
        to.add_argument("--strict", action="store_true", help="exit code 1 when something is sharp or overlaps")

    shape = command("shape", shape_command, "How much wire to cut, how the bends are, and every size of the joint.")
    shape.add_argument("recipe", metavar="RECIPE", help="recipe file (TOML); helix new writes one")
    units(shape)
    shape.add_argument(
        "--all", action="store_true", help="also contact lengths, the exit's shape, and what the interval is made of"
    )
    shape.add_argument("--json", action="store_true", help="print JSON, always in mm, N and deg")
    shape.add_argument("--points", metavar="FILE.csv", help="also write the centre line, one point a row")
    shape.add_argument("--step", metavar="LENGTH", help='distance of the points (default: "0.02 d")')
    strict(shape)
    force(shape)

    sizes = command("sizes", sizes_command, "Wire sizes with tensile strength and breaking load by material.")
    sizes.add_argument("--family", metavar="NAME", help="gauge family, MWG or AWG (default: both)")
    sizes.add_argument("--material", metavar="NAME", help='one material, such as "302 stainless" (default: all)')
    sizes.add_argument("--units", choices=("metric", "inch"), help="what to show sizes in (default: metric)")
    sizes.add_argument("--json", action="store_true", help="print JSON, always in mm, MPa and N")

    draw = command(
        "draw",
        draw_command,
        "The joint as a picture (PNG), a drawing true to scale (SVG), a page to turn it on (HTML) or a model "
        "(STL, GLB, PLY).",
    )
    from helix.commands.draw_command import add_draw
    from helix.commands.teach_command import add_teaching

    add_draw(draw)
    units(draw)
    strict(draw)
    force(draw)

    add_teaching(command, units, force, strict)

    from helix.commands.sheet_command import add_sheet

    add_sheet(commands)

    new = command("new", new_command, "Write a recipe to start from, every key explained.")
    new.add_argument("file", metavar="FILE", help="file to write, such as joint.toml")
    new.add_argument("--units", choices=("metric", "inch"), help="what the recipe is in (default: metric)")
    force(new)

    from helix.commands.pulls_command import add_pulls

    add_pulls(commands, _print, _complain)

    from helix.commands.batch_command import add_plan_commands

    add_plan_commands(command, units, force, strict)

    from helix.commands.hold_command import add_hold_commands

    add_hold_commands(commands)

    from helix.commands.page_command import add_page

    add_page(command)
    return parser


def _colour() -> bool:
    """Colour on a terminal only, and not where it is not wanted (NO_COLOR, TERM=dumb)."""
    try:
        terminal = sys.stdout.isatty()
    except (AttributeError, ValueError):
        return False
    return terminal and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def _close_pipe() -> None:
    """Point standard output at nothing, so that the interpreter does not complain while it ends."""
    with contextlib.suppress(OSError, ValueError, AttributeError):
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, sys.stdout.fileno())
        os.close(nothing)
