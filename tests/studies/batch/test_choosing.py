"""Choosing the wire: what is offered holds the load, is in the order of its weight, and nothing lighter is left out.

Map of what must hold:
  every wire offered holds load times margin by the estimate of hold, in the weakest wire of its table
  lightest first; every lighter wire of the tables fails; more load or margin never offers a lighter wire
  where no one wire will do: the nearest of them, and the lightest two that would, never twice one wire or more
  sizes follow shape; a piece's wire and cost follow a plan's; the least pin closes, a smaller one does not
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from helix.commands.main import main
from helix.errors import ValidationError
from helix.geometry.joint.eye import EyeCannotClose, closed_eye
from helix.model.joint.joint_curves import sizes_of
from helix.model.recipe.recipe import Recipe, recipe_from_text
from helix.studies.batch.choosing import Choices, Requirements, choose, least_pin_d, with_wire
from helix.studies.hold.hold_result import HoldResult
from helix.studies.hold.holding import hold
from helix.studies.hold.pair.pair_load import pair_load
from helix.studies.shape.shape import shape

USUAL = '[wire]\nsize = "MWG 12"\nmaterial = "302 stainless"\n[eye]\npin = "8 d"\n'


@cache
def base() -> Recipe:
    return recipe_from_text(USUAL)


@cache
def chosen(load: float, margin: float = 1.5, material: str | None = "302 stainless", rows: int = 3) -> Choices:
    requirements = Requirements(
        load_n=load, margin=margin, family="MWG", material=material, rows=rows, prices={"": 40.0}
    )
    return choose(requirements, lambda wire, pin: with_wire(base(), wire, pin))


def test_what_is_offered_holds_and_is_the_lightest() -> None:
    result = chosen(400.0)
    weights = [each.kg_per_m for each in result.choices]
    assert weights == sorted(weights)
    for each in result.choices:
        again = hold(each.recipe)
        assert each.holds_n == pytest.approx(again.plan_with_n)
        assert each.holds_n >= 1.5 * 400.0
        assert each.holds_n <= each.wire.breaking_load_n[0]
        assert each.margin == pytest.approx(each.holds_n / 400.0)
    # the next lighter size of the family does not hold
    first = result.choices[0].wire
    lighter = f"MWG {int(first.size.split()[1]) - 1}"
    text = USUAL.replace("MWG 12", lighter)
    weaker = hold(recipe_from_text(text))
    assert weaker.plan_with_n < 600.0


def test_more_load_or_margin_is_never_lighter() -> None:
    light, heavy, wide = chosen(400.0), chosen(600.0), chosen(400.0, 2.25)
    assert heavy.choices[0].kg_per_m >= light.choices[0].kg_per_m
    assert wide.choices[0].wire == heavy.choices[0].wire  # 600 times 1.5 is 400 times 2.25


def test_sizes_and_cost() -> None:
    each = chosen(400.0).choices[0]
    said = shape(each.recipe)
    assert each.finished_mm == pytest.approx(said.finished.length_mm, abs=1e-5)
    d = each.wire.diameter_mm
    straight = 1000.0 - 2.0 * (said.finished.length_mm - d / 2)
    piece = straight + 2.0 * (said.cut.joint_mm + 60.0)
    assert each.piece_mm == pytest.approx(piece, abs=1e-4)
    assert each.piece_kg == pytest.approx(piece / 1000.0 * each.kg_per_m)
    assert each.cost == pytest.approx(40.0 * each.piece_kg)
    assert chosen(400.0).more


def test_a_recipe_in_another_wire_keeps_its_sizes_in_diameters() -> None:
    text = (
        USUAL
        + '[twist]\nlay_length = "4.2 d"\n[exit]\nleg = "3 d"\n[barrel]\npitch = "1.1 d"\n[finish]\nstub = "2 d"\n'
    )
    thick = recipe_from_text(text.replace("MWG 12", "MWG 16"))
    made = with_wire(recipe_from_text(text), thick.wire, thick.eye.pin_mm)
    for part in ("twist", "exit", "barrel", "finish"):
        for key, value in vars(getattr(thick, part)).items():
            ours = getattr(getattr(made, part), key)
            assert ours == (pytest.approx(value) if isinstance(value, float) else value), (part, key)


@pytest.mark.parametrize("throat", ["tangent", "60 deg", "100 deg"])
def test_the_least_pin_is_the_least_that_closes(throat: str) -> None:
    recipe = recipe_from_text(USUAL + f'throat = "{throat}"\n')
    least, sizes = least_pin_d(recipe), sizes_of(recipe)
    closed_eye(least * (1.0 + 1e-6), sizes.tag_throat, sizes.standing_throat)
    if least > 1.0:
        with pytest.raises(EyeCannotClose):
            closed_eye(least * (1.0 - 1e-3), sizes.tag_throat, sizes.standing_throat)


def test_beyond_one_wire_the_nearest_and_the_lightest_two_stand_side_by_side() -> None:
    result = chosen(1200.0)
    pair, nearest = result.pair, result.nearest
    assert "holds_n" in result._repr_html_()  # a table without rows shows its numbers
    assert not result.choices and pair is not None and nearest is not None
    assert nearest.holds_n < 1.5 * 1200.0 <= pair.holds_n < 2.0 * pair.one.plan_with_n == pair.load.reckoned_n
    assert pair.holds_n == pytest.approx(pair_load(pair.wire, pair.one.forecast.pieces_n, 1000.0).plan_with_n)
    lighter = hold(recipe_from_text(USUAL.replace("MWG 12", f"MWG {int(pair.wire.size.split()[1]) - 1}")))
    assert pair_load(lighter.recipe.wire, lighter.forecast.pieces_n, 1000.0).plan_with_n < 1800.0
    # and where one wire will do, two of the same material beside it, each thinner
    first, thin = chosen(400.0).choices[0].wire, chosen(400.0).pair.wire
    assert thin.material == first.material and thin.diameter_mm < first.diameter_mm


def test_none_will_do() -> None:
    with pytest.raises(ValidationError, match=r"no wire of the tables holds 90000 N times 1.5: the strongest"):
        chosen(90_000.0)
    with pytest.raises(ValidationError, match="gauge family must be one of"):
        choose(Requirements(load_n=100.0, family="SWG"), lambda wire, pin: with_wire(base(), wire, pin))
    with pytest.raises(ValidationError, match="the pin is smaller than"):
        choose(
            Requirements(load_n=1200.0, pin_mm=0.3, family="MWG", material="302 stainless"),
            lambda wire, pin: with_wire(base(), wire, pin),
        )


def test_what_no_model_knows_in_any_wire_is_not_looked_for_in_all(monkeypatch: pytest.MonkeyPatch) -> None:
    """A barrel of the opposite hand took half a minute of trying every wire (found by attack)."""
    looked: list[Recipe] = []

    def counted(recipe: Recipe) -> HoldResult:
        looked.append(recipe)
        return hold(recipe)

    monkeypatch.setattr("helix.studies.batch.choosing.hold", counted)
    faults = Path(__file__).resolve().parents[3] / "docs" / "examples" / "faults"
    assert main(["choose", "--recipe", str(faults / "opposite-hand-barrel.toml"), "--load", "300 N"]) == 2
    assert len(looked) == 1
