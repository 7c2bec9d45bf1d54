"""The chance of unwinding on turns and on wraps, from pieces that varied both; or why it cannot be told."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from helix.mechanics import limits
from helix.model.measured.pull_file import PullPiece
from helix.statistics.confidence import Array
from helix.statistics.likelihood import Mask
from helix.statistics.logistic import CannotSeparate, Logistic, chance_interval, logistic
from helix.statistics.proportions import share_interval
from helix.studies.pulls.pull_groups import mode_of
from helix.studies.pulls.pull_joints import Estimate
from helix.values import result


@result
class Cell:
    """Pieces of one pair of counts: how many, how many unwound, exact share, and the fitted chance."""

    turns: float
    wraps: float
    n: int
    unwound: int
    share: Estimate
    fitted: Estimate


@result
class Unwinding:
    """What the pieces say about turns and wraps (M11).

    what: the wire that it is about. per_turn, per_wrap: factor on the odds of unwinding for one turn or
    wrap more, the other kept; nothing where that count did not vary or no fit was possible. refused: why
    there is no fit, or "". left_out: pieces that ended at a grip or were stopped.
    """

    what: str
    n: int
    unwound: int
    left_out: int
    cells: tuple[Cell, ...]
    per_turn: Estimate
    per_wrap: Estimate
    constant: float | None
    refused: str
    says: str


def unwinding_of(pieces: Sequence[PullPiece]) -> tuple[Unwinding, ...]:
    """One answer for each wire size and lay among the jointed pieces that state turns and wraps."""
    kinds: dict[str, list[PullPiece]] = {}
    for piece in pieces:
        if not piece.control and piece.turns is not None and piece.wraps is not None:
            what = ", ".join(filter(None, (piece.size, f"lay {piece.cells['lay']}" if piece.cells["lay"] else "")))
            kinds.setdefault(what or "all pieces", []).append(piece)
    varied = {
        what: mine
        for what, mine in kinds.items()
        if len({(p.turns, p.wraps) for p in mine if mode_of(p) is not None}) > 1
    }
    return tuple(_one(what, mine) for what, mine in varied.items())


def _one(what: str, pieces: list[PullPiece]) -> Unwinding:
    ended = [p for p in pieces if mode_of(p) is not None]
    counts = np.array([(p.turns, p.wraps) for p in ended], dtype=np.float64).reshape(-1, 2)
    unwound = np.array([p.ending == "unwound" for p in ended], dtype=np.bool_)
    found: Logistic | None = None
    used: list[int] = []
    refused = ""
    if len(ended) < limits.FEWEST_COUNTED:
        refused = f"{len(ended)} pieces that broke or unwound are too few; {limits.FEWEST_COUNTED} are needed"
    else:
        used = [k for k in (0, 1) if np.ptp(counts[:, k]) > 0.0]
        try:
            found = logistic(counts[:, used], unwound)
        except CannotSeparate as problem:
            refused = _in_words(str(problem), counts, unwound, used)
    cells = tuple(_cell(pair, counts, unwound, found, used) for pair in sorted({tuple(row) for row in counts.tolist()}))
    factors = [Estimate(), Estimate()]
    if found is not None:
        for place, k in enumerate(used, start=1):
            values = np.exp([found.coefficients[place], found.low[place], found.high[place]])
            factors[k] = Estimate.of(*(float(v) if np.isfinite(v) else None for v in values))
    return Unwinding(
        what=what, n=len(ended), unwound=int(unwound.sum()), left_out=len(pieces) - len(ended), cells=cells, per_turn=factors[0], per_wrap=factors[1],
        constant=float(found.coefficients[0]) if found is not None else None, refused=refused, says=_says(factors, used, refused),
    )  # fmt: skip


def _cell(pair: tuple[float, ...], counts: Array, unwound: Mask, found: Logistic | None, used: list[int]) -> Cell:
    here = (counts == np.array(pair)).all(axis=1)
    n, count = int(here.sum()), int(unwound[here].sum())
    fitted = Estimate()
    if found is not None:
        fitted = Estimate.of(*chance_interval(found, np.array(pair)[used]))
    return Cell(
        turns=pair[0],
        wraps=pair[1],
        n=n,
        unwound=count,
        share=Estimate.of(count / n, *share_interval(count, n)),
        fitted=fitted,
    )


def _in_words(problem: str, counts: Array, unwound: Mask, used: list[int]) -> str:
    """The refusal, with what the pieces do show."""
    if "ended alike" in problem:
        return f"every piece {'unwound' if unwound.all() else 'held'}, so nothing shows what the chance depends on"
    if "together" in problem:
        return (
            "turns and wraps were varied together, so the effect of one cannot be told from that of the other; "
            "vary each on its own (helix pulls plan does)"
        )
    shown = []
    for k, name in enumerate(("turns", "wraps")):
        if k in used:
            most, least = float(counts[unwound, k].max()), float(counts[~unwound, k].min())
            if most < least:
                shown.append(f"all with {most:g} {name} or fewer unwound, all with {least:g} or more held")
            elif most == least:
                shown.append(f"all below {most:g} {name} unwound, all above held, only at {most:g} both came to pass")
    boundary = "; ".join(shown) or "a boundary in turns and wraps together parts the two"
    return f"the pieces are too clear-cut for a chance: {boundary}. Test between, where some unwind and some hold"


def _says(factors: list[Estimate], used: list[int], refused: str) -> str:
    if refused:
        return f"No fit: {refused}."
    parts = []
    for k, name in ((0, "turn"), (1, "wrap")):
        each = factors[k]
        if k not in used:
            parts.append(f"{name}s did not vary, so nothing is said about them")
        elif each.value is not None:
            low = "0" if each.low is None else f"{each.low:.2g}"
            high = "no limit" if each.high is None else f"{each.high:.2g}"
            shown = each.high is not None and each.high < 1.0 or each.low is not None and each.low > 1.0
            verdict = "" if shown else ", so no effect of it is shown"
            parts.append(
                f"one {name} more multiplies the odds of unwinding by {each.value:.2g} ({low} to {high}){verdict}"
            )
    said = "; ".join(parts)
    return said[0].upper() + said[1:] + "."
