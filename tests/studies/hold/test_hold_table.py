"""Turns against wraps, and what moves the answer. What is tested, strongest first:

* every cell is the estimate of that very joint; the row without turns is wraps alone;
* along a row nothing changes beyond the hinge; down a column more turns never hold less;
* the fewest counts estimated to lock: fewest turns that lock, wraps by practice; wraps no model knows are said to be so;
* a bar's ends are the estimates of the changed recipes; weaker or stronger wire scales loads and leaves chances;
  what no model knows is listed and empty.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import pytest

from helix.data.practice import practice
from helix.studies.hold.hold_table import hold_table
from helix.studies.hold.holding import hold_with, setting_of
from helix.studies.hold.sensitivity import answer, sensitivities
from tests.studies.hold.hold_recipes import joint

RECIPE = joint()
SETTING = setting_of(RECIPE, draws=2000)
TABLE = hold_table(RECIPE, SETTING)
BASE, BARS = sensitivities(RECIPE, SETTING)


def bar(cause):
    return next(each for each in BARS if each.cause.startswith(cause))


@pytest.mark.parametrize(("turns", "wraps"), [(0, 5), (2, 2), (4, 4), (5, 5), (5, 0), (8, 10), (5, 1)])
def test_a_cell_is_the_estimate_of_that_joint(turns, wraps):
    recipe = joint(turns=turns, wraps=wraps)
    cell, own = TABLE.cell(turns, wraps), hold_with(recipe, SETTING)
    assert cell.verdict == own.verdict
    if own.verdict != "no model":
        # the bends are those of the recipe's own joint: they do not change with turns and wraps, but for rounding
        assert cell.hold_n.nominal == pytest.approx(own.hold_n.nominal, rel=1e-6, nan_ok=wraps == 0)
        assert cell.probability_unwinds == pytest.approx(own.probability.unwinds, abs=1e-3)


def test_there_are_all_cells_and_nothing_at_all_holds_nothing():
    assert len(TABLE.cells) == 121
    assert {(c.turns, c.wraps) for c in TABLE.cells} == {(float(t), float(w)) for t in range(11) for w in range(11)}
    none = TABLE.cell(0, 0)
    assert (none.verdict, none.hold_n.nominal, none.probability_unwinds) == ("unwinds", 0.0, 1.0)


@pytest.mark.parametrize("turns", range(11))
def test_along_a_row_the_models_see_nothing_beyond_the_hinge(turns):
    cells = [TABLE.cell(turns, wraps) for wraps in range(2, 11)]
    assert len({(c.verdict, c.hold_n.nominal, c.probability_unwinds) for c in cells}) == 1
    assert cells[0].wraps_note is None
    assert all(c.wraps_note == f"no model, practice says 5 full wraps ({practice().mark})" for c in cells[1:])
    one = TABLE.cell(turns, 1)
    # no model knows one wrap, but it holds no more than two
    assert one.verdict == ("no model" if cells[0].verdict == "locks" else cells[0].verdict)
    assert one.wraps_note and math.isnan(one.hold_n.nominal)


@pytest.mark.parametrize("wraps", [0, 2, 5])
def test_down_a_column_more_turns_never_hold_less(wraps):
    cells = [TABLE.cell(turns, wraps) for turns in range(11)]
    for one, two in itertools.pairwise(cells):
        assert two.probability_unwinds <= one.probability_unwinds
        if wraps == 0:  # practice calls a twist without a barrel a fault, and the models are far apart: no load
            assert math.isnan(two.hold_n.nominal)
        else:
            assert two.hold_n.nominal >= one.hold_n.nominal * (1.0 - 1e-12)


def test_the_smallest_safe_pair():
    assert TABLE.smallest_safe.turns == 5.0 and TABLE.smallest_safe.wraps_by_practice == 5.0
    assert TABLE.smallest_safe.wraps_note == f"no model, practice says 5 full wraps ({practice().mark})"
    assert TABLE.cell(4, 5).verdict in ("marginal", "unwinds")
    with pytest.raises(KeyError, match="no cell of 11 turns and 5 wraps"):
        TABLE.cell(11, 5)
    weak = hold_table(RECIPE, setting_of(RECIPE, friction=dict.fromkeys("LER", 0.0), draws=500))
    assert weak.smallest_safe.turns is None


@pytest.mark.parametrize("recipe", [joint(turns=0), joint(wraps=0)], ids=["no twist", "no barrel"])
def test_a_recipe_without_a_twist_or_a_barrel_has_a_table_as_well(recipe):
    table = hold_table(recipe, SETTING)
    assert table.cell(5, 5).verdict == "locks"
    own, held = table.cell(recipe.twist.turns, recipe.barrel.wraps), hold_with(recipe, SETTING)
    assert own.hold_n.nominal == pytest.approx(
        held.hold_n.nominal, rel=1e-6, nan_ok=held.not_estimated == ("no-barrel",)
    )


# ------------------------------------------------------------------ what moves the answer


def test_the_answer_as_it_stands():
    own = hold_with(RECIPE, SETTING)
    assert (BASE.hold_n, BASE.plan_with_n, BASE.probability_unwinds) == (
        own.hold_n.nominal,
        own.plan_with_n,
        own.probability.unwinds,
    )


def test_a_bar_ends_at_the_estimates_of_the_changed_joint():
    assert bar("turns").at_low == answer(joint(turns=4), SETTING)
    lay = bar("lay angle")
    d = RECIPE.wire.diameter_mm
    longer = replace(RECIPE, twist=replace(RECIPE.twist, lay_mm=4.5 * d))
    assert lay.at_low == answer(longer, SETTING) and lay.low == "35 deg (4.5 d)"
    least = replace(SETTING, ductility=(0.45,) * 3)
    assert bar("ductility").at_low == answer(RECIPE, least)


def test_strength_moves_loads_and_not_chances():
    weak, usual, strong = RECIPE.wire.breaking_load_n
    found = bar("strength")
    assert found.at_low.hold_n == pytest.approx(BASE.hold_n * weak / usual)
    assert found.at_high.plan_with_n == pytest.approx(BASE.plan_with_n * strong / usual)
    assert found.at_low.probability_unwinds == found.at_high.probability_unwinds == BASE.probability_unwinds
    other = bar("material")
    assert {other.low, other.high} <= {"Monel 400", "music wire", "1.4401", "1.4310 high strength"}


def test_friction_flow_and_pin_move_the_way_they_must():
    for cause in ("friction", "flow", "how the barrel", "wire at the pin"):
        found = bar(cause)
        assert found.at_high.plan_with_n >= found.at_low.plan_with_n - 1e-9
        if cause in ("friction", "wire at the pin"):
            assert found.at_high.probability_unwinds <= found.at_low.probability_unwinds
        else:  # the rule of thumb asks for less friction where the barrel holds more, so that the odds of 5 and 5 stay
            assert found.at_high.probability_unwinds == pytest.approx(found.at_low.probability_unwinds, abs=0.004)
    assert math.isnan(bar("exit bend").at_low.plan_with_n) and bar("exit bend").at_high.plan_with_n > 0.0


def test_the_longest_bar_comes_first_and_what_no_model_knows_last_and_empty():
    known = [each.moves for each in BARS if not each.note]
    assert known == sorted(known, reverse=True)
    silent = [each for each in BARS if each.note]
    assert [each.cause for each in silent] == [
        "number of wraps",
        "evenness of the twist",
        "hand of the barrel",
        "size of the wire",
    ]
    assert all(each.note.startswith("no model, practice says") and each.at_low is None for each in silent)
    assert BARS[-4:] == tuple(silent)
