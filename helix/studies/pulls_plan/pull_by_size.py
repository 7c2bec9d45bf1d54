"""A test day of several sizes: load cell, speed and wire of each size; and what so many pieces will let one say."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from helix.model.joint.wire import Wire
from helix.statistics.proportions import share_interval
from helix.statistics.samples import tolerance_factor
from helix.studies.pulls_plan.load_cells import CellChoice, LoadCell, judged
from helix.studies.pulls_plan.pull_sizes import Wanted
from helix.values import result

STRESS_RATE_MPA_S: Final = (6.0, 60.0)
"""Rate of stress in tests of steel, ISO 6892-1 method B, modulus of 150 GPa and more [mem]."""
SPARE: Final = 0.10  # wire to have beyond what is cut, as a proportion (assumed)
_STOCK_STEP_MM: Final = 100.0


@result
class Energy:
    """Highest load in N, energy in the free length at break in J, as a fall of 1 kg in mm, speed of a free end in m/s."""

    load_n: float
    energy_j: float
    fall_of_1_kg_mm: float
    end_speed_m_s: float


@result
class SizePlan:
    """One size of a test day. pieces, controls: with joints, and of straight wire. load_low_n to load_high_n: loads to be
    read, those of straight wire among them. cell: the one to take, None where none will do. cut_mm: of all its pieces;
    stock_mm: to have at hand, with a spare tenth."""

    size: str
    pieces: int
    controls: int
    load_low_n: float
    load_high_n: float
    cell: CellChoice | None
    load_rate_n_s: tuple[float, float]
    energy: Energy
    cut_mm: float
    stock_mm: float


@result
class Shows:
    """What so many pieces of one kind let one say, if the scatter is as expected and none unwinds.

    unwinds_at_most: of such pieces may still unwind, at 95 %. mean_within: of the mean, at 95 %. plan_below, sure_below:
    how far under the mean the load to plan with and the 95/95 bound lie. All are proportions; None for too few.
    """

    pieces: int
    unwinds_at_most: float
    mean_within: float | None
    plan_below: float | None
    sure_below: float | None


def stock_of(cut_mm: float) -> float:
    """Wire to have at hand [mm], with a spare tenth, to the next 100 mm."""
    return _STOCK_STEP_MM * math.ceil((1.0 + SPARE) * cut_mm / _STOCK_STEP_MM - 1e-9)


def best_cell(cells: Sequence[LoadCell], low_n: float, high_n: float) -> CellChoice | None:
    """The smallest cell that will do for all these loads; None where none will."""
    fits = [choice for cell in cells if (choice := judged(cell, low_n, high_n)).will_do]
    return min(fits, key=lambda choice: choice.cell.capacity_n) if fits else None


def load_rate(wire: Wire, wires: int) -> tuple[float, float]:
    """How fast the load should rise [N/s]."""
    area = math.pi * wire.diameter_mm**2 / 4.0 * wires
    return STRESS_RATE_MPA_S[0] * area, STRESS_RATE_MPA_S[1] * area


def energy_at_break(wire: Wire, wires: int, free_mm: float, high_n: float) -> Energy:
    """Elastic energy of the free length, F^2 L/(2 E A); a free end then moves at sigma/sqrt(E rho) (1-D wave)."""
    area = math.pi * wire.diameter_mm**2 / 4.0 * wires
    joules = high_n**2 * free_mm / (2.0 * wire.modulus_mpa * area) / 1000.0
    speed = high_n / area * 1e6 / math.sqrt(wire.modulus_mpa * 1e6 * wire.density_kg_m3)
    return Energy(load_n=high_n, energy_j=joules, fall_of_1_kg_mm=joules / 9.80665 * 1000.0, end_speed_m_s=speed)


def shows(pieces: int, wanted: Wanted) -> Shows:
    """What this many pieces will let one say.

    >>> answer = shows(10, Wanted())
    >>> round(answer.unwinds_at_most, 2), round(answer.mean_within, 3), round(answer.plan_below, 3)
    (0.31, 0.029, 0.077)
    """
    from scipy.special import stdtrit

    most = share_interval(0, pieces)[1]
    if pieces < 3:
        return Shows(pieces=pieces, unwinds_at_most=most, mean_within=None, plan_below=None, sure_below=None)
    student = float(stdtrit(pieces - 1, 0.975)), float(stdtrit(pieces - 1, 0.95))
    sure = tolerance_factor(pieces, 0.95, 0.95) * wanted.cv
    return Shows(
        pieces=pieces,
        unwinds_at_most=most,
        mean_within=student[0] * wanted.cv / math.sqrt(pieces),
        plan_below=student[1] * wanted.cv * math.sqrt(1.0 + 1.0 / pieces),
        sure_below=sure if sure < 1.0 else None,
    )
