"""The command `helix pulls`: template, read, compare and plan. What is heavy is imported where it is needed."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from helix.errors import Fault, InputFaults, quoted

if TYPE_CHECKING:
    from helix.model.recipe_parts import Recipe
    from helix.output.document import Document
    from helix.studies.load_cells import LoadCell
    from helix.studies.pull_sizes import Wanted

DONE, UNUSABLE = 0, 2


class Parsers(Protocol):
    """What argparse gives for adding commands."""

    def add_parser(self, name: str, **options: Any) -> argparse.ArgumentParser:
        """Add a command."""
        ...


def add_pulls(commands: Parsers, show: Callable[[str], None], complain: Callable[[str], None]) -> None:
    """Add `pulls` and its four commands; show: prints to standard output; complain: one line a fault."""
    text = "Pull tests: plan them, read them, compare groups, and say what they prove."
    pulls = commands.add_parser("pulls", help=text, description=text, allow_abbrev=False)
    inner = pulls.add_subparsers(dest="pulls_command", metavar="COMMAND", required=True)

    def command(name: str, run: Callable[..., int], text: str) -> argparse.ArgumentParser:
        made = inner.add_parser(name, help=text, description=text, allow_abbrev=False)
        made.set_defaults(run=lambda options: run(options, show, complain))
        return made

    template = command("template", template_command, "Write a file to fill in, every column explained.")
    template.add_argument("file", nargs="?", metavar="FILE.csv", help="file to write (default: print it)")
    template.add_argument("-o", "--output", metavar="FILE.csv", help="the same as FILE.csv")
    template.add_argument(
        "--mapping", metavar="FILE.toml", help="also write a mapping for load-extension curves"
    )
    _force(template)

    read = command("read", read_command, "What a bench's pieces say about one joint, with limits.")
    read.add_argument(
        "file", metavar="FILE.csv", help="pull tests, one row a piece; needs id, group, load, unit, failure"
    )
    read.add_argument(
        "--rated", metavar="LOAD", help='rated load of the wire, "174 lbf", where rows do not state it'
    )
    read.add_argument(
        "--curves", metavar="MAPPING.toml", help="read the curves that column curve names, by this mapping"
    )
    read.add_argument(
        "--charts", metavar="FOLDER", help="also write each chart as PNG and SVG into this folder"
    )
    _common(read)

    compare = command("compare", compare_command, "Groups against each other, pair by pair.")
    compare.add_argument("file", metavar="FILE.csv", help="pull tests, one row a piece")
    compare.add_argument(
        "--by", metavar="COLUMN", required=True, help="column that makes the groups, such as group or maker"
    )
    _common(compare)

    plan = command("plan", plan_command, "How many pieces, which load cell, how much wire, in which order.")
    plan.add_argument("recipes", nargs="*", metavar="RECIPE", help="recipes to test (TOML)")
    _plan_options(plan)


def _plan_options(plan: argparse.ArgumentParser) -> None:
    def add(name: str, metavar: str, text: str, **more: Any) -> None:
        plan.add_argument(name, metavar=metavar, help=text, **more)

    add("--efficiency", "SHARE", "efficiency over the control to be shown (default 0.90)")
    add("--confidence", "SHARE", "confidence of it (default 0.95)")
    add("--expect", "SHARE", "efficiency expected (default 0.97)")
    add("--cv", "SHARE", "SD over mean of pieces expected (default 0.04; common practice, no source)")
    add("--power", "SHARE", "chance that the test succeeds (default 0.90)")
    add("--apart", "SHARE|LOAD", 'difference that two recipes are to be told apart by, "0.05" or "40 N"')
    add("--unwinding", "P1,P2", "chances of unwinding of two recipes to be told apart, 0.05,0.6")
    add("--margin", "SHARE", "mean to be known to within this (default 0.02)")
    add(
        "--expect-load",
        "LOAD",
        "load that one wire's piece is expected to reach; without it, from the recipes",
    )
    add("--wires", "N", "wires worked as one (default 1)")
    add(
        "--cell",
        "CELL",
        'a load cell: "5000 N, class 1, resolution 0.5 N"; may be given again',
        action="append",
        default=[],
    )
    add("--free", "LENGTH", "free length between the joints (default 250 mm)")
    add("--grip", "LENGTH", "wire for each grip (default 60 mm)")
    add("--joints", "N", "joints a piece, 2 or 1 (default 2)")
    add("--each", "N", "pieces of each recipe (default: what the questions take, or 10)")
    add("--controls", "N", "straight pieces of each batch (default 5)")
    add("--batches", "NAMES", "batches of wire, set apart by commas (default: one)")
    add("--makers", "NAMES", "makers, set apart by commas (default: one)")
    add("--turns", "COUNTS", "turns to vary, apart from wraps: 3,4,5")
    add("--wraps", "COUNTS", "wraps to vary, apart from turns: 3,5")
    plan.add_argument(
        "--design",
        choices=("factorial", "staircase"),
        default="factorial",
        help="how turns and wraps are varied",
    )
    add("--seed", "N", "of the random order (default 1)")
    add("--order", "FILE.csv", "also write the order as a file to fill in")
    add("--labels", "FILE.pdf", "also write labels to print")
    _common(plan, leave_out=False)


def _common(to: argparse.ArgumentParser, leave_out: bool = True) -> None:
    to.add_argument(
        "--units",
        choices=("metric", "inch"),
        default="metric",
        help="what to show loads in (default: metric)",
    )
    to.add_argument("--json", action="store_true", help="print JSON, always in N and mm")
    to.add_argument(
        "-o",
        "--output",
        metavar="FILE",
        action="append",
        default=[],
        help="also write the report, .html or .pdf; may be given again",
    )
    if leave_out:
        to.add_argument(
            "--leave-out", action="store_true", help="go on without rows that cannot be read (they are named)"
        )
    _force(to)


def _force(to: argparse.ArgumentParser) -> None:
    to.add_argument("--force", action="store_true", help="replace a file that exists")


def template_command(
    options: argparse.Namespace, show: Callable[[str], None], complain: Callable[[str], None]
) -> int:
    """`helix pulls template`: the file to fill in, and the mapping of curves."""
    from helix.model.curve_file import MAPPING_TEMPLATE
    from helix.model.pull_columns import template_text

    wanted = {name for name in (options.file, options.output) if name}
    if len(wanted) > 1:
        raise InputFaults([Fault("FILE.csv", "must be given once; got two names")])
    files: list[tuple[Path, str, tuple[str, ...]]] = [
        (Path(name), template_text(), (".csv", ".txt")) for name in wanted
    ]
    if options.mapping:
        files.append((Path(options.mapping), MAPPING_TEMPLATE, (".toml",)))
    _write(files, options.force)
    if not files:
        show(template_text())
    for path, _, _ in files:
        show(f"Written: {path}\n")
    return DONE


def read_command(
    options: argparse.Namespace, show: Callable[[str], None], complain: Callable[[str], None]
) -> int:
    """`helix pulls read`: the reading as text or JSON; report and charts where asked for."""
    from helix.model.curve_file import read_mapping
    from helix.model.pull_file import read_pull_file
    from helix.studies.pull_curves import curves_of
    from helix.studies.pull_predicted import bands_of, recipes_of
    from helix.studies.pulls import read_pulls

    faults = _targets(options)
    folder = Path(options.charts) if options.charts else None
    if folder is not None and folder.exists() and not folder.is_dir():
        faults.append(Fault(str(folder), "must be a folder; got a file"))
    rated = _quantity("--rated", options.rated, "force", faults)
    mapping = _tried(lambda: read_mapping(Path(options.curves)), faults) if options.curves else None
    file = _tried(lambda: read_pull_file(Path(options.file)), faults)
    if faults or file is None:
        raise InputFaults(faults)
    place = Path(options.file).parent
    curves, curve_faults = curves_of(file.pieces, place, mapping, file.place) if mapping else ((), ())
    recipes, notes = recipes_of(file, place)
    result = read_pulls(file, rated, curves, curve_faults, notes)
    bands = bands_of(file, recipes)

    if options.json:
        from helix.output.pull_record import pulls_to_dict
        from helix.output.record import to_json

        data = pulls_to_dict(result)
        data["predicted"] = [
            {"group": name, "low_n": low, "nominal_n": middle, "high_n": high, "by": by}
            for name, (low, middle, high, by) in bands.items()
        ]
        show(to_json(data))
    document = None
    if not options.json or options.output or folder is not None:
        from helix.output.pull_report import pulls_document

        document = pulls_document(result, options.units, bands)
    if document is not None and not options.json:
        _show_document(document, show)
    if not _go_on(result.faults, options, complain):
        return UNUSABLE
    if document is not None:
        _reports(document, options, show)
        if folder is not None:
            _charts(document, folder, options.force, None if options.json else show)
    return DONE


def compare_command(
    options: argparse.Namespace, show: Callable[[str], None], complain: Callable[[str], None]
) -> int:
    """`helix pulls compare`: every pair of groups."""
    from helix.model.pull_file import read_pull_file
    from helix.studies.pull_compare import compare_pulls

    faults = _targets(options)
    file = _tried(lambda: read_pull_file(Path(options.file)), faults)
    if faults or file is None:
        raise InputFaults(faults)
    result = compare_pulls(file, options.by)
    if options.json:
        from helix.output.pull_record import compare_to_dict
        from helix.output.record import to_json

        show(to_json(compare_to_dict(result)))
    from helix.output.pull_compare_report import compare_document

    document = compare_document(result, options.units)
    if not options.json:
        _show_document(document, show)
    if not _go_on(result.faults, options, complain):
        return UNUSABLE
    _reports(document, options, show)
    return DONE


def plan_command(
    options: argparse.Namespace, show: Callable[[str], None], complain: Callable[[str], None]
) -> int:
    """`helix pulls plan`: the plan as text or JSON; order file, labels and report where asked for."""
    from helix.output.pull_plan_report import labels_pdf, order_csv, plan_document
    from helix.studies.pull_plan import Setup, plan_pulls

    faults = _targets(options)
    for name, suffix in (("order", ".csv"), ("labels", ".pdf")):
        if getattr(options, name):
            faults.extend(_target(Path(getattr(options, name)), options.force, (suffix,)))
    recipes = _recipes(options.recipes, faults)
    expected = _quantity("--expect-load", options.expect_load, "force", faults)
    nominal = expected or (recipes[0][1].wire.breaking_load_n[1] if recipes else None)
    wanted = _wanted(options, nominal, faults)
    setup = Setup(
        free_mm=_quantity("--free", options.free, "length", faults) or 250.0,
        grip_mm=_quantity("--grip", options.grip, "length", faults) or 60.0,
        joints=_whole("--joints", options.joints, 2, 1, 2, faults),
        wires=_whole("--wires", options.wires, 1, 1, 100, faults),
        each=_whole("--each", options.each, 0, 1, 1000, faults) or None,
        controls=_whole("--controls", options.controls, 5, 0, 1000, faults),
        batches=_names("--batches", options.batches, faults),
        makers=_names("--makers", options.makers, faults),
        turns=_counts("--turns", options.turns, faults),
        wraps=_counts("--wraps", options.wraps, faults),
        design=options.design,
        cells=tuple(cell for text in options.cell if (cell := _cell(text, faults)) is not None),
        expected_n=expected,
        seed=_whole("--seed", options.seed, 1, 0, 2**31, faults),
    )
    if faults:
        raise InputFaults(faults)
    plan = plan_pulls(recipes, wanted, setup)
    if (options.order or options.labels) and not plan.order:
        raise InputFaults(
            [Fault("--order, --labels", "need a recipe, so that there are pieces to put in order")]
        )
    document = plan_document(plan, options.units)
    if options.json:
        from helix.output.pull_record import plan_to_dict
        from helix.output.record import to_json

        show(to_json(plan_to_dict(plan)))
    else:
        _show_document(document, show)
    files: list[tuple[Path, str | bytes, tuple[str, ...]]] = []
    if options.order:
        files.append((Path(options.order), order_csv(plan.order, Path(options.order).parent), (".csv",)))
    if options.labels:
        files.append((Path(options.labels), labels_pdf(plan), (".pdf",)))
    _write(files, options.force)
    _reports(document, options, show)
    for path, _, _ in files:
        if not options.json:
            show(f"Written: {path}\n")
    return DONE


def _go_on(faults: Sequence[Fault], options: argparse.Namespace, complain: Callable[[str], None]) -> bool:
    """Tell the faults of rows; whether to go on and write files."""
    for fault in faults:
        complain(str(fault))
    if not faults or options.leave_out:
        return True
    if options.output or getattr(options, "charts", None):
        complain("no report was written: mend these rows, or add --leave-out to go on without them")
    return False


def _show_document(document: Document, show: Callable[[str], None]) -> None:
    from helix.output.document import document_text

    show(document_text(document))


def _reports(document: Document, options: argparse.Namespace, show: Callable[[str], None]) -> None:
    from helix.output.document_html import document_html
    from helix.output.document_pdf import document_pdf

    files: list[tuple[Path, str | bytes, tuple[str, ...]]] = []
    for name in options.output:
        path = Path(name)
        content = document_html(document) if path.suffix.lower() == ".html" else document_pdf(document)
        files.append((path, content, (".html", ".pdf")))
    _write(files, options.force)
    for path, _, _ in files:
        if not options.json:
            show(f"Written: {path}\n")


def _charts(document: Document, folder: Path, force: bool, show: Callable[[str], None] | None) -> None:
    from helix.output.document_html import chart_png, chart_svg

    made = [(chart, "".join(c if c.isalnum() else "-" for c in chart.name)) for chart in document.charts]
    paths = [folder / f"{name}{suffix}" for _, name in made for suffix in (".png", ".svg")]
    if folder.is_dir():
        faults = [fault for path in paths for fault in _target(path, force, (".png", ".svg"))]
        if faults:
            raise InputFaults(faults)
    files: list[tuple[Path, str | bytes, tuple[str, ...]]] = []
    for chart, name in made:
        files.append((folder / f"{name}.png", chart_png(chart), (".png",)))
        files.append((folder / f"{name}.svg", chart_svg(chart), (".svg",)))
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputFaults(
            [Fault(str(folder), f"cannot be made: {(error.strerror or str(error)).lower()}")]
        ) from error
    _write(files, force)
    if show is not None:
        show(f"{len(made)} charts written to {folder}\n")


def _write(files: Sequence[tuple[Path, str | bytes, tuple[str, ...]]], force: bool) -> None:
    """Look at every target before the first is written."""
    from helix.output.files import write_whole

    faults = [fault for path, _, suffixes in files for fault in _target(path, force, suffixes)]
    if faults:
        raise InputFaults(faults)
    for path, content, _ in files:
        write_whole(path, content, force=force)


def _targets(options: argparse.Namespace) -> list[Fault]:
    return [
        fault for name in options.output for fault in _target(Path(name), options.force, (".html", ".pdf"))
    ]


def _target(path: Path, force: bool, suffixes: tuple[str, ...]) -> list[Fault]:
    from helix.output.files import target_fault

    fault = target_fault(path, force=force, suffixes=suffixes)
    return [fault] if fault else []


def _tried(make: Callable[[], Any], faults: list[Fault]) -> Any:
    """What `make` gives; None with its faults added to the others."""
    try:
        return make()
    except InputFaults as found:
        faults.extend(found.faults)
        return None


def _recipes(names: Sequence[str], faults: list[Fault]) -> list[tuple[str, Recipe]]:
    from functools import partial

    from helix.model.recipe import read_recipe

    found = []
    for name in names:
        recipe = _tried(partial(read_recipe, Path(name)), faults)
        if recipe is not None:
            found.append((name, recipe))
    return found


def _wanted(options: argparse.Namespace, nominal_n: float | None, faults: list[Fault]) -> Wanted:
    from helix.studies.pull_sizes import Wanted
    from helix.units import parse

    plain = Wanted()
    apart: float | None = None
    if options.apart is not None:
        try:
            apart = float(options.apart)
        except ValueError:
            try:
                newtons = parse(options.apart, "force")
                apart = newtons / nominal_n if nominal_n else None
                if apart is None:
                    faults.append(
                        Fault("--apart", "as a load needs a recipe or --expect-load to be set over")
                    )
            except ValueError as error:
                faults.append(Fault("--apart", f"{error}; or a share such as 0.05"))
        if apart is not None and not 0.0 < apart < 1.0:
            faults.append(
                Fault("--apart", f"must be above 0 and below the load itself; got {quoted(options.apart)}")
            )
    shares = _floats("--unwinding", options.unwinding, 2, 0.0, 1.0, faults)
    return Wanted(
        efficiency=_share("--efficiency", options.efficiency, plain.efficiency, 0.999, faults),
        confidence=_share("--confidence", options.confidence, plain.confidence, 0.999, faults),
        expected=_share("--expect", options.expect, plain.expected, 1.5, faults),
        cv=_share("--cv", options.cv, plain.cv, 0.5, faults),
        power=_share("--power", options.power, plain.power, 0.999, faults),
        apart=apart,
        margin=_share("--margin", options.margin, plain.margin, 0.5, faults),
        shares=(shares[0], shares[1]) if len(shares) == 2 else None,
    )


def _quantity(name: str, text: str | None, dimension: Any, faults: list[Fault]) -> float | None:
    """A length or load above 0, or None."""
    from helix.units import parse

    if text is None:
        return None
    try:
        value = parse(text, dimension)
    except ValueError as error:
        faults.append(Fault(name, str(error)))
        return None
    if not value > 0.0:
        faults.append(Fault(name, f"must be above 0; got {quoted(text)}"))
        return None
    return value


def _share(name: str, text: str | None, default: float, most: float, faults: list[Fault]) -> float:
    if text is None:
        return default
    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if not 0.0 < value <= most:
        faults.append(
            Fault(
                name, f"must be a share above 0 and at most {most:g}, such as {default:g}; got {quoted(text)}"
            )
        )
        return default
    return value


def _whole(name: str, text: str | None, default: int, least: int, most: int, faults: list[Fault]) -> int:
    if text is None:
        return default
    if not (text.isascii() and text.isdigit() and len(text) < 11 and least <= int(text) <= most):
        faults.append(Fault(name, f"must be a whole number from {least} to {most}; got {quoted(text)}"))
        return default
    return int(text)


def _floats(
    name: str, text: str | None, count: int, low: float, high: float, faults: list[Fault]
) -> tuple[float, ...]:
    """Numbers set apart by commas; count: how many there must be, 0 for any."""
    if text is None:
        return ()
    try:
        values = tuple(float(part) for part in text.split(","))
    except ValueError:
        values = ()
    good = bool(values) and (not count or len(values) == count) and all(low <= v <= high for v in values)
    if not good:
        many = f"{count} numbers" if count else "numbers"
        faults.append(
            Fault(name, f"must be {many} from {low:g} to {high:g}, set apart by commas; got {quoted(text)}")
        )
        return ()
    return values


def _counts(name: str, text: str | None, faults: list[Fault]) -> tuple[float, ...]:
    return tuple(dict.fromkeys(_floats(name, text, 0, 0.0, 100.0, faults)))


def _names(name: str, text: str | None, faults: list[Fault]) -> tuple[str, ...]:
    if text is None:
        return ("1",)
    names = tuple(part.strip() for part in text.split(","))
    if not all(names) or len(set(names)) < len(names) or len(names) > 20:
        faults.append(Fault(name, f"must be 1 to 20 different names set apart by commas; got {quoted(text)}"))
        return ("1",)
    return names


def _cell(text: str, faults: list[Fault]) -> LoadCell | None:
    """A load cell such as "5000 N, class 1, resolution 0.5 N"."""
    from helix.studies.load_cells import load_cell
    from helix.units import parse

    grade, resolution = "1", None
    try:
        first, *rest = (part.strip() for part in text.split(","))
        capacity = parse(first, "force")
        for part in rest:
            word, _, value = part.partition(" ")
            if word == "class":
                grade = value.strip()
            elif word == "resolution":
                resolution = parse(value, "force")
            else:
                raise ValueError(f"knows class and resolution only; got {quoted(part, 30)}")
        return load_cell(capacity, grade, resolution)
    except ValueError as error:
        faults.append(Fault("--cell", f'{error}; write "5000 N, class 1, resolution 0.5 N"'))
        return None
