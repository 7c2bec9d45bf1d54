"""The chance of unwinding on turns and on wraps, from pieces that varied both; or why it cannot be told."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from helix.findings import Finding, notice
from helix.mechanics import limits
from helix.model.measured.pull_file import PullPiece
from helix.statistics.confidence import Array
from helix.statistics.fits.likelihood import Mask
from helix.statistics.fits.logistic import CannotSeparate, Logistic, chance_interval, logistic
from helix.statistics.proportions import share_interval
from helix.studies.pulls.pull_groups import mode_of
from helix.studies.pulls.pull_joints import Estimate
from helix.values import keyed, result


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
    there is no fit. left_out: pieces that ended at a grip or were stopped.
    """

    what: str
    n: int
    unwound: int
    left_out: int
    cells: tuple[Cell, ...]
    per_turn: Estimate = keyed("odds_per_turn")
    per_wrap: Estimate = keyed("odds_per_wrap")
    constant: float | None
    refused: Finding | None


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
    model: Logistic | None = None
    used: list[int] = []
    refused: Finding | None = None
    if len(ended) < limits.FEWEST_COUNTED:
        refused = notice("few-ended", what, count=len(ended), needed=limits.FEWEST_COUNTED)
    else:
        used = [k for k in (0, 1) if np.ptp(counts[:, k]) > 0.0]
        try:
            model = logistic(counts[:, used], unwound)
        except CannotSeparate as problem:
            refused = _refusal(problem.code, what, counts, unwound, used)
    cells = tuple(_cell(pair, counts, unwound, model, used) for pair in sorted({tuple(row) for row in counts.tolist()}))
    factors = [Estimate(), Estimate()]
    if model is not None:
        for place, k in enumerate(used, start=1):
            values = np.exp([model.coefficients[place], model.low[place], model.high[place]])
            factors[k] = Estimate.of(*(float(v) if np.isfinite(v) else None for v in values))
    return Unwinding(
        what=what, n=len(ended), unwound=int(unwound.sum()), left_out=len(pieces) - len(ended), cells=cells, per_turn=factors[0], per_wrap=factors[1],
        constant=float(model.coefficients[0]) if model is not None else None, refused=refused,
    )  # fmt: skip


def _cell(pair: tuple[float, ...], counts: Array, unwound: Mask, model: Logistic | None, used: list[int]) -> Cell:
    here = (counts == np.array(pair)).all(axis=1)
    n, count = int(here.sum()), int(unwound[here].sum())
    fitted = Estimate()
    if model is not None:
        fitted = Estimate.of(*chance_interval(model, np.array(pair)[used]))
    return Cell(
        turns=pair[0],
        wraps=pair[1],
        n=n,
        unwound=count,
        share=Estimate.of(count / n, *share_interval(count, n)),
        fitted=fitted,
    )


def _refusal(code: str, what: str, counts: Array, unwound: Mask, used: list[int]) -> Finding:
    """The refusal, with what the pieces do show: most count that unwound and least that held."""
    if code == "alike":
        return notice("ended-alike", what, unwound=bool(unwound.all()))
    if code == "together":
        return notice("varied-together", what)
    ends: dict[str, float | None] = {}
    for k, name in enumerate(("turns", "wraps")):
        ends[f"{name}_unwound"] = float(counts[unwound, k].max()) if k in used else None
        ends[f"{name}_held"] = float(counts[~unwound, k].min()) if k in used else None
    return notice("clear-cut", what, **ends)
