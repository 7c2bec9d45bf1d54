"""Values of the options of `helix pulls`: each is checked, and its fault is gathered with the others."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from helix.errors import ValidationIssue, quoted
from helix.studies.option_values import read_quantity

if TYPE_CHECKING:
    from helix.studies.pulls_plan.load_cells import LoadCell
    from helix.studies.pulls_plan.pull_plan import Setup
    from helix.studies.pulls_plan.pull_sizes import Wanted


def wanted_of(options: argparse.Namespace, nominal_n: float | None, faults: list[ValidationIssue]) -> Wanted:
    from helix.studies.pulls_plan.pull_sizes import Wanted
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
                        ValidationIssue("--apart", "as a load needs a recipe or --expect-load to be set over")
                    )
            except ValueError as error:
                faults.append(ValidationIssue("--apart", f"{error}; or a share such as 0.05"))
        if apart is not None and not 0.0 < apart < 1.0:
            faults.append(
                ValidationIssue("--apart", f"must be above 0 and below the load itself; got {quoted(options.apart)}")
            )
    shares = floats_of("--unwinding", options.unwinding, 2, 0.0, 1.0, faults)
    return Wanted(
        efficiency=share_of("--efficiency", options.efficiency, plain.efficiency, 0.999, faults),
        confidence=share_of("--confidence", options.confidence, plain.confidence, 0.999, faults),
        expected=share_of("--expect", options.expect, plain.expected, 1.5, faults),
        cv=share_of("--cv", options.cv, plain.cv, 0.5, faults),
        power=share_of("--power", options.power, plain.power, 0.999, faults),
        apart=apart,
        margin=share_of("--margin", options.margin, plain.margin, 0.5, faults),
        shares=(shares[0], shares[1]) if len(shares) == 2 else None,
    )


def setup_of(options: argparse.Namespace, expected_n: float | None, faults: list[ValidationIssue]) -> Setup:
    """How a series is set up: lengths, joints, pieces, batches, makers, what is varied, load cells."""
    from helix.studies.pulls_plan.pull_plan import Setup

    return Setup(
        free_mm=quantity_of("--free", options.free, "length", faults) or 250.0,
        grip_mm=quantity_of("--grip", options.grip, "length", faults) or 60.0,
        joints=whole_of("--joints", options.joints, 2, 1, 2, faults),
        wires=whole_of("--wires", options.wires, 1, 1, 100, faults),
        each=whole_of("--each", options.each, 0, 1, 1000, faults) or None,
        controls=whole_of("--controls", options.controls, 5, 0, 1000, faults),
        batches=names_of("--batches", options.batches, faults),
        makers=names_of("--makers", options.makers, faults),
        turns=counts_of("--turns", options.turns, faults),
        wraps=counts_of("--wraps", options.wraps, faults),
        design=options.design,
        cells=tuple(cell for text in options.cell if (cell := cell_of(text, faults)) is not None),
        expected_n=expected_n,
        seed=whole_of("--seed", options.seed, 1, 0, 2**31, faults),
    )


def quantity_of(name: str, text: str | None, dimension: Any, faults: list[ValidationIssue]) -> float | None:
    """A length or load above 0, or None."""
    value = read_quantity(name, text, dimension, faults)
    if value is None or text is None:
        return None
    if not value > 0.0:
        faults.append(ValidationIssue(name, f"must be above 0; got {quoted(text)}"))
        return None
    return value


def share_of(name: str, text: str | None, default: float, most: float, faults: list[ValidationIssue]) -> float:
    if text is None:
        return default
    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if not 0.0 < value <= most:
        faults.append(
            ValidationIssue(
                name, f"must be a share above 0 and at most {most:g}, such as {default:g}; got {quoted(text)}"
            )
        )
        return default
    return value


def whole_of(name: str, text: str | None, default: int, least: int, most: int, faults: list[ValidationIssue]) -> int:
    if text is None:
        return default
    if not (text.isascii() and text.isdigit() and len(text) < 11 and least <= int(text) <= most):
        faults.append(ValidationIssue(name, f"must be a whole number from {least} to {most}; got {quoted(text)}"))
        return default
    return int(text)


def floats_of(
    name: str, text: str | None, count: int, low: float, high: float, faults: list[ValidationIssue]
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
            ValidationIssue(name, f"must be {many} from {low:g} to {high:g}, set apart by commas; got {quoted(text)}")
        )
        return ()
    return values


def counts_of(name: str, text: str | None, faults: list[ValidationIssue]) -> tuple[float, ...]:
    return tuple(dict.fromkeys(floats_of(name, text, 0, 0.0, 100.0, faults)))


def names_of(name: str, text: str | None, faults: list[ValidationIssue]) -> tuple[str, ...]:
    if text is None:
        return ("1",)
    names = tuple(part.strip() for part in text.split(","))
    if not all(names) or len(set(names)) < len(names) or len(names) > 20:
        faults.append(ValidationIssue(name, f"must be 1 to 20 different names set apart by commas; got {quoted(text)}"))
        return ("1",)
    return names


def cell_of(text: str, faults: list[ValidationIssue]) -> LoadCell | None:
    """A load cell such as "5000 N, class 1, resolution 0.5 N"."""
    from helix.studies.pulls_plan.load_cells import load_cell
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
        faults.append(ValidationIssue("--cell", f'{error}; write "5000 N, class 1, resolution 0.5 N"'))
        return None
