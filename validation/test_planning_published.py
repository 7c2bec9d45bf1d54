"""Planning the wire and inspecting the joint: wire weights, cutting stock, propagation of readings."""

from __future__ import annotations

import math
from functools import cache
from itertools import combinations_with_replacement

import numpy as np
import pytest
from uncertainties import ufloat, umath

from helix.cutting_stock.cutting_search import CuttingList, cut_stock
from helix.data.wire_sizes import awg_diameter_mm
from helix.geometry.twist.strands import coil_gap, touching_pitch
from helix.mechanics.wire_mass import wire_length, wire_mass
from helix.model.measured.readings import Reading
from helix.model.recipe.recipe import recipe_from_text
from helix.studies.inspect.made_joint import VALUES, derived, read_made
from validation.rows import Row, ids

PRINTED = "half a unit of the last printed digit"
STEEL = "Steel wire gauge, feet per pound, American wire makers' handbooks, from memory; steel of 0.283 lb/in3"
COPPER = "NBS Handbook 100, copper wire tables, from memory; copper of 8.89 g/cm3 at 20 C"
LB, FT, KG_M3 = 0.45359237, 304.8, 0.45359237 / 0.0254**3

# ------------------------------------------------------------------ wire weights

WEIGHTS = [
    *(
        Row(
            f"steel wire of {inch} in, feet in a pound", STEEL, "mem",
            feet, lambda inch=inch: wire_length(LB, inch * 25.4, 0.283 * KG_M3) / FT, 0.005, PRINTED,
        )
        for inch, feet in (
            (0.1483, "17.05"), (0.1350, "20.57"), (0.1205, "25.82"), (0.1055, "33.69"), (0.0800, "58.58"),
            (0.0625, "95.98"),
        )
    ),
    *(
        Row(
            f"copper wire of AWG {number}, pounds in 1000 feet", COPPER, "mem",
            pounds, lambda number=number: wire_mass(1000.0 * FT, awg_diameter_mm(number), 8890.0) / LB,
            0.5 * 10.0 ** -len(pounds.partition(".")[2]), PRINTED,
        )
        for number, pounds in (
            (10, "31.43"), (12, "19.77"), (14, "12.43"), (16, "7.818"), (18, "4.917"), (20, "3.092"), (22, "1.945"),
            (24, "1.223"),
        )
    ),
]  # fmt: skip

# ------------------------------------------------------------------ cutting stock

PAPER = {
    1380: 22, 1520: 25, 1560: 12, 1710: 14, 1820: 18, 1880: 18, 1930: 20, 2000: 10, 2050: 12, 2100: 14, 2140: 16,
    2150: 18, 2200: 20,
}  # fmt: skip
ROLLS = {45: 97, 36: 610, 31: 395, 14: 211}
# OR-Library, bin packing, binpack1, the first problem: capacity 150, 120 items
U120_00 = (
    42, 69, 67, 57, 93, 90, 38, 36, 45, 42, 33, 79, 27, 57, 44, 84, 86, 92, 46, 38, 85, 33, 82, 73, 49, 70, 59, 23, 57, 72,
    74, 69, 33, 42, 28, 46, 30, 64, 29, 74, 41, 49, 55, 98, 80, 32, 25, 38, 82, 30, 35, 39, 57, 84, 62, 50, 55, 27, 30, 36,
    20, 78, 47, 26, 45, 41, 58, 98, 91, 96, 73, 84, 37, 93, 91, 43, 73, 85, 81, 79, 71, 80, 76, 83, 41, 78, 70, 23, 42, 87,
    43, 84, 60, 55, 49, 78, 73, 62, 36, 44, 94, 69, 32, 96, 70, 84, 58, 78, 25, 80, 58, 66, 83, 24, 98, 60, 42, 43, 43, 39,
)  # fmt: skip


@cache
def listed(name: str) -> CuttingList:
    if name == "u120_00":
        kinds, counts = np.unique(U120_00, return_counts=True)
        return cut_stock(kinds, counts, [150], [120])
    wanted, stock = (PAPER, 5600) if name == "paper" else (ROLLS, 100)
    return cut_stock(list(wanted), list(wanted.values()), [stock], [1000])


def widths(wanted: dict[int, int], stock: int) -> float:
    """The relaxed problem over every pattern, solved by enumeration and scipy's linear programming alone."""
    from scipy.optimize import linprog

    sizes, found = list(wanted), set()
    for count in range(1, stock // min(sizes) + 1):
        for cut in combinations_with_replacement(sizes, count):
            if sum(cut) <= stock:
                found.add(tuple(cut.count(size) for size in sizes))
    patterns = np.array(sorted(found)).T
    answer = linprog(np.ones(patterns.shape[1]), A_ub=-patterns, b_ub=-np.array(list(wanted.values())))
    return float(answer.fun)


STOCK = [
    Row(
        "paper mill, 13 widths from rolls of 5600: least number of rolls", "the usual textbook example, from memory",
        "mem", "73", lambda: float(len(listed("paper").cuts)), 1e-9, "a count",
    ),
    Row(
        "the same: waste, % of the rolls", "the usual textbook example, from memory", "mem",
        "0.401", lambda: 100.0 * (1.0 - sum(k * n for k, n in PAPER.items()) / listed("paper").charge), 5e-4, PRINTED,
    ),
    Row(
        "four widths from rolls of 100: least number of rolls", "V. Chvatal, Linear Programming (1983) ch. 13", "mem",
        "453", lambda: float(len(listed("rolls").cuts)), 1e-9, "a count",
    ),
    Row(
        "the same, proven: rolls of the bound", "V. Chvatal, Linear Programming (1983) ch. 13: 452.25, rounded up", "mem",
        "453", lambda: listed("rolls").bound / 100.0, 1e-9, "a count",
    ),
    Row(
        "the same: the relaxed problem over every pattern", "V. Chvatal, Linear Programming (1983) ch. 13", "mem",
        "452.25", lambda: widths(ROLLS, 100), 5e-3, PRINTED,
    ),
    Row(
        "u120_00, 120 pieces from lengths of 150: least number", "OR-Library, binpack1, from memory", "mem",
        "48", lambda: float(len(listed("u120_00").cuts)), 1e-9, "a count",
    ),
    Row(
        "the same, proven: lengths of the bound", "OR-Library, binpack1, from memory", "mem",
        "48", lambda: listed("u120_00").bound / 150.0, 1e-9, "a count",
    ),
]  # fmt: skip

# ------------------------------------------------------------------ readings

RECIPE = recipe_from_text('[wire]\ndiameter = "0.7366 mm"\nmaterial = "302 stainless"\n[eye]\npin = "6 mm"\n')
SAID = "the package uncertainties, first order"
D_SD = 0.005 * 0.7366  # what is assumed of the wire where it is not read
READ = {
    "turns": Reading(name="turns", value=5.0, sd=0.05, stated=True),
    "twist_length": Reading(name="twist_length", value=14.7, sd=0.1, stated=True),
    "wraps": Reading(name="wraps", value=5.0, sd=0.02, stated=True),
    "barrel_length": Reading(name="barrel_length", value=5.1, sd=0.04, stated=True),
    "twist_diameter": Reading(name="twist_diameter", value=1.62, sd=0.01, stated=True),
    "eye": Reading(name="eye", value=6.1, sd=0.03, stated=True),
}


@cache
def found():
    return read_made(RECIPE, READ)


def sd(name: str) -> float:
    return float(found().deviations[VALUES.index(name)])


def derived_sd(place: int) -> float:
    from helix.statistics.fits.least_squares import derivatives

    slope = derivatives(lambda v: derived(v, None)[: place + 1], found().values, found().deviations)[place]
    return math.sqrt(float(slope @ found().covariance @ slope))


@cache
def theirs(name: str) -> float:
    """Standard deviation by the other package, from the quotients that the readings are."""
    d, turns, length = ufloat(0.7366, D_SD), ufloat(5.0, 0.05), ufloat(14.7, 0.1)
    wraps, barrel, twist = ufloat(5.0, 0.02), ufloat(5.1, 0.04), ufloat(1.62, 0.01)
    lay, pitch = length / turns, (barrel - d) / wraps
    # the gap's own slopes by differences: what is compared is how the uncertainties of the readings combine
    step = 1e-6
    base = (pitch / d).nominal_value
    slope = (coil_gap(1.0, base + step) - coil_gap(1.0, base - step)) / (2.0 * step)
    gap = (coil_gap(1.0, base) + slope * (pitch / d - base)) * d
    values = {
        "lay": lay,
        "pitch": pitch,
        "angle": umath.atan(math.pi * d / lay),
        "evenness": 3.0 - twist / d,
        "gap": gap,
    }
    return float(values[name].std_dev)


READINGS = [
    Row("lay length from twist length and turns: its standard deviation, mm", SAID, "calc",
        lambda: theirs("lay"), lambda: sd("lay"), 1e-5, "second order of 5.00 +- 0.05 turns, 1e-4 of it"),
    Row("lay angle from the same and the wire, rad", SAID, "calc",
        lambda: theirs("angle"), lambda: derived_sd(0), 1e-5, "second order of 5.00 +- 0.05 turns, 1e-4 of it"),
    Row("pitch from barrel length, wraps and wire, mm", SAID, "calc",
        lambda: theirs("pitch"), lambda: sd("pitch"), 1e-6, "second order of 5.00 +- 0.02 wraps"),
    Row("gap between wraps from the same, the barrel close on its core, mm", SAID, "calc",
        lambda: theirs("gap"), lambda: derived_sd(1), 2e-5,
        "ours knows the core's 0.02 d too: second order in the gap"),
    Row("evenness from twist diameter and wire", SAID, "calc",
        lambda: theirs("evenness"), lambda: derived_sd(2), 1e-7, "both are first order of one quotient"),
]  # fmt: skip

ROWS = [*WEIGHTS, *STOCK, *READINGS]


@pytest.mark.parametrize("row", ROWS, ids=ids(ROWS))
def test_row(row: Row) -> None:
    row.check()


def test_the_touching_pitch_is_where_the_gap_closes() -> None:
    assert abs(coil_gap(1.0, touching_pitch())) < 1e-12


def test_masses_and_lengths_undo_each_other() -> None:
    for mass in (1e-3, 0.5, 20.0):
        assert wire_mass(wire_length(mass, 0.7366, 7920.0), 0.7366, 7920.0) == pytest.approx(mass, rel=1e-14)
