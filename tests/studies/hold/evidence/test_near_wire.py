"""Pieces that unwound in nearly the same wire count against a joint. What is tested, strongest first:

* within NEAR_WIRE they count against it and it has no load; within a size's tolerance they are its own;
* of another wire or material they do not count, and a joint that they would count against says so and is a caution;
* so on the page, which sends what was typed of other wires, and for pieces that an address counts;
* no change of the joint takes that caution away but one that they would not count against.
"""

from __future__ import annotations

import math

import pytest

from helix.errors import ValidationError
from helix.mechanics import limits
from helix.model.measured.pull_file import pull_file_from_text
from helix.model.recipe.recipe import recipe_from_text
from helix.model.recipe.recipe_parts import Recipe
from helix.output.hold.hold_answers import hold_answer
from helix.output.words.findings.finding_words import explain
from helix.page.answers.joint_answer import joint_answer
from helix.studies.hold.evidence.forecast import OwnPulls
from helix.studies.hold.evidence.own_pulls import carried, counts_against, own_pulls
from helix.studies.hold.hold_table import unwound_of
from helix.studies.hold.holding import hold_with, setting_of
from helix.studies.judge import judge_held, load_to_plan

HEAD = "id,group,size,joints,recipe,load,unit,failure\n"


def joint(wire: float = 1.6, turns: float = 5, pin: str = "8 mm", material: str = "1.4310 normal strength") -> Recipe:
    text = f'[wire]\ndiameter = "{wire} mm"\nmaterial = "{material}"\n[eye]\npin = "{pin}"\n'
    return recipe_from_text(f"{text}[twist]\nturns = {turns}\n[barrel]\nwraps = 5\n")


def rows(unwound: int = 2) -> str:
    ends = ["broke_exit"] * 8 + ["unwound"] * unwound
    return HEAD + "".join(f"{k},g,1.6 mm,1,five.toml,{2500 + k},N,{end}\n" for k, end in enumerate(ends))


def own(of: Recipe, text: str = "") -> OwnPulls:
    return own_pulls(pull_file_from_text(text or rows(), "mine.csv"), of, {"five.toml": joint()})


@pytest.mark.parametrize("wire", [1.5, 1.53, 1.56, 1.61, 1.64, 1.66, 1.69, 2.0])
@pytest.mark.parametrize("turns", [4, 5])
def test_pieces_count_within_the_limit_and_are_told_beyond(wire: float, turns: float) -> None:
    """Failed once: a hundredth of a millimetre more, and the joint was green with a load to plan with."""
    of = joint(wire, turns)
    found = own(of)
    held = hold_with(of, setting_of(of, draws=500), found)
    codes = {finding.code: finding for finding in judge_held(held).findings}
    off = abs(1.6 / wire - 1.0)
    if off <= 0.02:
        assert len(found.loads_n) == (10 if turns == 5 else 0) and load_to_plan(held).use == "do-not"
    elif off <= limits.NEAR_WIRE:
        assert counts_against(found) and not found.loads_n and "like-unwound" in codes
        assert load_to_plan(held).use == "do-not" and math.isnan(held.expected_n)
    else:
        assert not counts_against(found) and not found.loads_n and load_to_plan(held).use in ("if-it-holds", "do-not")
        told = explain(codes["not-pulled"])
        assert "in another wire (1.60 mm)" in told.what and "not counted" in told.why
        assert "not counted" in " ".join(hold_answer(held, "metric").lines)
        assert unwound_of(of, found) is None  # its map is the models'


def test_another_material_is_another_wire() -> None:
    found = own(joint(material="1.4310 high strength"))
    assert not counts_against(found) and found.other is not None and found.other.wire_mm == pytest.approx(1.6)


def test_what_held_in_another_wire_says_nothing() -> None:
    with pytest.raises(ValidationError):
        own(joint(2.0), rows(unwound=0))
    with pytest.raises(ValidationError):
        own(joint(2.0, turns=6))


def test_no_change_makes_one_forget_them_but_more_turns() -> None:
    of = joint(2.0)
    found = own(of)
    pin, more = (carried(found, of, changed) for changed in (joint(2.0, pin="14 mm"), joint(2.0, turns=6)))
    assert pin is not None and pin.other == found.other and more is not None and more.other is None


@pytest.mark.parametrize(("wire", "code"), [("1.66 mm", "like-unwound"), ("2 mm", "not-pulled")])
def test_pieces_that_an_address_counts_do_so_too(wire: str, code: str) -> None:
    tables = {
        "wire": {"diameter": "1.6 mm", "material": "1.4310 normal strength"},
        "eye": {"pin": "8 mm"},
        "twist": {"turns": 5},
        "barrel": {"wraps": 5},
    }
    one = {"recipe": tables, "turns": 5, "wraps": 5, "pieces": 10, "unwound": 2}
    asked = {**tables, "wire": {"diameter": wire, "material": "1.4310 normal strength"}}
    shown = joint_answer({"recipe": asked, "pulls": {"name": "address", "text": "", "counted": [one]}})
    assert shown["judgement"]["code"] == code
