"""What small errors do, as people read it: by first derivatives and by random trials, side by side; and as plain data."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from helix.mechanics import limits
from helix.output.report.document import Bullets, Document, Heading, Para, Table
from helix.output.report.record import plain
from helix.output.shape.shape_table import CAUTION
from helix.output.words.words import bend_name
from helix.units import MM_PER_INCH, UnitSystem, format_length
from helix.values import to_plain

if TYPE_CHECKING:
    from helix.studies.inspect.spread import BendSpread, Effect, SpreadResult, Total

_UNIFORM = math.sqrt(3.0)


def spread_document(result: SpreadResult, units: UnitSystem = "metric") -> Document:
    """The whole answer as a report."""
    return Document(
        result.recipe.title,
        (
            Heading(result.recipe.title, 1),
            *(Para(line, strong=True) for line in _answer(result, units)),
            _effects(result, units),
            _bends(result),
            Para(_check(result, units)),
            Bullets(result.notes),
            Para(CAUTION),
        ),
    )


def spread_to_dict(result: SpreadResult) -> dict[str, Any]:
    """The whole answer as plain data, in mm and deg."""
    from helix.model.recipe.recipe import recipe_to_dict

    record: dict[str, Any] = plain({
        "schema": result.schema,
        "version": result.version,
        "recipe": recipe_to_dict(result.recipe),
        "steps": to_plain(result.steps),
        "draws": result.draws,
        "seed": result.seed,
        "builds": result.builds,
        "inputs": [
            {
                "name": effect.input.name,
                "step": effect.input.step,
                "unit": effect.input.unit,
                "only_grows": effect.input.upward,
                "cut_per_step_mm": effect.cut_slope_mm,
                "cut_sd_derivative_mm": _slope_sd(effect, effect.cut_slope_mm),
                "cut_sd_trials_mm": effect.cut_sd_mm,
                "finished_per_step_mm": effect.finished_slope_mm,
                "finished_sd_derivative_mm": _slope_sd(effect, effect.finished_slope_mm),
                "finished_sd_trials_mm": effect.finished_sd_mm,
                "strain_per_step": list(effect.strain_slope),
                "strain_sd_trials": list(effect.strain_sd),
            }
            for effect in result.effects
        ],
        "cut": _total(result.cut),
        "finished": _total(result.finished),
        "bends": [
            {
                "name": bend.name,
                "verdict": bend.verdict,
                "strain": bend.strain,
                "strain_sd_derivative": bend.strain_slope_sd,
                "strain_sd_trials": bend.strain_sd,
                "shares_trials": dict(zip(("ok", "caution", "sharp"), bend.shares, strict=True)),
                "shares_derivative": dict(zip(("ok", "caution", "sharp"), bend.slope_shares, strict=True)),
            }
            for bend in result.bends
        ],
        "check": to_plain(result.check),
        "notes": list(result.notes),
    })  # fmt: skip
    return record


def _total(total: Total) -> dict[str, float]:
    return {
        "nominal_mm": total.nominal_mm,
        "sd_derivative_mm": total.slope_sd_mm,
        "mean_trials_mm": total.mean_mm,
        "sd_trials_mm": total.sd_mm,
        "low_mm": total.low_mm,
        "high_mm": total.high_mm,
    }


def _slope_sd(effect: Effect, slope: float) -> float:
    """Standard deviation by the first derivative, the error uniform within its step."""
    return abs(slope) / _UNIFORM / (2.0 if effect.input.upward else 1.0)


def _answer(result: SpreadResult, units: UnitSystem) -> list[str]:
    lines = []
    for name, total in (("Cut", result.cut), ("Finished length", result.finished)):
        low, high = format_length(total.low_mm, units), format_length(total.high_mm, units)
        lines.append(
            f"{name} {format_length(total.nominal_mm, units)} as stated; {low} to {high} in 95 of 100 joints with these "
            "errors."
        )
    doubtful = [bend for bend in result.bends if limits.VERDICT_DOUBTFUL < _share(bend) < 1.0 - limits.VERDICT_DOUBTFUL]
    for bend in doubtful:
        lines.append(
            f"{bend_name(bend.name).capitalize()}: {bend.verdict} as stated, and so in {_percent(_share(bend))} of the trials."
        )
    if not doubtful:
        lines.append("No verdict changes in more than 1 of 200 trials.")
    return lines


def _share(bend: BendSpread) -> float:
    """Share of the trials in which the verdict is the stated one."""
    return bend.shares[("ok", "caution", "sharp").index(bend.verdict)]


def _percent(share: float) -> str:
    return f"{100.0 * share:.1f} %"


def _effects(result: SpreadResult, units: UnitSystem) -> Table:
    unit, factor, digits = ("in", 1.0 / MM_PER_INCH, 4) if units == "inch" else ("mm", 1.0, 2)

    def size(mm: float, sign: bool = False) -> str:
        text = f"{mm * factor:{'+' if sign else ''}.{digits}f}"
        return text.replace("-", "").replace("+", "") if float(text) == 0.0 else text

    how = "sd by slope", "sd by trials"
    heads = ("error", "plus or minus", f"cut, {unit} a step", *how, f"finished, {unit} a step", *how)
    rows: list[tuple[str, ...]] = []
    for effect in result.effects:
        each = effect.input
        rows.append((
            each.name,
            _step(each.step, each.unit, each.upward, units),
            size(effect.cut_slope_mm, True),
            size(_slope_sd(effect, effect.cut_slope_mm)),
            size(effect.cut_sd_mm),
            size(effect.finished_slope_mm, True),
            size(_slope_sd(effect, effect.finished_slope_mm)),
            size(effect.finished_sd_mm),
        ))  # fmt: skip
    rows.append((
        "all at once", "", "", size(result.cut.slope_sd_mm), size(result.cut.sd_mm),
        "", size(result.finished.slope_sd_mm), size(result.finished.sd_mm),
    ))  # fmt: skip
    shift = [size(total.mean_mm - total.nominal_mm, True) for total in (result.cut, result.finished)]
    rows.append(("mean less stated", "", "", "", shift[0], "", "", shift[1]))
    return Table("What each error does, by its first derivative and by random trials", heads, tuple(rows))


def _step(step: float, unit: str, upward: bool, units: UnitSystem) -> str:
    if unit == "mm":
        shown = format_length(step, units)
    elif unit == "deg":
        shown = f"{step:.3g} deg"
    else:
        shown = f"{step:g} {'turn' if step <= 1.0 else 'turns'}"
    return f"0 to {shown}" if upward else shown


def _bends(result: SpreadResult) -> Table:
    shares = "ok, caution, sharp"
    heads = (
        "bend",
        "as stated",
        "strain",
        "sd by slope",
        "sd by trials",
        f"{shares} by slopes, %",
        f"{shares} by trials, %",
    )
    rows = []
    for bend in result.bends:
        rows.append((
            bend_name(bend.name),
            bend.verdict,
            f"{bend.strain:.3f}",
            f"{bend.strain_slope_sd:.3f}",
            f"{bend.strain_sd:.3f}",
            _shares(bend.slope_shares),
            _shares(bend.shares),
        ))  # fmt: skip
    title = "Verdicts (strain over 0.50: caution; over 0.75, or seen over 90 deg: sharp)"
    return Table(title, heads, tuple(rows), (0, 1))


def _shares(shares: tuple[float, float, float]) -> str:
    return " ".join(f"{100.0 * share:5.1f}" for share in shares)


def _check(result: SpreadResult, units: UnitSystem) -> str:
    check = result.check
    return (
        f"{result.draws:,} trials from seed {result.seed}. The table behind them, of {result.builds} exact joints, is off "
        f"exact ones at {check.points} random points by at most {format_length(check.cut_mm, units)} in the cut, "
        f"{format_length(check.finished_mm, units)} in the finished length and {check.strain:.3f} in strain."
    )
