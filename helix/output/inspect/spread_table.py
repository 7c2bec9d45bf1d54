"""What small errors do, as people read it: by first derivatives and by random trials, side by side; and as plain data."""

from __future__ import annotations

from typing import TYPE_CHECKING

from helix.mechanics import limits
from helix.output.inspect.spread_answers import spread_answer
from helix.output.report.document import Bullets, Document, Heading, Para, Table
from helix.output.words.assumptions import spread_notes
from helix.output.words.sentence_format import bend_limits
from helix.output.words.words import bend_name
from helix.units import MM_PER_INCH, UnitSystem, format_length, format_turns

if TYPE_CHECKING:
    from helix.studies.inspect.spread import BendSpread, Proportions, SpreadResult


def spread_document(result: SpreadResult, units: UnitSystem = "metric") -> Document:
    """The whole answer as a report."""
    return Document(
        result.recipe.title,
        (
            Heading(result.recipe.title, 1),
            spread_answer(result, units),
            *(Para(line) for line in _answer(result, units)),
            _effects(result, units),
            _bends(result),
            Para(_check(result, units)),
            Bullets(spread_notes(result)),
        ),
    )


def _answer(result: SpreadResult, units: UnitSystem) -> list[str]:
    lines = []
    for name, total in (("Cut", result.cut), ("Finished length", result.finished)):
        low, high = format_length(total.low_mm, units), format_length(total.high_mm, units)
        lines.append(
            f"{name} {format_length(total.nominal_mm, units)} as stated; {low} to {high} for 95 of 100 joints with these "
            "errors."
        )
    doubtful = [bend for bend in result.bends if limits.VERDICT_DOUBTFUL < _share(bend) < 1.0 - limits.VERDICT_DOUBTFUL]
    for bend in doubtful:
        lines.append(
            f"{bend_name(bend.name).capitalize()}: {bend.severity.word} as stated, and so in {_percent(_share(bend))} of the trials."
        )
    if not doubtful:
        lines.append("No verdict changes in more than 1 of 200 trials.")
    return lines


def _share(bend: BendSpread) -> float:
    """Share of the trials in which the verdict is the stated one."""
    return float(getattr(bend.trials, bend.severity.word))


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
        quantity = effect.input
        rows.append((
            quantity.name,
            _step(quantity.step, quantity.unit, quantity.upward, units),
            size(effect.cut_slope_mm, True),
            size(effect.cut_sd_derivative_mm),
            size(effect.cut_sd_mm),
            size(effect.finished_slope_mm, True),
            size(effect.finished_sd_derivative_mm),
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
        shown = format_turns(step) if (4.0 * step).is_integer() else f"{360.0 * step:.3g} deg"
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
            bend.severity.word,
            f"{bend.strain:.3f}",
            f"{bend.strain_slope_sd:.3f}",
            f"{bend.strain_sd:.3f}",
            _shares(bend.derivative),
            _shares(bend.trials),
        ))  # fmt: skip
    return Table("Verdicts", heads, tuple(rows), (0, 1), bend_limits())


def _shares(of: Proportions) -> str:
    return " ".join(f"{100.0 * part:5.1f}" for part in (of.ok, of.caution, of.sharp))


def _check(result: SpreadResult, units: UnitSystem) -> str:
    check = result.check
    return (
        f"{result.draws:,} trials from seed {result.seed}. The table behind them, of {result.builds} exact joints, is off "
        f"exact ones at {check.points} random points by at most {format_length(check.cut_mm, units)} for the cut, "
        f"{format_length(check.finished_mm, units)} for the finished length and {check.strain:.3f} for strain."
    )
