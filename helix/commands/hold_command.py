"""The commands hold, why, form and stretch. What is heavy is imported where it is needed."""

from __future__ import annotations

import argparse
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from helix.commands.shared import DONE, FLAGGED, put, recipe_of, sound, tell
from helix.errors import ValidationError, ValidationIssue

if TYPE_CHECKING:
    from helix.model.recipe.recipe_parts import Recipe
    from helix.output.report.document import Chart, Document
    from helix.studies.hold.friction_fit import CalibrationFit
    from helix.studies.hold.outcome import Setting

CHART_SUFFIXES = (".png", ".svg", ".pdf")


class Parsers(Protocol):
    """What argparse gives for adding commands."""

    def add_parser(self, name: str, **options: Any) -> argparse.ArgumentParser:
        """Add a command."""
        ...


def add_hold_commands(commands: Parsers) -> None:
    """Add hold, why, form and stretch to the parser's commands."""

    def command(name: str, run: object, text: str) -> argparse.ArgumentParser:
        made = commands.add_parser(name, help=text, description=text, allow_abbrev=False)
        made.add_argument("recipe", metavar="RECIPE", help="recipe file (TOML); helix new writes one")
        units = "what to show loads and sizes in (default: as the recipe says)"
        made.add_argument("--units", choices=("metric", "inch"), help=units)
        made.add_argument("--json", action="store_true", help="print JSON, always in mm, N, MPa and deg")
        made.add_argument("--force", action="store_true", help="replace a file that exists")
        made.set_defaults(run=run)
        return made

    hold = command(
        "hold", hold_command, "Will it hold: locks, marginal or unwinds, at what load, and why one thinks so."
    )
    hold.add_argument(
        "--table", action="store_true", help="turns (0 to 10) against wraps (0 to 10), and what moves the answer"
    )
    hold.add_argument("--chart", metavar="FILE", help="also write the charts, .png, .svg or .pdf")
    _estimate(hold)
    hold.add_argument("--strict", action="store_true", help="exit code 1 unless the joint locks")

    why = command("why", why_command, "Why it holds what it holds: the load path, the weakest place, what to change.")
    why.add_argument(
        "-o", "--output", metavar="FILE.html", help="write the page with pictures, one file that needs no network"
    )
    _estimate(why)

    form = command(
        "form", form_command, "What the hands must apply: torques, cranks, where to hold, springback, grips."
    )
    form.add_argument("--hand-force", metavar="FORCE", help='what a hand gives comfortably (default: "50 N", assumed)')

    stretch = command("stretch", stretch_command, "How much the joint lengthens under load.")
    stretch.add_argument("--load", metavar="FORCE", help="the load (default: the rated load)")


def _estimate(to: argparse.ArgumentParser) -> None:
    """Options of every estimate."""
    to.add_argument("--calibrate", metavar="TESTS.csv", help="fit the friction numbers to your own pull tests first")
    to.add_argument(
        "--friction",
        metavar="NUMBERS",
        help='effective friction numbers in place of the fitted ones: "0.05" for every model, or "L=0.055,E=0.077,R=0.087"',
    )
    to.add_argument(
        "--ductility", metavar="SHARE", help="reduction of area at break, between 0 and 1 (default: 0.45 to 0.60)"
    )
    to.add_argument(
        "--pin",
        choices=("turns", "slides"),
        default="turns",
        help="whether the pin turns with the wire (default) or the wire slides round it",
    )
    to.add_argument("--draws", metavar="N", help="seeded draws (default: 10000)")
    to.add_argument("--seed", metavar="N", help="of the draws (default: 0)")


def hold_command(options: argparse.Namespace) -> int:
    """`helix hold`: the estimate as text or JSON; table and charts where asked for."""
    from helix.studies.hold.holding import hold_with

    faults: list[ValidationIssue | None] = []
    recipe = recipe_of(options.recipe, faults)
    chart = _target(options.chart, options.force, CHART_SUFFIXES, faults)
    setting, fitted = _setting(options, recipe, faults)
    recipe = sound(recipe, faults)
    result = hold_with(recipe, setting)
    units = options.units or recipe.units

    table = None
    if options.table:
        from helix.studies.hold.hold_table import hold_table
        from helix.studies.hold.sensitivity import sensitivities

        if not options.json:
            tell("trying every pair and every cause, this takes a few seconds ...")
        table = hold_table(recipe, setting), *sensitivities(recipe, setting)
    if options.json:
        from helix.output.hold.hold_record import hold_to_dict, table_to_dict
        from helix.output.report.record import to_json

        data = hold_to_dict(result, fitted)
        if table is not None:
            data.update(table_to_dict(*table))
        put(to_json(data))
    else:
        from helix.output.hold.hold_report import hold_document, title_of

        if table is not None:
            from helix.output.hold.hold_table_report import table_document

            _show(table_document(*table, units, f"Turns and wraps. {title_of(result)}"))
        _show(hold_document(result, units, fitted))
    if chart is not None:
        from helix.output.hold.hold_charts import bends_chart, models_chart, sensitivity_chart, table_chart

        charts = [models_chart(result, units), bends_chart(result)]
        if table is not None:
            charts = [table_chart(table[0]), sensitivity_chart(table[1], table[2], units), *charts]
        _write_charts(charts, chart, options.force)
        tell(f"charts written to {chart}")
    return FLAGGED if options.strict and result.verdict != "locks" else DONE


def why_command(options: argparse.Namespace) -> int:
    """`helix why`: the page as text, JSON, or HTML."""
    from helix.studies.hold.why import why

    faults: list[ValidationIssue | None] = []
    recipe = recipe_of(options.recipe, faults)
    target = _target(options.output, options.force, (".html",), faults)
    setting, _ = _setting(options, recipe, faults)
    recipe = sound(recipe, faults)
    tell("trying changes, this takes a few seconds ...")
    found = why(recipe, setting)
    units = options.units or recipe.units
    if options.json:
        from helix.output.hold.hold_record import why_to_dict
        from helix.output.report.record import to_json

        put(to_json(why_to_dict(found)))
    else:
        from helix.output.hold.why_report import why_document

        _show(why_document(found, units))
    if target is not None:
        from helix.output.files import write_whole
        from helix.output.hold.why_report import why_html
        from helix.output.shape.drawing import drawing_svg
        from helix.studies.shape.shape import shape

        write_whole(target, why_html(found, units, drawing_svg(shape(recipe), units)), force=options.force)
        tell(f"page written to {target}")
    return DONE


def form_command(options: argparse.Namespace) -> int:
    """`helix form`: torques, cranks, grips, springback."""
    from helix.studies.option_values import force
    from helix.studies.teaching.hand_work import HAND_FORCE_N, form

    faults: list[ValidationIssue | None] = []
    recipe = recipe_of(options.recipe, faults)
    hand_force = force("--hand-force", options.hand_force, faults)
    recipe = sound(recipe, faults)
    found = form(recipe, hand_force or HAND_FORCE_N)
    if options.json:
        from helix.output.hold.hold_record import form_to_dict
        from helix.output.report.record import to_json

        put(to_json(form_to_dict(found)))
    else:
        from helix.output.hold.form_report import form_document

        _show(form_document(found, options.units or recipe.units))
    return DONE


def stretch_command(options: argparse.Namespace) -> int:
    """`helix stretch`: stretch of the joint under a load."""
    from helix.studies.hold.holding import hold
    from helix.studies.hold.stretch import stretch
    from helix.studies.option_values import force
    from helix.studies.shape.shape import shape

    faults: list[ValidationIssue | None] = []
    recipe = recipe_of(options.recipe, faults)
    load = force("--load", options.load, faults)
    recipe = sound(recipe, faults)
    estimate = hold(recipe)
    if load is None:
        load = estimate.rated_n
        if load is None:
            raise ValidationError(
                [ValidationIssue("--load", 'is needed, such as "600 N": no rated load is known for this wire')]
            )
    try:
        found = stretch(shape(recipe), estimate, load)
    except ValueError as error:
        raise ValidationError([ValidationIssue("--load", str(error).removeprefix("load "))]) from error
    if options.json:
        from helix.output.hold.hold_record import stretch_to_dict
        from helix.output.report.record import to_json

        put(to_json(stretch_to_dict(found)))
    else:
        from helix.output.hold.form_report import stretch_document

        _show(stretch_document(found, options.units or recipe.units))
    return DONE


def _setting(
    options: argparse.Namespace, recipe: Recipe | None, faults: list[ValidationIssue | None]
) -> tuple[Setting, CalibrationFit | None]:
    """The setting of an estimate; every fault of the options is added, and a setting comes back only without one."""
    from helix.model.measured.slip_tests import read_slip_tests
    from helix.studies.hold.hold_options import setting_asked

    return setting_asked(
        recipe,
        faults,
        friction=options.friction,
        ductility=options.ductility,
        slides=options.pin == "slides",
        draws=options.draws,
        seed=options.seed,
        tests=None if options.calibrate is None else partial(read_slip_tests, Path(options.calibrate)),
    )


def _target(
    name: str | None, force: bool, suffixes: tuple[str, ...], faults: list[ValidationIssue | None]
) -> Path | None:
    if name is None:
        return None
    from helix.output.files import target_fault

    faults.append(target_fault(Path(name), force=force, suffixes=suffixes))
    return Path(name)


def _show(document: Document) -> None:
    from helix.output.report.document import document_text

    put(document_text(document))


def _write_charts(charts: list[Chart], target: Path, force: bool) -> None:
    """All charts of one answer as one file."""
    from helix.output.files import write_whole
    from helix.output.report.chart_sheet import charts_file

    write_whole(target, charts_file(charts, target.suffix.lower()), force=force)
