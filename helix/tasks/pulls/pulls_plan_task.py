"""Pulls plan: how many pieces, which load cell, how much wire, in which order."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, Final

from helix.errors import ValidationError, ValidationIssue, argument_issue, quoted
from helix.output.pulls.pull_plan_report import labels_pdf, order_csv, plan_document
from helix.output.report.record import record
from helix.quantities import parse
from helix.studies.pulls_plan.load_cells import LoadCell, load_cell
from helix.studies.pulls_plan.pull_plan import PlanResult, Setup, plan_pulls
from helix.studies.pulls_plan.pull_sizes import Wanted
from helix.tasks.options import (
    RECIPE_FILES,
    TICK,
    Kind,
    Option,
    choice,
    each_of,
    finite,
    names,
    numbers,
    proportion,
    quantity,
    units,
    whole,
)
from helix.tasks.pulls.pull_files import report
from helix.tasks.task import Given, Output, Task

if TYPE_CHECKING:
    from helix.model.recipe.recipe_parts import Recipe

_WANTED, _SETUP = Wanted(), Setup()
_CELL: Final = "5000 N, class 1, resolution 0.5 N"


def _cell(text: str) -> LoadCell:
    """A load cell such as "5000 N, class 1, resolution 0.5 N"."""
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
        raise ValueError(f'{error}; write "{_CELL}"') from error


def _difference(text: str, recipe: Recipe | None) -> tuple[float, bool]:
    """A share, or a load in N; and whether it is a load."""
    share = finite(text)
    if share is not None:
        if not 0.0 < share < 1.0:
            raise ValueError(f"must be above 0 and below the load itself; got {quoted(text)}")
        return share, False
    try:
        return parse(text, "force"), True
    except ValueError as error:
        raise ValueError(f"{error}; or a share such as 0.05") from error


def _nominal_n(given: Given) -> float | None:
    """The load that a piece of one wire is expected to reach."""
    expected: float | None = given.expect_load
    return expected or (given.recipes[0][1].wire.breaking_load_n[1] if given.recipes else None)


def _over(given: Given) -> Iterator[ValidationIssue]:
    """What is wrong with a difference that is a load."""
    if given.apart is None or not given.apart[1]:
        return
    nominal = _nominal_n(given)
    if nominal is None:
        yield argument_issue("apart", "as a load needs a recipe, or the load expected, to be set over")
    elif not 0.0 < given.apart[0] < nominal:
        yield argument_issue("apart", f"must be above 0 and below the load itself; got {given.apart[0]:g} N")


def _planned(given: Given) -> PlanResult:
    apart = None
    if given.apart is not None:
        value, is_load = given.apart
        apart = value / (_nominal_n(given) or 1.0) if is_load else value
    wanted = Wanted(
        efficiency=given.efficiency,
        confidence=given.confidence,
        expected=given.expect,
        cv=given.cv,
        power=given.power,
        apart=apart,
        margin=given.margin,
        shares=given.unwinding,
    )
    setup = Setup(
        free_mm=given.free,
        grip_mm=given.grip,
        joints=given.joints,
        wires=given.wires,
        each=given.each,
        controls=given.controls,
        batches=given.batches,
        makers=given.makers,
        turns=given.turns or (),
        wraps=given.wraps or (),
        design=given.design,
        cells=given.cell,
        expected_n=given.expect_load,
        seed=given.seed,
        decide=given.decide,
    )
    return plan_pulls(given.recipes or [], wanted, setup)


def _ordered(plan: PlanResult) -> PlanResult:
    if not plan.order:
        raise ValidationError([argument_issue("recipes", "must be given, so that there are pieces to put in order")])
    return plan


def _share(key: str, text: str, most: float, label: str = "") -> Option:
    """An option that is a share, with its usual one."""
    usual = {"expect": "expected"}.get(key, key)
    default = f"{getattr(_WANTED, usual):.2f}"
    return Option(key, text, proportion(most, default), default, label=label)


def _field(key: str, text: str, kind: Kind, label: str = "", **more: Any) -> Option:
    return Option(key, text, kind, label=label, **more)


TASK = Task(
    options=(
        Option("recipes", "recipes to test (TOML)", RECIPE_FILES, place="any", many=True),
        _share("efficiency", "efficiency over the control to be shown", 0.999, "Efficiency to be shown"),
        _share("confidence", "confidence of it", 0.999, "Confidence of it"),
        _share("expect", "efficiency expected", 1.5, "Efficiency expected"),
        _share("cv", "SD over mean of pieces expected; common practice, no source", 0.5, "Scatter expected"),
        _share("power", "chance that the test succeeds", 0.999, "Chance that the test succeeds"),
        _field("apart", "difference that two recipes are to be told apart by, as a share or a load",
               Kind("text", _difference, "SHARE|LOAD"), "To be told apart", example="0.05"),
        _field("unwinding", "chances of unwinding of two recipes to be told apart, 0.05,0.6", numbers(0.0, 1.0, 2),
               letters="P1,P2"),
        _share("margin", "mean to be known to within this", 0.5),
        _field("expect_load", "load that one wire's piece is expected to reach; without it, from the recipes",
               quantity("force"), letters="LOAD"),
        _field("wires", "wires worked as one", whole(1, 100), default=str(_SETUP.wires)),
        _field("cell", f'a load cell: "{_CELL}"; may be given again', each_of(_cell, "CELL"), "Load cell", many=True,
               example=_CELL),
        _field("free", "free length between the joints", quantity("length"), "Free length",
               default=f"{_SETUP.free_mm:g} mm"),
        _field("grip", "wire for each grip", quantity("length"), "Wire for each grip", default=f"{_SETUP.grip_mm:g} mm"),
        _field("joints", "joints a piece, 2 or 1", whole(1, 2), "Joints a piece", default=str(_SETUP.joints)),
        _field("each", "pieces of each recipe", whole(1, 1000), "Pieces of each kind",
               usual="what the questions take, or 10"),
        _field("controls", "straight pieces of each batch", whole(0, 1000), "Straight pieces of each batch",
               default=str(_SETUP.controls)),
        _field("batches", "batches of wire, set apart by commas", names(), "Batches of wire", default="1"),
        _field("makers", "makers, set apart by commas", names(), "Makers", default="1"),
        _field("turns", "turns to vary, apart from wraps: 3,4,5", numbers(0.0, 100.0), "Turns to vary",
               letters="COUNTS", example="3,4,5"),
        _field("wraps", "wraps to vary, apart from turns: 3,5", numbers(0.0, 100.0), "Wraps to vary", letters="COUNTS",
               example="3,5"),
        Option("design", "how turns and wraps are varied", choice("factorial", "staircase"), "factorial"),
        Option("decide", "plan the pieces that can refute the simulation, with what it says of each", TICK),
        _field("seed", "of the random order", whole(0, 2**31), "Seed of the random order", default=str(_SETUP.seed)),
        units("loads", "metric"),
    ),
    run=_planned,
    check=_over,
    document=plan_document,
    record=record,
    json="N and mm",
    files=(
        Output("order", "also write the order as a file to fill in", (".csv",),
               lambda plan, given, suffix: order_csv(_ordered(plan).order, given.targets["order"].parent),
               said="Written: {}", letters="FILE.csv"),
        Output("labels", "also write labels to print", (".pdf",), lambda plan, given, suffix: labels_pdf(_ordered(plan), given.system),
               said="Written: {}", letters="FILE.pdf"),
        report(plan_document),
    ),
)  # fmt: skip
